"""Units a farm speaks in, and the metric ones that everything is kept in.

Not for wording: how a figure is printed for a person is bot.replies' business.
"""

from enum import StrEnum


class TemperatureUnit(StrEnum):
    """The unit that a farm's thermometers show."""

    FAHRENHEIT = "F"
    CELSIUS = "C"


class SizeGrade(StrEnum):
    """Size grades of the trade, by body length in inches, from hatch to grown."""

    PINHEAD = "pinhead"
    EIGHTH = "1/8in"
    QUARTER = "1/4in"
    THREE_EIGHTHS = "3/8in"
    HALF = "1/2in"
    FIVE_EIGHTHS = "5/8in"
    THREE_QUARTERS = "3/4in"
    INCH = "1in"
    ADULT = "adult"


MM_PER_INCH = 25.4  # exact by the international yard and pound agreement of 1959
CM2_PER_SQUARE_INCH = (MM_PER_INCH / 10) ** 2


def to_celsius(temp: float, unit: TemperatureUnit) -> float:
    """Convert a reading in `unit` to degrees Celsius."""
    if unit is TemperatureUnit.CELSIUS:
        return temp
    return (temp - 32.0) / 1.8


def from_celsius(temp_c: float, unit: TemperatureUnit) -> float:
    """Convert degrees Celsius to `unit`."""
    if unit is TemperatureUnit.CELSIUS:
        return temp_c
    return temp_c * 1.8 + 32.0
