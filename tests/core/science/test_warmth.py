"""Histories of warmth: their segments and what is no history."""

import datetime as dt
import math
from zoneinfo import ZoneInfo

import pytest

from core.science.ranges import OutOfRangeError
from core.science.warmth import ANY_GAUGE, Gauge, HistoryError, Ramp, Swing, at_day, day_number, segments

DAY_0 = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
DAY_1, DAY_2, DAY_4 = (DAY_0 + dt.timedelta(days=days) for days in (1, 2, 4))


def test_a_history_becomes_one_segment_a_part():
    shelf, garage = Gauge("shelf"), Gauge("garage", 2.5)
    history = [
        Ramp(start_at=DAY_0, end_at=DAY_1, from_c=40, to_c=10, drop_c=3, gauge=shelf),
        Swing(start_at=DAY_1, end_at=DAY_2, low_c=20, high_c=30, gauge=garage),
        Ramp(start_at=DAY_2, end_at=DAY_4, from_c=21, to_c=22, gauge=shelf),
        Swing(start_at=DAY_4, low_c=25, high_c=25),
    ]

    got = segments(history)

    assert got.starts.tolist() == [day_number(at) for at in (DAY_0, DAY_1, DAY_2, DAY_4)]
    assert got.lengths.tolist() == [1, 1, 2, math.inf]
    assert got.from_c.tolist() == [40, 20, 21, 25]
    assert got.to_c.tolist() == [10, 30, 22, 25]
    assert got.swings.tolist() == [False, True, False, True]
    assert got.drops_c.tolist() == [3, 0, 0, 0]
    assert [got.gauges[index] for index in got.gauge_of] == [shelf, garage, shelf, ANY_GAUGE]
    assert len(got.gauges) == 3


def test_a_history_ends_with_its_last_part():
    ramp = Ramp(start_at=DAY_0, end_at=DAY_2, from_c=20, to_c=20)

    assert segments([ramp]).end == day_number(DAY_2)
    assert segments([ramp, Swing(start_at=DAY_2, low_c=20, high_c=20)]).end == math.inf


def test_a_day_is_24_hours_on_the_day_the_clocks_change():
    denver = ZoneInfo("America/Denver")
    before, after = dt.datetime(2026, 3, 7, 12, tzinfo=denver), dt.datetime(2026, 3, 8, 12, tzinfo=denver)

    assert day_number(after) - day_number(before) == pytest.approx(23 / 24)


def test_the_number_of_a_day_leads_back_to_its_second():
    at = dt.datetime(2026, 11, 1, 1, 30, 7, tzinfo=ZoneInfo("America/Denver"), fold=1)

    assert at_day(day_number(at), at.tzinfo).isoformat() == at.isoformat()


@pytest.mark.parametrize(
    ("history", "message"),
    [
        pytest.param([], "history of warmth is empty", id="empty"),
        pytest.param(
            [Ramp(start_at=DAY_0, end_at=DAY_1, from_c=20, to_c=20), Swing(start_at=DAY_2, low_c=20, high_c=20)],
            "start of warmth is 2026-05-03.* must be the end of the one before",
            id="hole",
        ),
        pytest.param(
            [Ramp(start_at=DAY_0, end_at=DAY_2, from_c=20, to_c=20), Swing(start_at=DAY_1, low_c=20, high_c=20)],
            "start of warmth is 2026-05-02.* must be the end of the one before",
            id="overlap",
        ),
        pytest.param(
            [Swing(start_at=DAY_0, low_c=20, high_c=20), Swing(start_at=DAY_1, low_c=20, high_c=20)],
            "must be the end of the one before",
            id="goes on in the middle",
        ),
        pytest.param(
            [Swing(start_at=DAY_1, end_at=DAY_0, low_c=20, high_c=20)], "must be after its start", id="backwards"
        ),
        pytest.param(
            [Swing(start_at=DAY_0.replace(tzinfo=None), low_c=20, high_c=20)], "must have a time zone", id="naive"
        ),
    ],
)
def test_what_is_no_history_is_refused(history, message):
    with pytest.raises(HistoryError, match=message):
        segments(history)


@pytest.mark.parametrize("temp_c", [900, 85, -40, math.nan, math.inf])
def test_an_absurd_temperature_is_refused(temp_c):
    with pytest.raises(OutOfRangeError, match=r"temperature \[C\] is .*, must be from -30 to 60"):
        Ramp(start_at=DAY_0, end_at=DAY_1, from_c=20, to_c=temp_c)
    with pytest.raises(OutOfRangeError, match=r"high of the day \[C\] is .*, must be from 20 to 60"):
        Swing(start_at=DAY_0, low_c=20, high_c=temp_c)


def test_a_swing_upside_down_is_refused():
    with pytest.raises(OutOfRangeError, match=r"high of the day \[C\] is 20, must be from 25 to 60"):
        Swing(start_at=DAY_0, low_c=25, high_c=20)


@pytest.mark.parametrize("drop_c", [-0.1, 41, math.nan])
def test_a_drop_that_no_air_can_give_is_refused(drop_c):
    with pytest.raises(OutOfRangeError, match=r"drop of a wet surface \[C\] is .*, must be from 0 to 40"):
        Swing(start_at=DAY_0, low_c=20, high_c=20, drop_c=drop_c)
    with pytest.raises(OutOfRangeError, match=r"drop of a wet surface \[C\] is .*, must be from 0 to 40"):
        Ramp(start_at=DAY_0, end_at=DAY_1, from_c=20, to_c=20, drop_c=drop_c)


@pytest.mark.parametrize("sd_c", [-1, 11, math.nan])
def test_a_thermometer_that_tells_nothing_is_refused(sd_c):
    with pytest.raises(OutOfRangeError, match=r"thermometer error \[C\] is .*, must be from 0 to 10"):
        Gauge("shelf", sd_c)
