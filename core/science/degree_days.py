"""Degree-days of one day from its lowest and highest temperature, by the methods in use.

Any temperature scale will do as long as all arguments are in the same one. Not for a history of many days, nor for
logged temperatures: development adds those up.

References
----------
.. [1] Baskerville G.L., Emin P. 1969, Ecology 50:514-517, doi 10.2307/1933912 (single sine).
.. [2] Zalom F.G., Goodell P.B., Wilson L.T., Barnett W.W., Bentley W.J. 1983, Degree-days: the calculation and use of
   heat units in pest management, University of California leaflet 21373 (all but the averages; table 7).
.. [3] McMaster G.S., Wilhelm W.W. 1997, Agric. For. Meteorol. 87:291-300, doi 10.1016/S0168-1923(97)00027-0 (averages).
"""

import math
from collections.abc import Callable

from core.science.ranges import OutOfRangeError, checked

_Above = Callable[[float, float, float], float]  # (low, high, threshold) -> degree-days above the threshold


def single_sine(low: float, high: float, base: float, *, cutoff: float | None = None) -> float:
    """Compute the degree-days of a day whose temperature runs as one sine wave.

    Parameters
    ----------
    low, high : float
        Lowest and highest temperature of the day, `low` <= `high`. [degrees]
    base : float
        Lower threshold. [degrees]
    cutoff : float, optional
        Upper threshold, above `base`; warmth above it counts as if it stood there (horizontal cutoff). [degrees]

    Returns
    -------
    float
        Degree-days, 0 to `cutoff` - `base`. [degree-days]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite, `high` is under `low` or `cutoff` not above `base`.

    Notes
    -----
    With mean m and half-range a, above a threshold th inside the range,
    DD = ((m - th) (pi/2 - z) + a cos z) / pi, z = asin((th - m) / a) [1]_; with a cutoff DD(base) - DD(cutoff) [2]_.

    Examples
    --------
    Zalom et al. 1983, table 7, row 8: lowest 45, highest 70, thresholds 55 and 90 F.

    >>> round(single_sine(45, 70, 55, cutoff=90), 2)
    5.31
    """
    return _between(_above_sine, low, high, base, cutoff)


def single_triangle(low: float, high: float, base: float, *, cutoff: float | None = None) -> float:
    """Compute the degree-days of a day whose temperature rises and falls in straight lines.

    Parameters
    ----------
    low, high : float
        Lowest and highest temperature of the day, `low` <= `high`. [degrees]
    base : float
        Lower threshold. [degrees]
    cutoff : float, optional
        Upper threshold, above `base` (horizontal cutoff). [degrees]

    Returns
    -------
    float
        Degree-days, 0 to `cutoff` - `base`. [degree-days]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite, `high` is under `low` or `cutoff` not above `base`.

    Notes
    -----
    Above a threshold th inside the range DD = (high - th)^2 / (2 (high - low)); with a cutoff DD(base) - DD(cutoff),
    see [2]_.

    Examples
    --------
    >>> single_triangle(45, 70, 55, cutoff=90)
    4.5
    """
    return _between(_above_triangle, low, high, base, cutoff)


def double_sine(low: float, high: float, next_low: float, base: float, *, cutoff: float | None = None) -> float:
    """Compute the degree-days of a day from two half sines: up from `low` to `high`, down to the next day's low.

    Parameters
    ----------
    low, high, next_low : float
        Lowest and highest temperature of the day, lowest of the next day. [degrees]
    base : float
        Lower threshold. [degrees]
    cutoff : float, optional
        Upper threshold, above `base` (horizontal cutoff). [degrees]

    Returns
    -------
    float
        Degree-days, 0 to `cutoff` - `base`. [degree-days]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite, `high` is under `low` or `cutoff` not above `base`.

    Notes
    -----
    Half of the single sine of (low, high) and half of that of (next_low, high) [2]_.

    Examples
    --------
    >>> round(double_sine(45, 70, 50, 55, cutoff=90), 2)
    5.7
    """
    return _halves(_above_sine, (low, high, next_low), base, cutoff)


def double_triangle(low: float, high: float, next_low: float, base: float, *, cutoff: float | None = None) -> float:
    """Compute the degree-days of a day from two straight lines: up from `low` to `high`, down to the next day's low.

    Parameters
    ----------
    low, high, next_low : float
        Lowest and highest temperature of the day, lowest of the next day. [degrees]
    base : float
        Lower threshold. [degrees]
    cutoff : float, optional
        Upper threshold, above `base` (horizontal cutoff). [degrees]

    Returns
    -------
    float
        Degree-days, 0 to `cutoff` - `base`. [degree-days]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite, `high` is under `low` or `cutoff` not above `base`.

    Notes
    -----
    Half of the single triangle of (low, high) and half of that of (next_low, high) [2]_.

    Examples
    --------
    >>> double_triangle(45, 70, 50, 55, cutoff=90)
    5.0625
    """
    return _halves(_above_triangle, (low, high, next_low), base, cutoff)


def plain_average(low: float, high: float, base: float) -> float:
    """Compute the degree-days of a day from its average: method 1 of McMaster and Wilhelm.

    Parameters
    ----------
    low, high : float
        Lowest and highest temperature of the day, `low` <= `high`. [degrees]
    base : float
        Lower threshold. [degrees]

    Returns
    -------
    float
        Degree-days, at least 0. [degree-days]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or `high` is under `low`.

    Notes
    -----
    DD = max(0, (low + high) / 2 - base), method 1 of [3]_. Reads low when the base lies inside the range.

    Examples
    --------
    >>> plain_average(-2, 8, 0)
    3.0
    """
    _check_day(low, high, base, None)
    return max(0.0, (low + high) / 2 - base)


def floored_average(low: float, high: float, base: float) -> float:
    """Compute the degree-days of a day from its floored extremes: method 2 of McMaster and Wilhelm.

    Parameters
    ----------
    low, high : float
        Lowest and highest temperature of the day, `low` <= `high`. [degrees]
    base : float
        Lower threshold; a colder extreme counts as if it stood there. [degrees]

    Returns
    -------
    float
        Degree-days, at least 0. [degree-days]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or `high` is under `low`.

    Notes
    -----
    DD = (max(low, base) + max(high, base)) / 2 - base, method 2 of [3]_.

    Examples
    --------
    >>> floored_average(-2, 8, 0)
    4.0
    """
    _check_day(low, high, base, None)
    return (max(low, base) + max(high, base)) / 2 - base


def days_at_constant(temp: float, base: float, thermal_constant: float) -> float:
    """Compute how long a stage takes at a constant temperature.

    Parameters
    ----------
    temp : float
        Constant temperature, above `base` and within the linear range of the stage. [degrees]
    base : float
        Lower threshold. [degrees]
    thermal_constant : float
        Degree-days that the stage needs, above 0. [degree-days]

    Returns
    -------
    float
        Duration. [days]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite, `temp` is not above `base` or the constant not above 0.

    Notes
    -----
    D = K / (T - T0): the linear model of development, see Campbell A. et al. 1974, J. Appl. Ecol. 11:431-438,
    doi 10.2307/2402197. No cutoff: that is for histories.

    Examples
    --------
    Eggs of the sunn pest, 90.9 degree-days above 11.7 C (Kivan 2008, Insect Sci. 15:163-166).

    >>> round(days_at_constant(17.0, 11.7, 90.9), 2)
    17.15
    """
    checked("base temperature [degrees]", base)
    checked("thermal constant [degree-days]", thermal_constant)
    if thermal_constant <= 0:
        raise OutOfRangeError("thermal constant [degree-days]", thermal_constant, "above 0")
    if checked("temperature [degrees]", temp) <= base:
        raise OutOfRangeError("temperature [degrees]", temp, f"above the base {base:g}")
    return thermal_constant / (temp - base)


def share_of_day_above(low: float, high: float, threshold: float) -> float:
    """Compute which share of a day a sine between `low` and `high` spends above a threshold.

    Parameters
    ----------
    low, high : float
        Lowest and highest temperature of the day, `low` <= `high`. [degrees]
    threshold : float
        The temperature asked about. [degrees]

    Returns
    -------
    float
        Share of the day, 0 to 1. [1]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or `high` is under `low`.

    Notes
    -----
    1/2 - asin((threshold - m) / a) / pi, from the crossing times of the sine [1]_.

    Examples
    --------
    >>> share_of_day_above(10.0, 20.0, 15.0)
    0.5
    """
    _check_day(low, high, threshold, None)
    if threshold < low:
        return 1.0
    if threshold >= high:
        return 0.0
    return 0.5 - math.asin((2 * threshold - low - high) / (high - low)) / math.pi


def _check_day(low: float, high: float, base: float, cutoff: float | None) -> None:
    checked("lowest temperature [degrees]", low)
    checked("highest temperature [degrees]", high)
    checked("base temperature [degrees]", base)
    if high < low:
        raise OutOfRangeError("highest temperature [degrees]", high, f"at least the lowest, {low:g}")
    if cutoff is not None and not checked("cutoff temperature [degrees]", cutoff) > base:
        raise OutOfRangeError("cutoff temperature [degrees]", cutoff, f"above the base {base:g}")


def _between(above: _Above, low: float, high: float, base: float, cutoff: float | None) -> float:
    _check_day(low, high, base, cutoff)
    lower_part = above(low, high, base)
    return lower_part if cutoff is None else lower_part - above(low, high, cutoff)


def _halves(above: _Above, turns: tuple[float, float, float], base: float, cutoff: float | None) -> float:
    low, high, next_low = turns
    checked("next day's lowest temperature [degrees]", next_low)
    # After a cold day the next low can be the warmer end of the way down; the half wave is the same either way.
    down = _between(above, min(next_low, high), max(next_low, high), base, cutoff)
    return (_between(above, low, high, base, cutoff) + down) / 2


def _above_sine(low: float, high: float, threshold: float) -> float:
    mean, half_range = (low + high) / 2, (high - low) / 2
    if threshold <= low:
        return mean - threshold
    if threshold >= high:
        return 0.0
    crossing = math.asin((threshold - mean) / half_range)
    return ((mean - threshold) * (math.pi / 2 - crossing) + half_range * math.cos(crossing)) / math.pi


def _above_triangle(low: float, high: float, threshold: float) -> float:
    if threshold <= low:
        return (low + high) / 2 - threshold
    if threshold >= high:
        return 0.0
    return (high - threshold) ** 2 / (2 * (high - low))
