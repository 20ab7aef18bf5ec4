"""Forecasts from logged temperatures."""

import datetime as dt
import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.curve import DevelopmentCurve
from core.science.development import NoForecast, TooCold, hatch_window
from core.science.logged import coming_swing, forecast, log_of
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.science.warmth import HistoryError, Ramp, Swing, day_number

HOUSE = species(SpeciesName.HOUSE)
PULLED = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
HOUR = dt.timedelta(hours=1)
CONSTANT_DAYS = 162 / (32.5 - 14.8)
MEAN_C, HALF_RANGE_C = 18.333, 8.333


def hourly(temp_c, count, start=0):
    """Readings an hour apart, `temp_c` being a function of the hour."""
    return [(PULLED + hour * HOUR, temp_c(hour)) for hour in range(start, start + count)]


def sine(hour):
    return MEAN_C - HALF_RANGE_C * math.cos(2 * math.pi * hour / 24)


def forecast_of(readings, laid_at=PULLED, drops_c=None):
    return forecast(log_of(readings, drops_c), laid_at, HOUSE)


def days_until(at):
    return (at - PULLED) / dt.timedelta(days=1)


def coming_of(readings):
    return coming_swing(np.array([day_number(at) for at, _ in readings]), np.array([temp_c for _, temp_c in readings]))


@pytest.mark.parametrize(
    "readings",
    [
        pytest.param([(PULLED, 32.5)], id="one reading"),
        pytest.param(hourly(lambda _: 32.5, 24 * 20), id="the whole time"),
        pytest.param(hourly(lambda _: 32.5, 30, start=48), id="from the third day on"),
        pytest.param(hourly(lambda _: 32.5, 30, start=-48), id="ended before the lay"),
    ],
)
def test_a_constant_series_forecasts_like_its_temperature(readings):
    assert days_until(forecast_of(readings).likely) == pytest.approx(CONSTANT_DAYS, abs=1e-4)


def test_a_full_series_is_integrated():
    logged = forecast_of(hourly(sine, 24 * 50))
    per_day = DevelopmentCurve(
        [Swing(start_at=PULLED, low_c=MEAN_C - HALF_RANGE_C, high_c=MEAN_C + HALF_RANGE_C)], HOUSE.egg
    ).coming_rate

    assert days_until(logged.likely) == pytest.approx(162 / per_day, abs=0.6)  # it hatches at a warm hour


@given(st.lists(st.tuples(st.floats(0.1, 48), st.floats(10, 44)), min_size=2, max_size=12))
def test_readings_forecast_like_the_lines_between_them(steps):
    readings, at = [], PULLED
    for hours, temp_c in steps:
        readings.append((at, temp_c))
        at += hours * HOUR
    low_c, high_c = coming_of(readings)
    ramps = [
        Ramp(start_at=start, end_at=end, from_c=from_c, to_c=to_c)
        for (start, from_c), (end, to_c) in itertools.pairwise(readings)
    ]
    lines = hatch_window([*ramps, Swing(start_at=readings[-1][0], low_c=low_c, high_c=high_c)], PULLED, HOUSE)

    logged = forecast_of(readings)

    if isinstance(lines, NoForecast):
        assert logged.mean_temp_c == pytest.approx(lines.mean_temp_c)
    else:
        assert abs(logged.likely - lines.likely) <= dt.timedelta(seconds=2)
        assert abs(logged.latest - lines.latest) <= dt.timedelta(minutes=1)


def test_a_series_that_ends_goes_on_with_its_daily_swing():
    whole, part = forecast_of(hourly(sine, 24 * 50)), forecast_of(hourly(sine, 24 * 4 + 1))

    assert days_until(part.likely) == pytest.approx(days_until(whole.likely), abs=0.7)  # a swing has no hour of the day


def test_days_to_come_have_the_sine_of_the_days_that_were():
    low_c, high_c = coming_of(hourly(sine, 24 * 5 + 1))

    assert (low_c, high_c) == pytest.approx((MEAN_C - HALF_RANGE_C, MEAN_C + HALF_RANGE_C), abs=0.1)


def test_of_the_last_three_days_each_counts_half_as_much_as_the_one_after_it():
    steps = hourly(lambda hour: (20, 22, 26, 31)[min(hour // 24, 3)], 24 * 4 + 1)

    low_c, high_c = coming_of(steps)

    # The first hour of each day is on the way up from the one before.
    assert (low_c + high_c) / 2 == pytest.approx((4 * 31 + 2 * 26 + 22) / 7, abs=0.2)


def test_days_further_back_say_nothing_of_what_is_coming():
    long_ago_cold = hourly(lambda hour: 20 if hour < 48 else 30, 24 * 6)

    window = forecast_of(long_ago_cold)

    gained = 47.5 / 24 * 5.2 + 0.5 / 24 * 15.2
    assert days_until(window.likely) == pytest.approx(48 / 24 + (162 - gained) / 15.2, abs=0.02)


def test_less_than_a_day_goes_on_at_its_mean():
    window = forecast_of([(PULLED, 30), (PULLED + 6 * HOUR, 34)])

    assert days_until(window.likely) == pytest.approx(162 / (32 - 14.8), abs=0.01)


def test_wet_eggs_are_cooler_than_what_was_logged():
    readings = hourly(lambda _: 32.5, 24 * 20)

    wet = forecast_of(readings, drops_c=[4.0] * len(readings))

    assert days_until(wet.likely) == pytest.approx(162 / (32.5 - 0.39 * 4 - 14.8), abs=1e-3)
    assert (wet.air_temp_c, wet.egg_temp_c) == (pytest.approx(32.5), pytest.approx(32.5 - 0.39 * 4))


def test_a_cold_series_is_not_forecast():
    assert isinstance(forecast_of(hourly(lambda _: 12, 48)), TooCold)


@pytest.mark.parametrize(
    ("readings", "error", "message"),
    [
        pytest.param([], HistoryError, "number of readings is 0, must be at least 1", id="none"),
        pytest.param(
            [(PULLED, 30), (PULLED + HOUR, math.nan)],
            OutOfRangeError,
            r"temperature of reading 2 \[C\] is nan, must be from -30 to 60",
            id="not a number",
        ),
        pytest.param([(PULLED, math.inf)], OutOfRangeError, r"reading 1 \[C\] is inf", id="infinite"),
        pytest.param(
            hourly(lambda _: 85, 30),
            OutOfRangeError,
            r"temperature of reading 1 \[C\] is 85, must be from -30 to 60",
            id="Fahrenheit",
        ),
        pytest.param(
            hourly(lambda hour: 55 + hour % 2, 30),
            OutOfRangeError,
            r"mean of all readings \[C\] is 55.5, must be from -30 to 45",
            id="a cool place in Fahrenheit",
        ),
        pytest.param(
            [(PULLED, 30), (PULLED, 31)],
            HistoryError,
            "time of reading 2 is 2026-05-01T00:00:00.* must be after the one before, 2026-05-01T00:00:00",
            id="doubled",
        ),
        pytest.param(
            hourly(lambda _: 30, 3)[::-1],
            HistoryError,
            "time of reading 2 is 2026-05-01T01:00:00.* must be after the one before, 2026-05-01T02:00:00",
            id="unordered",
        ),
        pytest.param(
            [(PULLED, 30), (PULLED + HOUR, 30), (PULLED + 24 * 21 * HOUR, 30)],
            OutOfRangeError,
            r"gap before reading 3 \[days\] is 20.9583, must be from 0 to 7",
            id="gap of weeks",
        ),
        pytest.param([(PULLED.replace(tzinfo=None), 30)], HistoryError, "must have a time zone", id="naive"),
    ],
)
def test_a_bad_series_is_refused(readings, error, message):
    with pytest.raises(error, match=message):
        log_of(readings)


@pytest.mark.parametrize(
    ("drops_c", "error", "message"),
    [
        ([1.0], HistoryError, "number of drops is 1, must be that of the readings, 2"),
        ([1.0, math.nan], OutOfRangeError, r"drop of reading 2 \[C\] is nan, must be from 0 to 40"),
        ([-1.0, 0.0], OutOfRangeError, r"drop of reading 1 \[C\] is -1"),
    ],
)
def test_bad_drops_are_refused(drops_c, error, message):
    with pytest.raises(error, match=message):
        log_of(hourly(lambda _: 30, 2), drops_c)


def test_a_lay_without_time_zone_is_refused():
    with pytest.raises(HistoryError, match="must have a time zone"):
        forecast_of([(PULLED, 30)], PULLED.replace(tzinfo=None))
