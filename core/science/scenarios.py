"""Standard normal deviates spread evenly in many dimensions, the same each time: what chance would give, without it.

Not for simulations that want a generator: those take one as an argument.
"""

import math
from statistics import NormalDist

import numpy as np

from core.science.ranges import checked
from core.science.stage import Floats

MOST_DIMENSIONS = 20_000
_CURVE_ENDS, _CURVE_POINTS = 6.0, 2401
_DEVIATES = np.linspace(-_CURVE_ENDS, _CURVE_ENDS, _CURVE_POINTS)
_SHARES = np.array([NormalDist().cdf(float(deviate)) for deviate in _DEVIATES])


def normals(dimensions: int, count: int) -> Floats:
    """Give scenarios of independent standard normal numbers.

    Parameters
    ----------
    dimensions : int
        Numbers of each scenario, 1 to 20,000.
    count : int
        Scenarios, 2 to 10,000.

    Returns
    -------
    ndarray, shape (dimensions, count)
        Each row holds the same numbers, the quantiles (i + 1/2) / count, in another order. [1]

    Raises
    ------
    OutOfRangeError
        If an argument is out of its range.

    Notes
    -----
    Row j is ordered as the fractional parts of i^3 sqrt(p_j), p_j being the prime numbers: by Weyl's theorem these fill
    the cube evenly, since the roots of different primes are independent over the rational numbers. The cube keeps rows
    apart whose roots are close to whole numbers; two rows of 301 correlate by 0.06 at the mean, as by chance.

    References
    ----------
    .. [1] Weyl H. 1916, Math. Ann. 77:313-352, doi 10.1007/BF01475864 (even distribution of polynomials).

    Examples
    --------
    >>> normals(2, 3).round(2).tolist()
    [[0.97, 0.0, -0.97], [-0.97, 0.97, 0.0]]
    """
    checked("dimensions [1]", dimensions, 1, MOST_DIMENSIONS)
    checked("scenarios [1]", count, 2, 10_000)
    quantiles = np.array([NormalDist().inv_cdf((number + 0.5) / count) for number in range(count)])
    parts = np.sqrt(_primes(dimensions))[:, None] * np.arange(1, count + 1) ** 3 % 1.0
    return quantiles[parts.argsort(axis=1).argsort(axis=1)]


def _primes(count: int) -> Floats:
    most = int(count * (math.log(count + 1) + math.log(math.log(count + 2) + 1) + 1)) + 10
    is_prime = np.ones(most, dtype=bool)
    is_prime[:2] = False
    for number in range(2, math.isqrt(most) + 1):
        is_prime[number * number :: number] = False
    return np.flatnonzero(is_prime)[:count].astype(np.float64)


def normal_share(deviates: Floats) -> Floats:
    """Give the share of a standard normal distribution below each deviate.

    Parameters
    ----------
    deviates : ndarray
        Of any shape. [1]

    Returns
    -------
    ndarray
        Of the same shape, 0 to 1; good to 1e-5. [1]

    Notes
    -----
    Straight lines between the exact values in steps of 0.005, from -6 to 6; none or all beyond.

    Examples
    --------
    >>> normal_share(np.array([-9.0, 0.0, 1.6449])).round(4).tolist()
    [0.0, 0.5, 0.95]
    """
    return np.asarray(np.interp(deviates, _DEVIATES, _SHARES, left=0.0, right=1.0), dtype=np.float64)
