"""Conversions of temperature, and the size grades."""

import pytest

from core import units
from core.units import SizeGrade, TemperatureUnit


@pytest.mark.parametrize(
    ("temp_f", "temp_c"),
    [
        pytest.param(32.0, 0.0, id="ice melts"),
        pytest.param(212.0, 100.0, id="water boils"),
        pytest.param(-40.0, -40.0, id="the scales meet"),
        pytest.param(90.5, 32.5, id="a warm tub"),
    ],
)
def test_fahrenheit_and_celsius_tell_the_same_warmth(temp_f, temp_c):
    assert units.to_celsius(temp_f, TemperatureUnit.FAHRENHEIT) == pytest.approx(temp_c)
    assert units.from_celsius(temp_c, TemperatureUnit.FAHRENHEIT) == pytest.approx(temp_f)


def test_celsius_stays_as_it_is():
    assert units.to_celsius(31.0, TemperatureUnit.CELSIUS) == 31.0
    assert units.from_celsius(31.0, TemperatureUnit.CELSIUS) == 31.0


def test_size_grades_go_from_hatch_to_grown():
    assert [grade.value for grade in SizeGrade] == [
        "pinhead", "1/8in", "1/4in", "3/8in", "1/2in", "5/8in", "3/4in", "1in", "adult",
    ]  # fmt: skip
