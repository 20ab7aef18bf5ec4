"""The batches of a farm: what they rest on, and what is left out."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Addable, Density, Setting
from core.rules.forecasts import forecasts
from core.rules.lots import lots, uncounted
from core.units import SizeGrade
from tests.builders import DENVER, NOON, a_journal, after

ZONE = wants.Set(what=Setting.TIMEZONE, to=DENVER)
SHELF = wants.Add(what=Addable.PLACE, name="lamp shelf", lamp=True)
PINHEADS = facts.Stocked(bin="B4", tubs=("T9",), count=2000)
LAID = facts.TrayOut(bin="B1", tub="T1", place="lamp shelf", density=Density.MANY)


def of(*journal, until=None):
    farm = fold(a_journal(ZONE, SHELF, *journal))
    return lots(farm, forecasts(farm), until or after(days=30))


def names(found):
    return [lot.name for lot in found]


def test_a_counted_batch_is_followed_from_its_hatch():
    (lot,) = of(PINHEADS)

    assert (lot.name, lot.born_at, lot.told) == ("B4", NOON, ((NOON, 2000),))
    assert len(lot.growth.gains) == 30


def test_a_batch_is_as_old_as_its_tub_says():
    hatched = after(days=-3)

    (lot,) = of(
        (LAID, after(days=-14)), (facts.Hatch(tub="T1"), hatched), facts.Stocked(bin="B4", tubs=("T1",), count=9)
    )

    assert lot.born_at == hatched


def test_what_nobody_counted_is_named_and_left_out():
    journal = (facts.Stocked(bin="B4", tubs=("T9",)), facts.Adults(bin="B1"))

    assert of(*journal) == ()
    assert uncounted(fold(a_journal(*journal))) == ("B1", "B4")


def test_an_empty_bin_is_neither():
    journal = (PINHEADS, (facts.Discarded(bin="B4"), after(days=1)))

    assert of(*journal) == ()
    assert uncounted(fold(a_journal(*journal))) == ()


def test_crickets_of_unknown_age_are_as_old_as_their_size():
    bought = facts.Moved(from_="B1", to="B5", count=300)

    found = of((facts.Sized(bin="B5", size=SizeGrade.HALF), after(days=1)), bought)

    assert [lot.born_at < NOON - dt.timedelta(days=20) for lot in found if lot.name == "B5"] == [True]


@pytest.mark.parametrize("density", [Density.FEW, Density.MANY])
def test_a_tub_whose_eggs_were_seen_is_a_batch_of_eggs(density):
    (lot,) = of(facts.TrayOut(bin="B1", tub="T1", place="lamp shelf", density=density))

    assert lot.name == "T1"
    assert 9 < lot.egg_days < 20
    assert lot.told == ()


def test_a_tub_of_which_nothing_is_known_is_left_out():
    assert of(facts.TrayOut(bin="B1", tub="T1", place="lamp shelf")) == ()


def test_a_hatched_tub_counts_until_its_pinheads_are_moved():
    hatched = (LAID, (facts.Hatch(tub="T1", count=900), after(days=11)))
    moved = (facts.Stocked(bin="B4", tubs=("T1",), count=800), after(days=12))

    assert names(of(*hatched)) == ["T1"]
    assert names(of(*hatched, moved)) == ["B4"]


def test_two_batches_of_a_bin_share_its_room():
    (alone,) = of(PINHEADS)

    both = of(PINHEADS, (facts.Stocked(bin="B4", tubs=("T8",), count=500), after(days=2)))

    assert [lot.area_cm2 for lot in both] == [alone.area_cm2 / 2] * 2
