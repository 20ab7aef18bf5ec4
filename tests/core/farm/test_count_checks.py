"""No more is taken out of a bin than is there, crickets only grow, and no order is for a day that is past."""

import datetime as dt

import pytest

from core.farm.checks import findings
from core.farm.faults import Fault
from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Setting
from core.units import SizeGrade
from tests.builders import DENVER, NOON, a_journal, after, an_event

STOCKED = (facts.Stocked(bin="B4", tubs=("T1",), count=1000), NOON)
UNCOUNTED = (facts.Stocked(bin="B4", tubs=("T1",)), NOON)
EMPTIED = (facts.Moved(from_="B4", to="B5"), after(days=5))
TEN_DAYS_ON = after(days=10)


def faults(body, *entries, happened_at=TEN_DAYS_ON, **fields):
    farm = fold(a_journal((wants.Set(what=Setting.TIMEZONE, to=DENVER), NOON), *entries))
    found = findings(farm, an_event(body, number=99, happened_at=happened_at, **fields))
    return [(one.fault, one.figure if one.figure is not None else one.word) for one in found]


@pytest.mark.parametrize(
    "body",
    [
        pytest.param(facts.Moved(from_="B4", to="B5", count=1001), id="moved"),
        pytest.param(facts.Harvested(bin="B4", count=1001), id="harvested"),
        pytest.param(facts.Sold(bin="B4", count=1001), id="sold"),
        pytest.param(facts.Dead(bin="B4", count=1001), id="dead"),
    ],
)
def test_no_more_is_taken_than_the_book_has(body):
    assert faults(body, STOCKED) == [(Fault.TOO_MANY, 1000.0)]
    assert faults(body, UNCOUNTED) == []
    assert faults(type(body)(**{f: getattr(body, f) for f in body.__struct_fields__} | {"count": 1000}), STOCKED) == []


def test_of_an_empty_bin_nothing_is_taken():
    assert faults(facts.Moved(from_="B4", to="B6"), STOCKED, EMPTIED) == [(Fault.EMPTY_BIN, None)]
    assert faults(facts.Sold(bin="B4", count=5), STOCKED, EMPTIED) == [(Fault.EMPTY_BIN, None)]


def test_what_was_before_a_bin_was_empty_may_be_told_late():
    assert faults(facts.Dead(bin="B4", count=5), STOCKED, EMPTIED, happened_at=after(days=2)) == []


def test_a_bin_that_nobody_told_of_may_have_any_number():
    assert faults(facts.Sold(bin="B9", count=5000)) == []


def test_what_was_taken_out_for_a_sale_may_be_sold():
    taken = (facts.Harvested(bin="B4", count=1000), after(days=9))

    assert faults(facts.Sold(bin="B4", count=1000), STOCKED, taken) == []
    assert faults(facts.Sold(bin="B4", count=1001), STOCKED, taken) == [(Fault.TOO_MANY, 1000.0)]


def test_a_bin_is_not_moved_into_itself():
    assert faults(facts.Moved(from_="B4", to="B4"), STOCKED) == [(Fault.SAME_BIN, None)]


def test_crickets_do_not_shrink():
    half = (facts.Sized(bin="B4", size=SizeGrade.HALF), after(days=8))

    assert faults(facts.Sized(bin="B4", size=SizeGrade.QUARTER), STOCKED, half) == [(Fault.SHRUNK, "1/2in")]
    assert faults(facts.Sized(bin="B4", size=SizeGrade.HALF), STOCKED, half) == []
    assert faults(facts.Sized(bin="B4", size=SizeGrade.QUARTER), STOCKED, half, happened_at=after(days=7)) == []


def test_smaller_ones_that_came_in_since_may_be_smaller():
    half = (facts.Sized(bin="B4", size=SizeGrade.HALF), after(days=8))
    more = (facts.Stocked(bin="B4", tubs=("T2",), count=300), after(days=9))

    assert faults(facts.Sized(bin="B4", size=SizeGrade.PINHEAD), STOCKED, half, more) == []


@pytest.mark.parametrize(
    ("due", "every", "found"),
    [
        pytest.param(dt.date(2026, 5, 3), None, [(Fault.DUE_PAST, "2026-05-03")], id="yesterday"),
        pytest.param(dt.date(2026, 5, 4), None, [], id="today"),
        pytest.param(dt.date(2026, 5, 3), "week", [], id="yesterday, and every week"),
    ],
)
def test_an_order_is_for_a_day_to_come(due, every, found):
    wanted = wants.Order(who="Dana", count=250, size=SizeGrade.HALF, due=due, every=every)

    assert faults(wanted, happened_at=NOON) == found


def test_an_order_is_for_some():
    none = wants.Order(who="Dana", count=0, size=SizeGrade.HALF, due=dt.date(2026, 5, 9))

    assert faults(none, happened_at=NOON) == [(Fault.NUMBER, 0.0)]
