import datetime as dt

import pytest

from core.journal import facts
from core.rules.plans import Goal, period_days, plan_for
from core.science.production import Hindrance
from core.units import SizeGrade
from tests.builders import at
from tests.core.rules.planning_farms import NOW, TODAY, a_laying_farm, a_notebook, ordered

HALF_A_WEEK = Goal(count=300, size=SizeGrade.HALF, every="week")


def test_a_goal_is_met_from_the_first_day_that_a_tray_of_today_can_serve():
    found = plan_for(a_laying_farm().farm, HALF_A_WEEK, NOW)
    met = [one.wanted.due for one in found.met if one.hindrance is None]
    soon = [one.wanted.due for one in found.met if one.hindrance is Hindrance.TOO_SOON]

    assert len(met) >= 3
    assert max(soon) < found.first_on <= min(met)
    assert {due.weekday() for due in met} == {TODAY.weekday()}


def test_its_trays_are_in_bins_that_lay_on_their_days():
    found = plan_for(a_laying_farm().farm, HALF_A_WEEK, NOW)
    first, last = found.laying[0]

    assert {name for _, names in found.trays for name in names} == {"B1"}
    assert all(first <= day <= last for day, _ in found.trays)


def test_what_a_goal_takes_is_told_whatever_the_farm_has():
    one = plan_for(a_laying_farm().farm, HALF_A_WEEK, NOW).needs
    ten = plan_for(a_laying_farm().farm, Goal(count=3000, size=SizeGrade.HALF, every="week"), NOW).needs

    assert one.trays == 1
    assert one.females_a_tray == 100
    assert ten.eggs == pytest.approx(10 * one.eggs)
    assert ten.trays > one.trays
    assert ten.tubs > one.tubs
    assert ten.bins > one.bins


def test_pinheads_need_no_bin_to_grow_out_in():
    found = plan_for(a_laying_farm(bins=1).farm, Goal(count=500, size=SizeGrade.PINHEAD, every="week"), NOW)

    assert found.needs.bins == 0
    assert any(one.hindrance is None for one in found.met)


def test_what_is_wanted_once_is_planned_for_the_first_good_day():
    found = plan_for(a_laying_farm().farm, Goal(count=300, size=SizeGrade.HALF), NOW)

    assert len(found.met) == 1
    assert found.met[0].hindrance is None


def test_orders_are_planned_together_each_time_of_those_that_come_again():
    book = ordered(
        ordered(a_laying_farm()), count=200, size=SizeGrade.QUARTER, due="2026-06-19", who="Pete", every="week"
    )
    found = plan_for(book.farm, None, NOW)

    assert found.needs is None
    assert found.met[0].wanted.who == "Pete"
    assert [one.wanted.who for one in found.met].count("Delgado") == 1
    assert [one.wanted.due for one in found.met[:2]] == [dt.date(2026, 6, 19), dt.date(2026, 6, 26)]


def test_an_order_of_a_month_keeps_its_day_as_far_as_the_month_has_it():
    book = ordered(a_laying_farm(), due="2026-05-31", every="month")
    found = plan_for(book.farm, None, NOW)

    assert [one.wanted.due.day for one in found.met] == [31, 30, 31, 31, 30, 31]


def test_a_goal_leaves_what_is_ordered_to_those_who_ordered_it():
    book = a_laying_farm()
    alone = plan_for(book.farm, HALF_A_WEEK, NOW)
    beside = plan_for(ordered(book, count=2000, due="2026-06-30").farm, HALF_A_WEEK, NOW)

    assert all(one.wanted.number is None for one in beside.met)
    assert len(beside.met) == len(alone.met)
    assert sum(len(bins) for _, bins in beside.trays) > sum(len(bins) for _, bins in alone.trays)


def test_without_orders_there_is_nothing_to_plan():
    assert plan_for(a_laying_farm().farm, None, NOW).met == ()


def test_crickets_that_are_there_come_before_trays():
    book = a_laying_farm()
    book.write(facts.Stocked(bin="B2", count=2500), at("04-01 08:00"))
    found = plan_for(ordered(book, count=50, due="2026-05-12").farm, None, NOW)

    assert found.met[0].hindrance is None
    assert found.trays == ()


@pytest.mark.parametrize(
    ("book", "hindrance"),
    [
        (ordered(a_laying_farm(), due="2026-05-20"), Hindrance.TOO_SOON),
        (ordered(a_laying_farm(), count=50_000), Hindrance.FEMALES),
        (ordered(a_laying_farm(bins=1), count=1600), Hindrance.ROOM),
        (ordered(a_laying_farm(), due="2026-08-20"), Hindrance.NO_LAYING),
    ],
    ids=["too soon", "females", "room", "no laying"],
)
def test_what_prevents_an_order_is_named(book, hindrance):
    found = plan_for(book.farm, None, NOW)

    assert found.met[0].hindrance is hindrance
    assert found.met[0].count < found.met[0].wanted.count


def test_where_none_lays_it_is_known_that_none_will():
    book = a_notebook()
    book.write(facts.Stocked(bin="B2"), NOW)
    found = plan_for(ordered(book).farm, None, at("05-04 08:30"))

    assert found.trays == ()
    assert found.first_on is not None  # those that were just put in lay in July
    assert plan_for(ordered(a_notebook()).farm, None, NOW).first_on is None


def test_where_it_is_too_cold_there_is_no_plan():
    book = a_laying_farm()
    book.write(facts.Reading(place="lamp shelf", temp_c=12.0), at("05-03 08:00"))

    assert plan_for(book.farm, HALF_A_WEEK, NOW) is None


def test_the_same_farm_gets_the_same_plan():
    farm = a_laying_farm().farm

    assert plan_for(farm, HALF_A_WEEK, NOW) == plan_for(farm, HALF_A_WEEK, NOW)


@pytest.mark.parametrize(("every", "days"), [("week", 7), ("2 weeks", 14), ("month", 30), ("3 days", 3), ("odd", 7)])
def test_how_often_is_told_in_days(every, days):
    assert period_days(every) == days
