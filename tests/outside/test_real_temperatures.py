"""Degree-days on the series of Seattle that vega_datasets ships with itself, so that no network is needed.

The lows and highs of 2012 to 2015 were measured; the hours of 2010 are usual ones, smoother than those of a real day.
"""

import datetime as dt
from itertools import pairwise

import msgspec
import numpy as np
import pytest
from nonlineartemppy import calculations
from vega_datasets import local_data

from core import units
from core.science import degree_days
from core.science.development import DevelopmentCurve
from core.science.species import SpeciesName, species
from core.science.warmth import Ramp, Swing

BASE_C = 14.93  # of the two rules of common practice; the figures worked out beforehand stand on it


def egg_with_base(base_c):
    """Give the egg of the table another base; July stays far below any cutoff."""
    egg = species(SpeciesName.HOUSE).egg
    return msgspec.structs.replace(egg, base_temp_c=msgspec.structs.replace(egg.base_temp_c, value=base_c))


def daily():
    """The lows and highs of each day of 2012 to 2015. [C]."""
    frame = local_data.seattle_weather()
    return frame.rename(columns={"temp_min": "tmin", "temp_max": "tmax"})[["date", "tmin", "tmax"]]


def hourly_of_july():
    """The hours of July 2010 and the midnight after it, as aware times and Celsius."""
    frame = local_data.seattle_temps()
    july = frame[(frame.date >= "2010-07-01") & (frame.date <= "2010-08-01")]
    found = [
        (time.to_pydatetime().replace(tzinfo=dt.UTC), units.to_celsius(temp, units.TemperatureUnit.FAHRENHEIT))
        for time, temp in zip(july.date, july.temp, strict=True)
    ]
    assert len(found) == 31 * 24 + 1
    return found


def days_of_july():
    """The low and high of each day of July 2010, from its hours. [C]."""
    hours = np.array([temp_c for _, temp_c in hourly_of_july()[:-1]]).reshape(31, 24)
    return list(zip(hours.min(axis=1), hours.max(axis=1), strict=True))


# nonlineartemppy 0.201 (A. J. Woodill), each day of a year; it rounds to five decimals, once for each threshold.
@pytest.mark.parametrize("year", [2012, 2013, 2014, 2015])
@pytest.mark.parametrize(("base", "cutoff"), [(BASE_C, 34.0), (5.0, 18.0)])
def test_each_day_of_a_year_has_the_sine_of_nonlineartemppy(year, base, cutoff):
    days = daily()
    days = days[days.date.dt.year == year]

    theirs = calculations.degree_days(days, [base, cutoff])

    expected = theirs[f"dday{base}C"] - theirs[f"dday{cutoff}C"]
    got = [
        degree_days.single_sine(low, high, base, cutoff=cutoff) for low, high in zip(days.tmin, days.tmax, strict=True)
    ]
    assert len(got) >= 365
    assert sum(value > 0 for value in got) > 100
    assert got == pytest.approx(expected.to_list(), abs=1.1e-5)


# Worked out beforehand with nonlineartemppy: 550.76665 degree-days from June to September 2014, of which 166.9 are
# reached on the 44th day, with 172.0466. Tolerance: half of a unit in the fifth decimal for each day.
def test_a_summer_of_seattle_reaches_a_hatch_on_its_44th_day():
    summer = daily()
    summer = summer[(summer.date >= "2014-06-01") & (summer.date <= "2014-09-30")]

    sums = np.cumsum([degree_days.single_sine(*day, BASE_C) for day in zip(summer.tmin, summer.tmax, strict=True)])

    assert sums[-1] == pytest.approx(550.76665, abs=122 * 5e-6)
    assert sums[43] == pytest.approx(172.0466, abs=44 * 5e-6 + 5e-5)
    assert sums[42] < 166.9


# Worked out beforehand, not published, printed to three decimals: what each way of reckoning makes of July.
@pytest.mark.parametrize(
    ("method", "total"),
    [
        (degree_days.single_sine, 115.707),
        (degree_days.single_triangle, 112.082),
        (degree_days.plain_average, 108.920),
    ],
    ids=lambda value: getattr(value, "__name__", None),
)
def test_july_has_the_total_of_each_method(method, total):
    assert sum(method(low, high, BASE_C) for low, high in days_of_july()) == pytest.approx(total, abs=5e-4)


# The same, 109.066: each hour at its own reading, as a history of steps. The sine reads 6.1 % more, mostly because the
# mean of these days lies below the middle of low and high: why logged hours are preferred.
def test_july_as_hourly_steps_has_the_total_of_its_hours():
    hours = hourly_of_july()
    steps = [
        Swing(start_at=start, end_at=end, low_c=temp_c, high_c=temp_c) for (start, temp_c), (end, _) in pairwise(hours)
    ]

    got = DevelopmentCurve(steps, egg_with_base(BASE_C)).progress(hours[0][0], hours[-1][0])

    sine = sum(degree_days.single_sine(low, high, BASE_C) for low, high in days_of_july())
    assert got == pytest.approx(109.066, abs=5e-4)
    assert sine / got == pytest.approx(1.061, abs=5e-4)


# The hours joined by lines, against numpy: the excess on a grid of 360 points an hour, by the trapezium rule. Its error
# is a corner where a day crosses the base, a slope of 3 C/h within a step of 10 s: under 1e-5 in all 62.
def test_july_as_lines_between_its_hours_is_integrated_exactly():
    hours = hourly_of_july()
    ramps = [
        Ramp(start_at=start, end_at=end, from_c=from_c, to_c=to_c) for (start, from_c), (end, to_c) in pairwise(hours)
    ]
    grid = np.linspace(0, len(ramps), 360 * len(ramps) + 1)
    excess = np.maximum(np.interp(grid, np.arange(len(hours)), [temp_c for _, temp_c in hours]) - BASE_C, 0)

    got = DevelopmentCurve(ramps, egg_with_base(BASE_C)).progress(hours[0][0], hours[-1][0])

    assert got == pytest.approx(np.trapezoid(excess, grid) / 24, abs=1e-5)
    assert got == pytest.approx(109.066, rel=0.002)  # the steps: they only jump where the lines slope
