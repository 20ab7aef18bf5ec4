"""Moist air by the ASHRAE formulas: vapor pressure, wet bulb, dew point, humidity ratio and density.

A thin layer over psychrolib that checks what goes in and speaks of humidity in percent. Not for how fast something
dries: evaporation and drying tell that.

References
----------
.. [1] ASHRAE Handbook, Fundamentals (SI), 2017, chapter 1, as in psychrolib: Meyer D., Thevenard D. 2019, J. Open
   Source Softw. 4(33):1137, doi 10.21105/joss.01137.
"""

from functools import lru_cache

import psychrolib

from core.science.ranges import checked

# psychrolib keeps its units in a global that must be set before the first call. Nothing else here wants other ones, and
# setting it twice to the same changes nothing, so it does not matter who imports this when.
psychrolib.SetUnitSystem(psychrolib.SI)

STANDARD_PRESSURE_PA = 101_325.0  # by definition
LEAST_PRESSURE_PA, MOST_PRESSURE_PA = 50_000.0, 110_000.0  # no farm is higher than 5.5 km, nor deep in a mine
COLDEST_AIR_C, HOTTEST_AIR_C = -30.0, 60.0  # what a place with eggs may read; the formulas go further
_LEAST_FORMULA_C, _MOST_FORMULA_C = -100.0, 200.0  # of the saturation pressure
_CACHED = 4_096  # a few hundred places over a year of their usual range


def saturation_vapor_pressure(temp_c: float) -> float:
    """Compute the pressure of water vapor in saturated air.

    Parameters
    ----------
    temp_c : float
        Temperature, -100 to 200. [C]

    Returns
    -------
    float
        Vapor pressure, above 0; over ice up to the triple point, 0.01 C. [Pa]

    Raises
    ------
    OutOfRangeError
        If the temperature is not finite or out of its range.

    Notes
    -----
    Hyland and Wexler's logarithmic fits, equations 5 and 6 of [1]_.

    Examples
    --------
    >>> round(saturation_vapor_pressure(30.0), 2)
    4246.03
    """
    return float(psychrolib.GetSatVapPres(checked("temperature [C]", temp_c, _LEAST_FORMULA_C, _MOST_FORMULA_C)))


def vapor_pressure(temp_c: float, rh: float) -> float:
    """Compute the pressure of the water vapor in air.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity, 0 to 100. [%]

    Returns
    -------
    float
        Vapor pressure, at least 0. [Pa]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    The share `rh` of the saturation pressure, equation 12 of [1]_.

    Examples
    --------
    >>> round(vapor_pressure(30.0, 50.0), 1)
    2123.0
    """
    return saturation_vapor_pressure(_checked_temp(temp_c)) * _share(rh)


def vapor_pressure_deficit(temp_c: float, rh: float) -> float:
    """Compute how much vapor pressure the air lacks to saturation: its thirst.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity, 0 to 100. [%]

    Returns
    -------
    float
        Deficit, at least 0. [Pa]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    Saturation pressure times (1 - humidity).

    Examples
    --------
    >>> round(vapor_pressure_deficit(29.444, 85.0), 1)
    616.9
    """
    return saturation_vapor_pressure(_checked_temp(temp_c)) * (1.0 - _share(rh))


def humidity_ratio(temp_c: float, rh: float, *, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Compute the mass of water vapor for each mass of dry air.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity, 0 to 100. [%]
    pressure_pa : float, optional
        Pressure of the air, 50,000 to 110,000. [Pa]

    Returns
    -------
    float
        Humidity ratio, at least 1e-7, which psychrolib takes for the driest air. [kg/kg]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    0.621945 e / (p - e), equation 20 of [1]_: ideal gases. The real mixture holds 0.4 to 0.8 % more.

    Examples
    --------
    >>> round(humidity_ratio(30.0, 50.0), 5), round(humidity_ratio(30.0, 100.0), 5)
    (0.01331, 0.0272)
    """
    return float(psychrolib.GetHumRatioFromRelHum(_checked_temp(temp_c), _share(rh), _checked_pressure(pressure_pa)))


def dry_air_density(temp_c: float, rh: float, *, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Compute the mass of dry air in each volume of moist air: the density that goes with a humidity ratio.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity, 0 to 100. [%]
    pressure_pa : float, optional
        Pressure of the air, 50,000 to 110,000. [Pa]

    Returns
    -------
    float
        Density, the vapor left out; times (1 + humidity ratio) it is that of the moist air. [kg/m3]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    One by the specific volume of equation 26 of [1]_.

    Examples
    --------
    >>> round(dry_air_density(30.0, 50.0), 4)
    1.14
    """
    ratio = humidity_ratio(temp_c, rh, pressure_pa=pressure_pa)
    return 1.0 / float(psychrolib.GetMoistAirVolume(temp_c, ratio, pressure_pa))


def dew_point(temp_c: float, rh: float) -> float:
    """Compute the temperature at which dew forms.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity, 0 to 100. [%]

    Returns
    -------
    float
        Dew point, at most `temp_c`; frost point under 0.01; about -87 for the driest air. [C]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    Inverts the saturation pressure by Newton's method, to 0.001 C.

    Examples
    --------
    >>> round(dew_point(30.0, 50.0), 3)
    18.447
    """
    # By the humidity ratio, which has a least value: there is no dew point of no vapor at all.
    ratio = humidity_ratio(temp_c, rh)
    return float(psychrolib.GetTDewPointFromHumRatio(temp_c, ratio, STANDARD_PRESSURE_PA))


def wet_bulb(temp_c: float, rh: float, *, pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Compute the temperature to which evaporation cools a wet thing in moving air.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity, 0 to 100. [%]
    pressure_pa : float, optional
        Pressure of the air, 50,000 to 110,000. [Pa]

    Returns
    -------
    float
        Thermodynamic wet bulb temperature, at most `temp_c`. [C]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    Equations 33 and 35 of [1]_ by bisection, to 0.001 C.

    Examples
    --------
    >>> round(wet_bulb(30.0, 50.0), 3)
    22.005
    """
    ratio = humidity_ratio(temp_c, rh, pressure_pa=pressure_pa)
    return float(psychrolib.GetTWetBulbFromHumRatio(temp_c, ratio, pressure_pa))


def wet_bulb_depression(temp_c: float, rh: float) -> float:
    """Compute by how much evaporation can cool a wet thing, at standard pressure; quick when asked again.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60; counted to 0.1. [C]
    rh : float
        Relative humidity, 0 to 100; counted to 1. [%]

    Returns
    -------
    float
        Air temperature less wet bulb, at least 0. [C]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    See `wet_bulb`. The rounding is worth at most 0.15 C between 10 and 35 C from 20 % humidity on. About a wet bulb of
    0 C, where ice or water may lie on it, the two answers differ by up to 0.75 C.

    Examples
    --------
    >>> round(wet_bulb_depression(30.0, 50.0), 2)
    7.99
    """
    _share(rh)
    return _depression(round(_checked_temp(temp_c) * 10), round(rh))


@lru_cache(maxsize=_CACHED)
def _depression(tenths_c: int, rh: int) -> float:
    return max(0.0, tenths_c / 10 - wet_bulb(tenths_c / 10, float(rh)))


def latent_heat(temp_c: float) -> float:
    """Compute the heat that it takes to evaporate water.

    Parameters
    ----------
    temp_c : float
        Temperature of the water, 0 to 60. [C]

    Returns
    -------
    float
        Latent heat. [kJ/kg]

    Raises
    ------
    OutOfRangeError
        If the temperature is not finite or out of its range.

    Notes
    -----
    Steam (2501 + 1.86 T) less water (4.186 T), the enthalpies in equation 33 of [1]_; 0.2 % high at 60 C.

    Examples
    --------
    >>> latent_heat(30.0)
    2431.22
    """
    return 2501.0 - 2.326 * checked("water temperature [C]", temp_c, 0.0, HOTTEST_AIR_C)


def _checked_temp(temp_c: float) -> float:
    return checked("air temperature [C]", temp_c, COLDEST_AIR_C, HOTTEST_AIR_C)


def _checked_pressure(pressure_pa: float) -> float:
    return checked("air pressure [Pa]", pressure_pa, LEAST_PRESSURE_PA, MOST_PRESSURE_PA)


def _share(rh: float) -> float:
    return checked("humidity [%]", rh, 0.0, 100.0) / 100.0
