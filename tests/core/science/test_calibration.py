"""What is held of a stage's constants on a farm."""

import math

import numpy as np
import pytest
from msgspec.structs import replace

from core.science.calibration import SHARED, Calibration, untaught
from core.science.species import SpeciesName, species
from core.science.warmth import Gauge

EGG = species(SpeciesName.HOUSE).egg
SHELF, GARAGE, ATTIC = Gauge("shelf"), Gauge("garage"), Gauge("attic", 2.5)
TAUGHT = Calibration(
    stage=EGG,
    values=(0.5, 0.1, 0.3, -0.2, -1.1, 0.4),
    covariance=tuple(tuple(float(10 * row + column) for column in range(6)) for row in range(6)),
    gauges=(SHELF, GARAGE),
    seen=3,
)


def test_nothing_seen_holds_the_figures_of_the_stage_as_sure_as_they_are():
    held = untaught(EGG)

    assert (held.base_c, held.constant, held.cooling_share) == pytest.approx((14.8, 162, 0.39))
    assert held.offset_c(SHELF) == 0
    assert held.seen == 0
    assert np.sqrt(np.diag(held.covariance)) == pytest.approx([0.8, 0.05, 0.08, 0.5])


def test_a_higher_base_goes_with_a_lower_constant_along_the_ridge():
    higher = replace(TAUGHT, values=(1.0, 0.0, 0.39, 0.0, 0.0, 0.0))

    assert higher.base_c == pytest.approx(15.8)
    assert higher.constant == pytest.approx(162 * math.exp(-0.063))
    assert TAUGHT.constant == pytest.approx(162 * math.exp(0.1 - 0.5 * 0.063))


def test_times_at_usual_temperatures_stay_along_the_ridge():
    held = untaught(EGG)
    for base in (-0.8, 0.8):
        moved = replace(held, values=(base, 0.0, 0.39, 0.0))
        for temp_c in (28, 30.5):
            days = moved.constant / (temp_c - moved.base_c)
            assert days == pytest.approx(held.constant / (temp_c - held.base_c), rel=0.02)


@pytest.mark.parametrize(("value", "share"), [(-0.1, 0), (0.3, 0.3), (1.2, 1)])
def test_wet_substrate_cools_at_most_to_the_wet_bulb_and_never_warms(value, share):
    assert replace(TAUGHT, values=(0.0, 0.0, value, 0.0, 0.0, 0.0)).cooling_share == share


def test_a_thermometer_not_known_yet_has_what_the_farm_has_in_common():
    assert TAUGHT.offset_c(SHELF) == pytest.approx(-0.2 - 1.1)
    assert TAUGHT.offset_c(GARAGE) == pytest.approx(-0.2 + 0.4)
    assert TAUGHT.offset_c(ATTIC) == pytest.approx(-0.2)


def test_the_covariance_follows_the_thermometers_asked_for():
    whole = np.array(TAUGHT.covariance)

    got = TAUGHT.for_gauges((ATTIC, GARAGE))

    assert got.shape == (SHARED + 2, SHARED + 2)
    assert got[:SHARED, :SHARED].tolist() == whole[:SHARED, :SHARED].tolist()
    assert got[5, :SHARED].tolist() == whole[5, :SHARED].tolist()
    assert got[5, 5] == whole[5, 5]
    assert got[4].tolist() == [0, 0, 0, 0, 2.5**2, 0]
    assert got[:, 4].tolist() == got[4].tolist()
