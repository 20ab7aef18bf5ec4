"""The summary of a week: when, and what."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import facts, notices, wants
from core.journal.kinds import Addable, Density, Setting
from core.rules.forecasts import forecasts
from core.rules.weekly import Week, due, next_at, week_from, week_until
from core.units import SizeGrade
from tests.builders import DENVER, a_journal, at

MONDAY = at("05-18 07:00")
DAY = dt.timedelta(days=1)
ZONE = (wants.Set(what=Setting.TIMEZONE, to=DENVER), at("05-01 08:00"))
STOCKED = (facts.Stocked(bin="B4", tubs=("T9",), count=900), at("05-02 08:00"))
DEAD = (facts.Dead(bin="B4", count=9), at("05-16 08:00"))


def a_farm(*journal):
    return fold(a_journal(ZONE, STOCKED, DEAD, *journal))


def a_setting(to, when="05-03 08:00"):
    return (wants.Set(what=Setting.SUMMARY, to=to), at(when))


def test_it_is_due_on_monday_mornings():
    farm = a_farm()

    assert due(farm, MONDAY - dt.timedelta(minutes=1)) is None
    assert due(farm, MONDAY) == MONDAY
    assert due(farm, MONDAY + dt.timedelta(hours=5)) == MONDAY
    assert due(farm, MONDAY + 2 * DAY) is None


def test_it_is_told_once():
    farm = a_farm((notices.Summed(at=MONDAY), MONDAY))

    assert due(farm, MONDAY + dt.timedelta(hours=1)) is None
    assert next_at(farm, MONDAY + dt.timedelta(hours=1)) == MONDAY + 7 * DAY


def test_the_day_is_chosen():
    farm = a_farm(a_setting("fri"), (DEAD[0], at("05-20 08:00")))

    assert due(farm, MONDAY) is None
    assert due(farm, at("05-22 07:00")) == at("05-22 07:00")


@pytest.mark.parametrize(
    "farm",
    [
        pytest.param((ZONE, STOCKED, DEAD, a_setting("off")), id="nobody wants it"),
        pytest.param((ZONE, STOCKED), id="nothing was told in the week"),
        pytest.param(((STOCKED[0], at("05-14 08:00")), DEAD), id="the farm is not a week old"),
    ],
)
def test_there_is_none_where(farm):
    assert due(fold(a_journal(*farm)), MONDAY) is None


def test_orders_of_the_next_week_are_reason_enough():
    order = wants.Order(who="Delgado", count=150, size=SizeGrade.HALF, due=dt.date(2026, 5, 22))

    assert due(fold(a_journal(ZONE, STOCKED, (order, at("05-03 08:00")))), MONDAY) == MONDAY


def test_a_farm_that_tells_of_nothing_waits_for_none():
    bin_alone = (wants.Add(what=Addable.BIN, name="B1"), at("05-02 08:00"))

    assert next_at(fold(a_journal(ZONE, bin_alone)), MONDAY) is None
    assert next_at(fold(a_journal(ZONE, bin_alone, STOCKED)), MONDAY) == MONDAY + 7 * DAY


def test_it_waits_for_the_quiet_hours_to_end():
    farm = a_farm((wants.Set(what=Setting.QUIET_HOURS, to="21:00-09:00"), at("05-03 08:00")))

    assert due(farm, at("05-18 07:30")) is None
    assert next_at(farm, at("05-18 07:30")) == at("05-18 09:00")
    assert due(farm, at("05-18 09:00")) == MONDAY


def test_a_week_is_summed_up():
    journal = (
        (facts.TrayOut(bin="B1", tub="T1", place="lamp shelf", density=Density.MANY), at("05-03 08:00")),
        (facts.Hatch(tub="T1"), at("05-14 08:00")),
        (facts.Dead(bin="B4", count=8), at("05-10 08:00")),
        (facts.Dead(bin="B4", count=12), at("05-12 08:00")),
        (facts.Harvested(bin="B4", count=200), at("05-15 08:00")),
        (facts.Sold(who="Delgado", count=150, size=SizeGrade.HALF, price=15.0), at("05-15 09:00")),
        (facts.Sold(who="Pete", count=10), at("05-18 09:00")),
    )

    found = week_until(a_farm(*journal), MONDAY)

    assert found == Week(hatched=("T1",), harvested=200, sold=150, money=15.0, sales=1, lost=21)
    assert not found.is_empty
    assert week_until(a_farm(), at("06-25 07:00")).is_empty


def test_what_comes_is_looked_at():
    journal = (
        (facts.TrayOut(bin="B1", tub="T1", place="lamp shelf", density=Density.MANY), at("04-28 08:00")),
        (wants.Order(who="Delgado", count=150, size=SizeGrade.HALF, due=dt.date(2026, 5, 22), every="week"), MONDAY),
    )
    farm = a_farm(*journal)

    ahead = week_from(farm, forecasts(farm), MONDAY)

    assert (ahead.hatches, ahead.orders, ahead.count) == (("T1",), 1, 150)
