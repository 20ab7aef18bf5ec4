"""Evaporation from open water: the still form, and two others that bound it where a fan runs.

All in kg/(m2 h), which is mm of water an hour. Not for a tub, with its cover and its reserve of water: see drying.

References
----------
.. [1] Shah M.M. 2014, Methods for calculation of evaporation from swimming pools and other water surfaces, ASHRAE
   Transactions 120(2), SE-14-001 (still air).
.. [2] ASHRAE Handbook, HVAC Applications, natatoriums (air over a pool).
.. [3] Shah M.M. 2002, HVAC&R Research 8(1):125-131, abstract (how well the buoyant part does).
"""

import math

from core.science.figures import Figure, Mark
from core.science.moist_air import (
    dry_air_density,
    humidity_ratio,
    latent_heat,
    saturation_vapor_pressure,
    vapor_pressure,
)
from core.science.ranges import checked

_SHAH = "Shah 2014, ASHRAE Trans. 120(2), SE-14-001; coefficient recalled"
_CARRIER = "ASHRAE Handbook, HVAC Applications, natatoriums; recalled"
_ENGINEERING = "a table of formulas that is reprinted in many places; its origin is unknown"

# Also recalled is 40 in place of 35 where the densities differ by 0.02 or less. The nine values in tests/outside, found
# without their source, have 35 throughout, and the dry air for the density.
SHAH_BUOYANT = Figure(
    value=35.0,
    unit="m/h (m3/kg)^(1/3)",
    mark=Mark.MEMORY,
    source=f"{_SHAH}; gives nine values found without source to 0.2 %",
)
SHAH_STAGNANT = Figure(value=5e-5, unit="kg/(m2 h Pa)", mark=Mark.MEMORY, source=_SHAH)
CARRIER_STILL = Figure(value=0.089, unit="kW/(m2 kPa)", mark=Mark.MEMORY, source=_CARRIER)
CARRIER_WIND = Figure(value=0.0782, unit="kW s/(m3 kPa)", mark=Mark.MEMORY, source=_CARRIER)
ENGINEERING_STILL = Figure(value=25.0, unit="kg/(m2 h)", mark=Mark.READ, source=_ENGINEERING)
ENGINEERING_WIND = Figure(value=19.0, unit="kg s/(m3 h)", mark=Mark.READ, source=_ENGINEERING)

FASTEST_AIR = 10.0  # m/s; a storm, no room with tubs in it
_SECONDS_PER_HOUR = 3_600.0
_PASCAL_PER_KILOPASCAL = 1_000.0


def shah_evaporation(water_c: float, temp_c: float, rh: float) -> float:
    """Compute what evaporates from undisturbed water into still air.

    Parameters
    ----------
    water_c : float
        Temperature of the surface of the water, -30 to 60. [C]
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity of the air, 0 to 100. [%]

    Returns
    -------
    float
        Evaporation, 0 where the air would give water off. [kg/(m2 h)]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    E = max(35 rho_w (rho_a - rho_w)^(1/3) (W_w - W_a), 5e-5 (e_w - e_a)) [1]_, w for air saturated at the surface, a
    for the air of the room, rho the mass of dry air in a volume [kg/m3]. The first part is air that rises because it is
    lighter, and is 0 where it is not. The buoyant part has been held against measurements from 0.07 to 425 m2, water of
    7 to 94 C, air of 6 to 35 C and 28 to 95 % humidity: off by 18 % on average [3]_. Many tubs are smaller.

    Examples
    --------
    >>> round(shah_evaporation(30.0, 30.0, 50.0), 4)
    0.1573
    """
    at_surface = dry_air_density(water_c, 100.0)
    lift = dry_air_density(temp_c, rh) - at_surface
    gain = humidity_ratio(water_c, 100.0) - humidity_ratio(temp_c, rh)
    buoyant = SHAH_BUOYANT.value * at_surface * math.cbrt(max(0.0, lift)) * gain
    stagnant = SHAH_STAGNANT.value * (saturation_vapor_pressure(water_c) - vapor_pressure(temp_c, rh))
    return max(0.0, buoyant, stagnant)


def carrier_evaporation(water_c: float, temp_c: float, rh: float, *, air_speed: float = 0.0) -> float:
    """Compute what evaporates from a pool by Carrier's form, which reads high for still water.

    Parameters
    ----------
    water_c : float
        Temperature of the surface of the water, 0 to 60. [C]
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity of the air, 0 to 100. [%]
    air_speed : float, optional
        Speed of the air over the water, 0 to 10. [m/s]

    Returns
    -------
    float
        Evaporation, 0 where the air would give water off. [kg/(m2 h)]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    E = (e_w - e_a) (0.089 + 0.0782 v) / Y [2]_, in kg/(m2 s) with the vapor pressures in kPa and the latent heat Y in
    kJ/kg. Without the activity factor, which is 0.5 for a pool that nobody swims in.

    Examples
    --------
    >>> round(carrier_evaporation(30.0, 30.0, 50.0), 3)
    0.28
    """
    speed = checked("air speed [m/s]", air_speed, 0.0, FASTEST_AIR)
    heat = latent_heat(water_c)
    gain = (saturation_vapor_pressure(water_c) - vapor_pressure(temp_c, rh)) / _PASCAL_PER_KILOPASCAL
    return max(0.0, gain * (CARRIER_STILL.value + CARRIER_WIND.value * speed) / heat * _SECONDS_PER_HOUR)


def engineering_evaporation(surface_ratio: float, air_ratio: float, *, air_speed: float = 0.0) -> float:
    """Compute what evaporates at most, as where a fan runs, from the humidity ratios.

    Parameters
    ----------
    surface_ratio : float
        Humidity ratio of air saturated at the temperature of the water, 0 to 0.2. [kg/kg]
    air_ratio : float
        Humidity ratio of the air, 0 to 0.2. [kg/kg]
    air_speed : float, optional
        Speed of the air over the water, 0 to 10. [m/s]

    Returns
    -------
    float
        Evaporation, 0 where the air would give water off. [kg/(m2 h)]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    E = (25 + 19 v) (x_s - x): engineering tables; who measured it is not known. At least 1.5 times the still
    form up to 45 C, for water between the wet bulb and the temperature of the air.

    Examples
    --------
    The pool of the tables, 25 m by 20 m, in kg/s.

    >>> round(engineering_evaporation(0.02, 0.0098, air_speed=0.5) * 25 * 20 / 3600, 3)
    0.049
    """
    speed = checked("air speed [m/s]", air_speed, 0.0, FASTEST_AIR)
    at_surface = checked("humidity ratio at the surface [kg/kg]", surface_ratio, 0.0, 0.2)
    gain = at_surface - checked("humidity ratio of the air [kg/kg]", air_ratio, 0.0, 0.2)
    return max(0.0, (ENGINEERING_STILL.value + ENGINEERING_WIND.value * speed) * gain)
