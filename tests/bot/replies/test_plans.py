"""What is said of a plan."""

import datetime as dt

import pytest

from bot.ports.messages import plain
from bot.replies.plans import MOST_ROWS, WIDEST, told
from bot.replies.voice import Voice
from core.rules.plans import Goal, Met, Needs, Plan, Wanted, plan_for
from core.science.production import Hindrance
from core.units import SizeGrade
from tests.builders import NOON, a_farm
from tests.core.rules.planning_farms import NOW, a_laying_farm, ordered

DUE = dt.date(2026, 7, 3)


def a_plan(**fields):
    defaults = {
        "goal": None, "needs": None, "met": (), "trays": (), "bred_trays": (), "kept_back": (), "given_up": (),
        "tubs": 2, "bins": 3, "females": 120, "first_on": dt.date(2026, 6, 20), "laying": (), "uncounted": (),
        "bred_from": dt.date(2026, 7, 20), "is_assumed": False,
    }  # fmt: skip
    return Plan(**(defaults | fields))


def met(count=300, there=None, hindrance=None, who="Delgado", due=DUE):
    wanted = Wanted(due=due, count=count, size=SizeGrade.HALF, who=who)
    return Met(wanted=wanted, count=count if there is None else there, hindrance=hindrance)


def lines(plan, language="en"):
    return plain(told(Voice(a_farm(), NOON, language), plan)).splitlines()


def test_a_goal_is_told_with_what_it_takes_and_a_table_of_its_trays():
    plan = a_plan(
        goal=Goal(count=400, size=SizeGrade.HALF, every="week"),
        needs=Needs(eggs=4000.0, trays=2, females_a_tray=100, tubs=4, bins=1, days=55),
        met=(met(hindrance=Hindrance.TOO_SOON, there=0), met(), met(due=DUE + dt.timedelta(days=7))),
        trays=((dt.date(2026, 5, 6), ("B1",)), (dt.date(2026, 5, 8), ("B1", "B3"))),
    )

    assert lines(plan) == [
        "400 of 1/2 in every week",
        "Each time: 2 trays of 100 females.",
        "At once: 4 tubs, 1 bin to grow out.",
        "From the tray to the size: 55 days.",
        "Met 2 of 3 times, first Fri Jul 3.",
        "Fri Jul 3: too soon. A tray of now gives them from Sat Jun 20.",
        "Trays:",
        "Wed May 6: bin 1",
        "Fri May 8: bins 1 and 3",
        "Reckoned with what 3 batches of 4 give, or more. Sizes seen make it surer.",
    ]


def test_orders_are_told_one_a_line():
    plan = a_plan(met=(met(), met(500, 120, Hindrance.ROOM, who=None)), trays=((dt.date(2026, 5, 6), ("B1",)),))

    assert lines(plan)[:6] == [
        "The open orders",
        "It takes 1 tray; at once 2 tubs and 3 bins to grow out.",
        "On the fullest day 120 females lay.",
        "Fri Jul 3 Delgado 300: yes",
        "Fri Jul 3 order 120 of 500",
        "Fri Jul 3: too few bins are empty to grow them out. 120 at most.",
    ]


@pytest.mark.parametrize(
    ("hindrance", "said"),
    [
        (Hindrance.TOO_SOON, "too soon. A tray of now gives them from Sat Jun 20."),
        (Hindrance.NO_LAYING, "no bin lays for it. Young of a tray of now lay from Mon Jul 20: keep some back."),
        (Hindrance.FEMALES, "too few females lay then."),
        (Hindrance.ROOM, "too few bins are empty to grow them out."),
        (Hindrance.COLD, "too cold, none grow to that size."),
    ],
)
def test_what_prevents_it_is_said_once(hindrance, said):
    assert f"2 times from Fri Jul 3: {said}" in lines(a_plan(met=(met(there=0, hindrance=hindrance),) * 2))


def test_where_none_lays_nothing_is_promised():
    plan = a_plan(met=(met(there=0, hindrance=Hindrance.NO_LAYING),), first_on=None, bred_from=None)

    assert lines(plan)[-2:] == [
        "Fri Jul 3: no bin lays, and I know of none that will.", "No tray that can go in now helps."
    ]  # fmt: skip


def test_what_is_there_needs_no_tray():
    assert lines(a_plan(met=(met(),)))[-1] == "No tray is needed: it is there."


def test_guesses_and_breeders_are_said():
    plan = a_plan(
        met=(met(),),
        kept_back=((dt.date(2026, 5, 11), 350),),
        bred_trays=((dt.date(2026, 8, 17), 2),),
        uncounted=("B1", "B2"),
        is_assumed=True,
    )

    assert lines(plan)[-3:] == [
        "Keep 350 grown back of the tray of Mon May 11: they lay from Mon Aug 17.",
        "Nobody counted bins 1 and 2: I took 200 grown crickets in each.",
        "Nobody read a thermometer in the bins: I took 82°F.",
    ]


def test_a_long_table_is_cut_and_counted():
    days = [dt.date(2026, 5, 1) + dt.timedelta(days=n) for n in range(MOST_ROWS + 4)]
    found = lines(a_plan(met=(met(),), trays=tuple((day, ("B1",)) for day in days)))

    assert "and 4 more" in found
    assert sum(line.endswith(": bin 1") for line in found) == MOST_ROWS


@pytest.mark.parametrize("language", ["en", "es"])
def test_no_row_is_wider_than_a_phone(language):
    rows = (met(20_000, 12_500, Hindrance.ROOM, who="Pete of the long pier"), met(20_000, who="Pete of the long pier"))
    found = lines(a_plan(met=rows), language)

    assert [line for line in found if "Pet" in line and len(line) > WIDEST] == []


def test_a_found_plan_is_told_in_both_languages():
    farm = ordered(a_laying_farm()).farm
    plan = plan_for(farm, None, NOW)
    english, spanish = (plain(told(Voice(farm, NOW, language), plan)) for language in ("en", "es"))

    assert "Fri Jul 3 Delgado 300: yes" in english
    assert "vie 3 jul Delgado 300: sí" in spanish
