"""Hatch windows against what growers go by."""

import datetime as dt
import math

import pytest

from core import units
from core.science import degree_days
from core.science.development import hatch_window
from core.science.logged import forecast
from core.science.species import SpeciesName, species
from core.science.warmth import Swing
from tests.outside import published

PULLED = dt.datetime(2026, 3, 5, 18, tzinfo=dt.UTC)
RULES = pytest.mark.parametrize(
    "row", published.rows("common_practice"), ids=lambda row: f"{row['low']:g}-{row['high']:g} F"
)


def celsius(row):
    return tuple(units.to_celsius(row[column], units.TemperatureUnit.FAHRENHEIT) for column in ("low", "high"))


# Common practice, no source.
@RULES
def test_a_tub_hatches_when_growers_say(row):
    low_c, high_c = celsius(row)

    window = hatch_window([Swing(start_at=PULLED, low_c=low_c, high_c=high_c)], PULLED, species(SpeciesName.HOUSE))

    assert row["least_days"] <= (window.likely - PULLED) / dt.timedelta(days=1) <= row["most_days"]


# Common practice, no source; logged every quarter of an hour, the day as a sine.
@RULES
def test_a_logged_tub_hatches_when_growers_say(row):
    low_c, high_c = celsius(row)
    mean_c, half_range = (low_c + high_c) / 2, (high_c - low_c) / 2
    quarters = [
        (PULLED + dt.timedelta(minutes=15 * number), mean_c - half_range * math.cos(2 * math.pi * number / 96))
        for number in range(96 * 10)
    ]

    window = forecast(quarters, PULLED, SpeciesName.HOUSE)

    assert row["least_days"] <= (window.likely - PULLED) / dt.timedelta(days=1) <= row["most_days"]


# The line through two rules of practice (9.5 d at 90.5 F, 11.5 d at 85 F) has K = 166.9097 and T0 = 14.9306 C, needing
# 36.456 d between 50 and 80 F; the rounded 14.9 and 167 give 9.489, 11.482 and 36.322 d. Computed by hand.
def test_the_rounded_figures_stay_on_the_line_of_practice():
    warm_c, humid_c = 32.5, 29.0 + 4 / 9
    constant = (warm_c - humid_c) / (1 / 9.5 - 1 / 11.5)
    base_c = warm_c - constant / 9.5
    egg = species(SpeciesName.HOUSE).egg

    swing = degree_days.single_sine(10.0, 26 + 2 / 3, base_c)
    rounded = degree_days.single_sine(10.0, 26 + 2 / 3, egg.base_temp_c.value)

    assert (constant, base_c) == (pytest.approx(166.9097, abs=1e-4), pytest.approx(14.9306, abs=1e-4))
    assert constant / swing == pytest.approx(36.456, abs=0.001)
    assert egg.thermal_constant.value / rounded == pytest.approx(36.322, abs=0.001)
