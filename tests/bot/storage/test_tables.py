"""Times as the tables keep them."""

import datetime as dt

import hypothesis
import pytest
from hypothesis import strategies as st
from sqlalchemy.dialects import sqlite

from bot.storage.tables import UtcTime

DIALECT = sqlite.dialect()
moments = st.datetimes(timezones=st.timezones())


@hypothesis.given(moments)
def test_a_time_comes_back_as_the_same_moment_in_utc(at):
    back = UtcTime().process_result_value(UtcTime().process_bind_param(at, DIALECT), DIALECT)

    assert back == at.astimezone(dt.UTC)
    assert back.tzinfo is dt.UTC


@hypothesis.given(moments, moments)
def test_times_sort_as_the_moments_do(one, other):
    kept = [UtcTime().process_bind_param(at, DIALECT) for at in (one, other)]

    assert (kept[0] < kept[1]) == (one.astimezone(dt.UTC) < other.astimezone(dt.UTC))


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="no time zone"):
        UtcTime().process_bind_param(dt.datetime(2026, 5, 1), DIALECT)  # noqa: DTZ001 - that is the point
