"""What there is and will be on a farm's days."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Setting, Trouble
from core.rules.supply import Want, alive_now, supply_on
from core.units import SizeGrade
from tests.builders import DENVER, NOON, a_journal, after

ZONE = wants.Set(what=Setting.TIMEZONE, to=DENVER)
STOCKED = (facts.Stocked(bin="B4", tubs=("T9",), count=2000), facts.Stocked(bin="B5", tubs=("T8",), count=600))
TODAY = dt.date(2026, 5, 4)
THEN = TODAY + dt.timedelta(days=36)


def on(*journal, days=(THEN,)):
    return supply_on(fold(a_journal(ZONE, *STOCKED, *journal)), {}, days)


def test_the_bins_with_the_most_come_first():
    found = on()

    assert [name for name, _ in found.sources(THEN, SizeGrade.HALF)] == ["B4", "B5"]
    assert found.on(THEN, SizeGrade.HALF).likely > found.sources(THEN, SizeGrade.HALF)[0][1].likely


def test_all_are_of_some_size():
    found = on(days=(TODAY,))

    assert [size for size, there in found.sizes(TODAY) if there.likely] == [SizeGrade.PINHEAD]
    assert found.on(TODAY).likely == pytest.approx(2600, rel=0.02)


def test_a_bin_that_is_held_back_is_not_to_be_sold_but_is_alive():
    sick = (facts.Problem(what=Trouble.SICK, bin="B4"), after(days=1))
    farm = fold(a_journal(ZONE, *STOCKED, sick))

    assert supply_on(farm, {}, (THEN,)).held_back == {"B4"}
    assert [name for name, _ in supply_on(farm, {}, (THEN,)).sources(THEN)] == ["B5"]
    assert [name for name, _ in alive_now(farm, {}, after(days=2)).sources(TODAY + dt.timedelta(days=2))] == [
        "B4",
        "B5",
    ]


def test_wants_are_met_in_the_order_of_their_days():
    later = THEN + dt.timedelta(days=3)
    found = on(days=(THEN, later))
    want = Want(day=later, size=SizeGrade.HALF, count=500)

    (alone,), _ = found.after([want])
    (_, second), left = found.after([Want(day=THEN, size=SizeGrade.HALF, count=500), want])

    assert second.chance < alone.chance
    assert left.on(later).likely < found.on(later).likely


def test_the_chance_falls_with_the_number():
    chances = [on().chance(THEN, SizeGrade.HALF, count) for count in (1, 300, 900, 2600)]

    assert chances == sorted(chances, reverse=True)
    assert chances[0] > 0.9
    assert chances[-1] == 0


def test_the_same_question_is_not_reckoned_twice():
    first = on()
    fed = on((facts.Fed(bins=("B4",)), after(days=1)))

    assert fed.stock is first.stock


def test_a_warm_bin_is_ready_before_a_cool_one():
    warm, cool = (on((facts.Reading(bin="B4", temp_c=temp), NOON)) for temp in (31.0, 25.0))

    assert warm.on(THEN, SizeGrade.HALF).likely > cool.on(THEN, SizeGrade.HALF).likely
