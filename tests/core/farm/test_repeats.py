"""What comes again: on which days."""

import datetime as dt

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from core.farm.repeats import first_from, nth, step

DAYS = st.dates(dt.date(2020, 1, 1), dt.date(2040, 12, 31))


@pytest.mark.parametrize(
    ("every", "expected"),
    [("week", (1, "week")), ("2 weeks", (2, "week")), ("month", (1, "month")), ("0 days", (1, "day")), ("", (1, ""))],
)
def test_how_often_is_a_number_and_a_unit(every, expected):
    assert step(every) == expected


# python-dateutil's relativedelta, of the same days: exact.
@given(DAYS, st.integers(1, 12), st.integers(0, 40), st.sampled_from(["day", "week", "month"]))
def test_each_time_is_that_of_dateutil(first, number, index, unit):
    assert nth(first, f"{number} {unit}s", index) == first + relativedelta(**{f"{unit}s": number * index})


@given(DAYS, DAYS, st.integers(1, 12), st.sampled_from(["day", "week", "month"]))
def test_the_first_time_from_a_day_on_is_found_at_once(first, day, number, unit):
    every = f"{number} {unit}s"

    index = first_from(first, every, day)

    assert nth(first, every, index) >= day
    assert index == 0 or nth(first, every, index - 1) < day


@pytest.mark.parametrize("every", ["99999999999 days", "99999999 weeks", "999999999999 months"])
def test_what_no_date_can_hold_is_the_last_day(every):
    assert nth(dt.date(2026, 3, 4), every, 1) == dt.date.max
