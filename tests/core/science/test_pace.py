"""How fast eggs go in each segment of a history."""

import datetime as dt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from core.science.calibration import untaught
from core.science.pace import AS_HELD, BASE, LEVEL_C, OFFSET, SHARE, STEP, mean_of_ramps, pace, rates_of
from core.science.species import SpeciesName, species
from core.science.warmth import Gauge, Ramp, Swing, segments

HELD = untaught(species(SpeciesName.HOUSE).egg)
RATES = rates_of(HELD)
START = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
DAY = dt.timedelta(days=1)
temps = st.floats(-30, 60)


def pace_of(part, held=HELD):
    return pace(segments([part]), held, rates_of(held))


def swing(low_c, high_c, **more):
    return Swing(start_at=START, low_c=low_c, high_c=high_c, **more)


def test_eggs_are_as_warm_as_told_less_their_share_of_the_drop():
    got = pace_of(swing(28, 32, drop_c=5))

    assert (got.from_c[AS_HELD, 0], got.to_c[AS_HELD, 0]) == pytest.approx((28 - 0.39 * 5, 32 - 0.39 * 5))
    assert got.rates[AS_HELD, 0] == pytest.approx(30 - 0.39 * 5 - 14.8)


def test_what_a_thermometer_reads_too_low_is_put_on_for_its_segments_only():
    shelf, garage = Gauge("shelf"), Gauge("garage")
    held = replace(HELD, values=(0.0, 0.0, 0.39, 0.5, 1.5), gauges=(shelf,))
    history = [
        Ramp(start_at=START, end_at=START + DAY, from_c=30, to_c=30, gauge=garage),
        Swing(start_at=START + DAY, low_c=30, high_c=30, gauge=shelf),
    ]

    got = pace(segments(history), held, rates_of(held))

    assert got.from_c[AS_HELD].tolist() == [30.5, 32.0]
    assert got.rates[AS_HELD] == pytest.approx([15.7, 17.2])


def test_each_row_moves_one_value():
    got = pace_of(swing(28, 28, drop_c=5)).rates[:, 0]

    assert got[BASE] - got[AS_HELD] == pytest.approx(-STEP)
    assert got[SHARE] - got[AS_HELD] == pytest.approx(-5 * STEP)
    assert got[OFFSET] - got[AS_HELD] == pytest.approx(STEP)


@given(temps, temps)
def test_a_ramp_goes_at_the_mean_of_its_moments(from_c, to_c):
    ramp = Ramp(start_at=START, end_at=START + 2 * DAY, from_c=from_c, to_c=to_c)
    moments = np.tile(from_c + (to_c - from_c) * (np.arange(20_000) + 0.5) / 20_000, (4, 1))
    moments[OFFSET] += STEP

    got = pace_of(ramp).rates[:, 0]

    assert got == pytest.approx(RATES.rate(moments).mean(axis=1), abs=1e-4)


@given(temps, temps)
def test_a_ramp_up_and_the_same_ramp_down_go_alike(from_c, to_c):
    up, down = np.full((4, 1), from_c), np.full((4, 1), to_c)

    assert mean_of_ramps(RATES, up, down) == pytest.approx(mean_of_ramps(RATES, down, up), abs=1e-6)


@given(temps)
def test_a_ramp_that_hardly_rises_goes_like_a_level_one(temp_c):
    level, risen = np.full((4, 1), temp_c), np.full((4, 1), temp_c + 1.5 * LEVEL_C)

    assert mean_of_ramps(RATES, level, risen) == pytest.approx(mean_of_ramps(RATES, level, level), abs=1e-5)
