"""Evaporation: what must hold for any water and air. Published values are in tests/outside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science import evaporation, moist_air
from core.science.ranges import OutOfRangeError

temps = st.floats(5, 45)
humidities = st.floats(0, 99)
shares = st.floats(0, 1)  # 0: water as warm as the air, 1: at the wet bulb


@given(temp_c=temps, rh=humidities, share=shares)
def test_the_still_form_is_the_least_and_the_fan_the_most(temp_c, rh, share):
    water_c = max(0.0, temp_c - share * (temp_c - moist_air.wet_bulb(temp_c, rh)))
    ratios = moist_air.humidity_ratio(water_c, 100), moist_air.humidity_ratio(temp_c, rh)

    still = evaporation.shah_evaporation(water_c, temp_c, rh)

    assert 0 <= still <= evaporation.carrier_evaporation(water_c, temp_c, rh) + 1e-6
    assert still * 1.5 <= evaporation.engineering_evaporation(*ratios) + 1e-4


@given(temp_c=temps, rh=st.floats(0, 90), share=shares)
def test_drier_air_takes_more(temp_c, rh, share):
    water_c = temp_c - share * (temp_c - moist_air.wet_bulb(temp_c, rh))

    drier = evaporation.shah_evaporation(water_c, temp_c, rh)

    assert drier > evaporation.shah_evaporation(water_c, temp_c, rh + 10)


def test_water_warmer_than_the_air_lifts_it_and_gives_more():
    warm, cool = (evaporation.shah_evaporation(water_c, 25, 60) for water_c in (30, 20))

    assert warm > 3 * cool > 0


# By hand: W 0.01331 and 0.02720, dry air 1.1400 and 1.1157 kg/m3, so 35 x 1.1157 x 0.0243^(1/3) x 0.01389 = 0.157.
def test_the_two_parts_of_the_still_form():
    assert evaporation.shah_evaporation(30, 30, 50) == pytest.approx(0.1573, abs=5e-4)
    # At the wet bulb the air over the water is heavier: what is left is 5e-5 x (2643.6 - 2123.0) Pa.
    assert evaporation.shah_evaporation(22.005, 30, 50) == pytest.approx(0.0261, abs=1e-4)


def test_nothing_evaporates_where_dew_falls():
    assert evaporation.shah_evaporation(10, 30, 80) == 0
    assert evaporation.carrier_evaporation(10, 30, 80) == 0
    assert evaporation.engineering_evaporation(0.008, 0.02) == 0


@pytest.mark.parametrize("speed", [0.3, 2])
def test_wind_adds_in_a_straight_line(speed):
    still, moved, faster = (
        evaporation.carrier_evaporation(25, 28, 60, air_speed=metres) for metres in (0, speed, 2 * speed)
    )

    assert moved > still
    assert faster - still == pytest.approx(2 * (moved - still))


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: evaporation.shah_evaporation(math.nan, 30, 50), r"temperature \[C\] is nan"),
        (lambda: evaporation.shah_evaporation(30, 86, 50), r"air temperature \[C\] is 86, must be from -30 to 60"),
        (lambda: evaporation.shah_evaporation(30, 30, 120), r"humidity \[%\] is 120, must be from 0 to 100"),
        (lambda: evaporation.carrier_evaporation(-1, 30, 50), r"water temperature \[C\] is -1, must be from 0 to 60"),
        (
            lambda: evaporation.carrier_evaporation(30, 30, 50, air_speed=-1),
            r"air speed \[m/s\] is -1, must be from 0 to 10",
        ),
        (lambda: evaporation.engineering_evaporation(20, 0.01), r"humidity ratio at the surface \[kg/kg\] is 20"),
        (lambda: evaporation.engineering_evaporation(0.02, math.inf), r"humidity ratio of the air \[kg/kg\] is inf"),
    ],
)
def test_a_wrong_number_is_named(wrong, message):
    with pytest.raises(OutOfRangeError, match=message):
        wrong()
