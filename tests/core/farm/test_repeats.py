"""What comes again: on which days."""

import datetime as dt

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from core.farm.repeats import nth, step

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
