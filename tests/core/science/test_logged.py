"""Forecasts from logged temperatures."""

import datetime as dt
import math

import pytest

from core.science.development import TooCold
from core.science.logged import forecast
from core.science.ranges import OutOfRangeError
from core.science.species import UnknownSpeciesError
from core.science.warmth import HistoryError

PULLED = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
CONSTANT_DAYS = 167 / (32.5 - 14.9)


def hourly(temp_c, count, start=0):
    """Readings an hour apart, `temp_c` being a function of the hour."""
    return [(PULLED + dt.timedelta(hours=hour), temp_c(hour)) for hour in range(start, start + count)]


def sine(hour):
    return 18.333 - 8.333 * math.cos(2 * math.pi * hour / 24)


def days_until(at):
    return (at - PULLED) / dt.timedelta(days=1)


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
    assert days_until(forecast(readings, PULLED, "house").likely) == pytest.approx(CONSTANT_DAYS, abs=1e-4)


def test_a_full_series_is_integrated():
    logged = forecast(hourly(sine, 24 * 50), PULLED, "house")

    assert days_until(logged.likely) == pytest.approx(167 / 4.60, abs=0.6)  # 4.60 a day; hatch at a warm hour


def test_a_series_that_ends_goes_on_with_its_daily_swing():
    whole, part = forecast(hourly(sine, 24 * 50), PULLED, "house"), forecast(hourly(sine, 24 * 4 + 1), PULLED, "house")

    assert days_until(part.likely) == pytest.approx(days_until(whole.likely), abs=0.7)  # a swing has no hour of the day


def test_only_the_last_three_days_say_what_is_coming():
    series = hourly(lambda hour: 20 if hour < 48 else 30, 24 * 6)

    window = forecast(series, PULLED, "house")

    gained = 47.5 / 24 * 5.1 + 0.5 / 24 * 15.1
    assert days_until(window.likely) == pytest.approx(48 / 24 + (167 - gained) / 15.1, abs=0.02)


def test_less_than_a_day_goes_on_at_its_mean():
    window = forecast([(PULLED, 30), (PULLED + dt.timedelta(hours=6), 34)], PULLED, "house")

    assert days_until(window.likely) == pytest.approx(167 / (32 - 14.9), abs=0.01)


def test_a_cold_series_is_not_forecast():
    assert isinstance(forecast(hourly(lambda _: 12, 48), PULLED, "house"), TooCold)


@pytest.mark.parametrize(
    ("readings", "error", "message"),
    [
        pytest.param([], HistoryError, "number of readings is 0, must be at least 1", id="none"),
        pytest.param(
            [(PULLED, math.nan)], OutOfRangeError, r"temperature of reading 1 \[C\] is nan", id="not a number"
        ),
        pytest.param(
            [(PULLED, 85)], OutOfRangeError, r"reading 1 \[C\] is 85, must be from -30 to 60", id="Fahrenheit"
        ),
        pytest.param(
            [(PULLED, 30), (PULLED, 31)], HistoryError, "time of reading 2 is .* must be after the one", id="doubled"
        ),
        pytest.param(hourly(lambda _: 30, 3)[::-1], HistoryError, "time of reading 2 is", id="unordered"),
        pytest.param([(PULLED.replace(tzinfo=None), 30)], HistoryError, "must have a time zone", id="naive"),
    ],
)
def test_a_bad_series_is_refused(readings, error, message):
    with pytest.raises(error, match=message):
        forecast(readings, PULLED, "house")


def test_an_unknown_species_is_refused():
    with pytest.raises(UnknownSpeciesError):
        forecast([(PULLED, 30)], PULLED, "locust")
