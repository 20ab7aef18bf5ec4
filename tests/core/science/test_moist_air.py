"""Moist air: what must hold at any temperature and humidity. Published values are in tests/outside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science import moist_air
from core.science.ranges import OutOfRangeError

temps = st.floats(-30, 60)
humidities = st.floats(0, 100)
of_temp_and_humidity = pytest.mark.parametrize(
    "quantity",
    [
        moist_air.vapor_pressure,
        moist_air.vapor_pressure_deficit,
        moist_air.humidity_ratio,
        moist_air.dry_air_density,
        moist_air.dew_point,
        moist_air.wet_bulb,
        moist_air.wet_bulb_depression,
    ],
    ids=lambda quantity: quantity.__name__,
)


@given(temp_c=temps, rh=humidities)
def test_the_wet_bulb_lies_between_the_dew_point_and_the_air(temp_c, rh):
    dew_c, wet_c = moist_air.dew_point(temp_c, rh), moist_air.wet_bulb(temp_c, rh)

    assert dew_c - 0.001 <= wet_c <= temp_c  # both are found to 0.001


@given(temp_c=temps, rh=humidities)
def test_pressure_and_deficit_make_up_saturation(temp_c, rh):
    total = moist_air.vapor_pressure(temp_c, rh) + moist_air.vapor_pressure_deficit(temp_c, rh)

    assert total == pytest.approx(moist_air.saturation_vapor_pressure(temp_c))


@given(temp_c=temps, rh=st.floats(1, 100))
def test_air_is_saturated_at_its_dew_point(temp_c, rh):
    at_dew_point = moist_air.saturation_vapor_pressure(moist_air.dew_point(temp_c, rh))

    assert at_dew_point == pytest.approx(moist_air.vapor_pressure(temp_c, rh), rel=2e-4)  # 0.001 C of dew point


@given(temp_c=temps, rh=humidities)
def test_vapor_takes_the_place_of_dry_air(temp_c, rh):
    dry = 101_325 / (287.042 * (temp_c + 273.15))
    share = moist_air.vapor_pressure(temp_c, rh) / 101_325

    assert moist_air.dry_air_density(temp_c, rh) == pytest.approx(dry * (1 - share), rel=1e-5)


@pytest.mark.parametrize("rh", [0, 20, 50, 85, 100])
def test_the_depression_asked_again_is_that_of_the_rounded_air(rh):
    expected = 31.4 - moist_air.wet_bulb(31.4, rh)

    assert moist_air.wet_bulb_depression(31.42, rh + 0.3 if rh < 100 else rh) == expected
    assert moist_air.wet_bulb_depression(31.38, rh) == expected


@given(temp_c=st.floats(10, 35), rh=st.floats(20, 100))
def test_rounding_takes_little_from_the_depression(temp_c, rh):
    exact = temp_c - moist_air.wet_bulb(temp_c, rh)

    assert moist_air.wet_bulb_depression(temp_c, rh) == pytest.approx(exact, abs=0.15)


def test_saturated_air_cools_nothing():
    assert moist_air.wet_bulb_depression(30, 100) == pytest.approx(0, abs=0.001)
    assert moist_air.vapor_pressure_deficit(30, 100) == 0


@of_temp_and_humidity
@pytest.mark.parametrize("temp_c", [-30, 0, 0.01, 30, 60])
@pytest.mark.parametrize("rh", [0, 1e-9, 100])
def test_every_quantity_is_a_plain_number_at_the_ends_of_its_range(quantity, temp_c, rh):
    got = quantity(temp_c, rh)

    assert type(got) is float
    assert math.isfinite(got)


def test_thin_air_holds_more_water_and_cools_more():
    assert moist_air.humidity_ratio(30, 50, pressure_pa=80_000) > moist_air.humidity_ratio(30, 50)
    assert moist_air.wet_bulb(30, 50, pressure_pa=80_000) < moist_air.wet_bulb(30, 50)
    assert moist_air.dry_air_density(30, 50, pressure_pa=80_000) < moist_air.dry_air_density(30, 50)


@of_temp_and_humidity
@pytest.mark.parametrize(
    ("temp_c", "rh", "message"),
    [
        (60.5, 50, r"air temperature \[C\] is 60.5, must be from -30 to 60"),
        (-31, 50, r"air temperature \[C\] is -31"),
        (math.nan, 50, r"air temperature \[C\] is nan"),
        (30, 100.5, r"humidity \[%\] is 100.5, must be from 0 to 100"),
        (30, -1, r"humidity \[%\] is -1"),
        (30, math.inf, r"humidity \[%\] is inf"),
    ],
)
def test_a_wrong_number_is_named(quantity, temp_c, rh, message):
    with pytest.raises(OutOfRangeError, match=message):
        quantity(temp_c, rh)


@pytest.mark.parametrize("quantity", [moist_air.humidity_ratio, moist_air.dry_air_density, moist_air.wet_bulb])
def test_a_pressure_in_hectopascal_is_refused(quantity):
    with pytest.raises(OutOfRangeError, match=r"air pressure \[Pa\] is 1013.25"):
        quantity(30, 50, pressure_pa=1013.25)


@pytest.mark.parametrize(("quantity", "wrong"), [("saturation_vapor_pressure", -101), ("latent_heat", -1)])
def test_a_temperature_beyond_the_formulas_is_refused(quantity, wrong):
    with pytest.raises(OutOfRangeError, match=r"temperature \[C\]"):
        getattr(moist_air, quantity)(wrong)
