"""How many crickets die in a span of their life, and from which number on more died than chance explains.

Not for the survival over a whole stage: see survival.
"""

import math

import numpy as np

from core.science.adult_figures import HOUSE
from core.science.figures import Figure, Mark
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS, SURVIVAL_TO_ADULT, YOUNG_UNTIL
from core.science.ranges import checked
from core.science.survival import alive_at

YOUNG_DAYS = 14.0  # age at which `YOUNG_UNTIL` of the development is over, at 29 C
ADULT_DAYS = YOUNG_DAYS / YOUNG_UNTIL  # 48 d: age at the last moult, at the same pace
BETWEEN_BINS = Figure(
    value=0.5, unit="1", mark=Mark.GUESS, source="no measurement found of how much the deaths of healthy bins differ"
)
THREE_SIGMA = 0.5 * math.erfc(3.0 / math.sqrt(2.0))  # 0.00135: chance of a false alarm above three standard deviations
LEAST_SPREAD = 1e-4  # below it the Poisson distribution is as good
MOST_EXPECTED = 5000.0  # deaths; beyond it the distribution is normal for all that matters


def dying(from_days: float, to_days: float) -> float:
    """Give the share of those alive at one age that die until another one.

    Parameters
    ----------
    from_days, to_days : float
        Ages since hatch, 0 to 1000, the second at least the first. [d]

    Returns
    -------
    float
        0 to 1. [1]

    Raises
    ------
    OutOfRangeError
        If an age is out of its range.

    Notes
    -----
    1 - S(to) / S(from). Until the last moult S is `survival.alive_at`, the development going on evenly as at 29 C, so
    that it is over after 14 / 0.29 days; from there on half are dead after the half-life of adults.

    Examples
    --------
    >>> round(dying(0.0, 7.0), 3)
    0.134
    """
    begin = checked("first age [d]", from_days, 0.0, 1000.0)
    end = checked("second age [d]", to_days, begin, 1000.0)
    return 1.0 - _alive(end) / _alive(begin)


def _alive(days: float) -> float:
    young, grown = np.asarray(SURVIVAL_TO_14_DAYS.value), np.asarray(SURVIVAL_TO_ADULT.value)
    nymphs = float(alive_at(np.asarray(min(days / ADULT_DAYS, 1.0)), young, grown))
    return nymphs * math.pow(0.5, max(days - ADULT_DAYS, 0.0) / HOUSE.half_life_days.value)


def upper_limit(expected: float, spread: float = BETWEEN_BINS.value, chance: float = THREE_SIGMA) -> int:
    """Give the largest number of deaths that chance explains; more than that are a sign that something is wrong.

    Parameters
    ----------
    expected : float
        Deaths expected, 0 to 1e7. [1]
    spread : float
        Standard deviation between healthy bins, as a share of what is expected, 0 to 2. [1]
    chance : float
        Of as many deaths or more in a healthy bin, 1e-9 to 0.5. [1]

    Returns
    -------
    int
        The smallest k with P(X > k) <= chance. [1]

    Raises
    ------
    OutOfRangeError
        If an argument is out of its range.

    Notes
    -----
    The upper limit of a c-chart, taken from the exact distribution in place of c + 3 sqrt(c): Poisson where the spread
    is 0, else gamma-Poisson (negative binomial) of mean c and variance c + (spread c)^2. Above 5000 the normal of the
    same mean and variance is taken.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.1 Counts control charts: limits c +- 3 sqrt(c), and
       exact Poisson limits in their place where c is small.

    Examples
    --------
    >>> upper_limit(4.0, spread=0.0), upper_limit(20.0)
    (11, 68)
    """
    mean = checked("deaths expected [1]", expected, 0.0, 1e7)
    checked("spread between bins [1]", spread, 0.0, 2.0)
    checked("chance [1]", chance, 1e-9, 0.5)
    if mean == 0.0:
        return 0
    variance = mean + (spread * mean) ** 2
    if mean > MOST_EXPECTED:
        return math.ceil(mean + 3.0 * math.sqrt(variance))
    return _quantile(mean, spread, chance)


def _quantile(mean: float, spread: float, chance: float) -> int:
    """Add probabilities up from 0 on: each follows from the one before, in logarithms, as the first may be tiny."""
    is_poisson = spread < LEAST_SPREAD
    shape = math.inf if is_poisson else 1.0 / spread**2
    log_p = -mean if is_poisson else -shape * math.log1p(mean / shape)
    total, k = math.exp(log_p), 0
    while total < 1.0 - chance:
        k += 1
        log_p += math.log(mean / k if is_poisson else mean / (shape + mean) * (k - 1 + shape) / k)
        total += math.exp(log_p)
    return k
