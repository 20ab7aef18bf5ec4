"""Base temperature and thermal constant of a stage, from how long it took at several constant temperatures.

For figures of a new species, before they go into the species table; not for what one farm's tubs teach.
"""

import math
from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from core.science.ranges import OutOfRangeError, checked
from core.science.warmth import COLDEST_C, HOTTEST_C

FEWEST_PAIRS = 3  # two always lie on a line, which then tells nothing of its error

Pair = tuple[float, float]  # constant temperature [C], how long the stage took there [days]
_Numbers = NDArray[np.float64]


class ThermalFit(msgspec.Struct, frozen=True, kw_only=True):
    """The straight line of development through observed times: D = thermal_constant / (T - base_temp_c)."""

    base_temp_c: float
    thermal_constant: float  # degree-days C
    base_se_c: float | None = None  # standard error; None: the method gives none
    constant_se: float | None = None  # degree-days C; the same


def x_intercept_fit(pairs: Sequence[Pair]) -> ThermalFit:
    """Fit the rate of development as a straight line of temperature, by least squares.

    Parameters
    ----------
    pairs : sequence of (float, float), shape (n, 2), n >= 3
        Constant temperatures, -30 to 60, all within the linear range of the stage, and how long it took there, above 0.
        At least two temperatures differ. [C], [days]

    Returns
    -------
    ThermalFit
        Base, constant and their standard errors; the errors are 0 for times that lie on the line. [C], [degree-days C]

    Raises
    ------
    OutOfRangeError
        If there are too few pairs, a number is not finite or out of its range, all temperatures are the same, or warmth
        did not speed the stage up.

    Notes
    -----
    1/D = a + b T, so base t0 = -a/b and constant K = 1/b [1]_. With the mean rate y and the residual variance s2
    (n - 2 degrees of freedom), SE(t0) = (y/b) sqrt(s2 / (n y^2) + (SE(b)/b)^2) and SE(K) = SE(b) / b^2 [1]_. Every rate
    weighs the same, so the shortest times count most. Temperatures above the optimum, or so low that most die, bend the
    line and must be left out.

    References
    ----------
    .. [1] Campbell A., Frazer B.D., Gilbert N., Gutierrez A.P., Mackauer M. 1974, J. Appl. Ecol. 11:431-438,
       doi 10.2307/2402197.

    Examples
    --------
    Times of 167 degree-days above 14.9 C, the middle one noted 2 % too long.

    >>> fit = x_intercept_fit([(20.0, 167 / 5.1), (26.0, 1.02 * 167 / 11.1), (32.0, 167 / 17.1)])
    >>> round(fit.base_temp_c, 2), round(fit.thermal_constant, 1), round(fit.base_se_c, 2), round(fit.constant_se, 1)
    (14.97, 167.0, 0.25, 3.5)
    """
    temps, days = _columns(pairs)
    rates = 1 / days
    slope = _slope_of_rate(temps, rates)
    mean_rate = float(rates.mean())
    left_over = rates - mean_rate - slope * (temps - temps.mean())
    variance = float(left_over @ left_over) / (len(temps) - 2)
    slope_se = math.sqrt(variance / _squares(temps))
    return ThermalFit(
        base_temp_c=float(temps.mean()) - mean_rate / slope,
        thermal_constant=1 / slope,
        base_se_c=math.hypot(math.sqrt(variance / len(temps)), mean_rate * slope_se / slope) / slope,
        constant_se=slope_se / slope**2,
    )


def ikemoto_takai_fit(pairs: Sequence[Pair]) -> ThermalFit:
    """Fit D T = K + t0 D, by the reduced major axis.

    Parameters
    ----------
    pairs : sequence of (float, float), shape (n, 2), n >= 3
        As `x_intercept_fit` takes them. [C], [days]

    Returns
    -------
    ThermalFit
        Base and constant, without standard errors. [C], [degree-days C]

    Raises
    ------
    OutOfRangeError
        As `x_intercept_fit`; also if the constant comes out at 0 or below.

    Notes
    -----
    Over all pairs t0 = sd(DT) / sd(D) with the sign of their correlation, K = mean(DT) - t0 mean(D) [1]_. The long
    times of cool temperatures count for more than in `x_intercept_fit`. The line depends on where the scale has its
    zero and can not find a base near 0 C: use it for bases of some degrees and more.

    References
    ----------
    .. [1] Ikemoto T., Takai K. 2000, Environ. Entomol. 29:671-682, doi 10.1603/0046-225X-29.4.671.

    Examples
    --------
    >>> fit = ikemoto_takai_fit([(20.0, 167 / 5.1), (26.0, 1.02 * 167 / 11.1), (32.0, 167 / 17.1)])
    >>> round(fit.base_temp_c, 2), round(fit.thermal_constant, 1)
    (14.85, 169.0)
    """
    temps, days = _columns(pairs)
    _slope_of_rate(temps, 1 / days)
    products = days * temps
    sign = math.copysign(1.0, float((days - days.mean()) @ (products - products.mean())))
    base_c = sign * math.sqrt(_squares(products) / _squares(days))
    constant = float(products.mean()) - base_c * float(days.mean())
    if constant <= 0:
        raise OutOfRangeError("thermal constant [degree-days C]", constant, "above 0")
    return ThermalFit(base_temp_c=base_c, thermal_constant=constant)


def _columns(pairs: Sequence[Pair]) -> tuple[_Numbers, _Numbers]:
    if len(pairs) < FEWEST_PAIRS:
        raise OutOfRangeError("number of pairs", len(pairs), f"at least {FEWEST_PAIRS}")
    for temp_c, days in pairs:
        checked("temperature [C]", temp_c, COLDEST_C, HOTTEST_C)
        if checked("time taken [days]", days) <= 0:
            raise OutOfRangeError("time taken [days]", days, "above 0")
    temps, times = np.array(pairs, dtype=np.float64).T
    if np.ptp(temps) == 0:
        raise OutOfRangeError("number of different temperatures", 1, "at least 2")
    if np.ptp(times) == 0:
        raise OutOfRangeError("number of different times taken", 1, "at least 2")
    return temps, times


def _slope_of_rate(temps: _Numbers, rates: _Numbers) -> float:
    slope = float((temps - temps.mean()) @ (rates - rates.mean())) / _squares(temps)
    if slope <= 0:
        raise OutOfRangeError("slope of the rate [1/(C d)]", slope, "above 0: warmth must speed the stage up")
    return slope


def _squares(numbers: _Numbers) -> float:
    from_mean = numbers - numbers.mean()
    return float(from_mean @ from_mean)
