"""A number that is not known exactly: its median and its 90 % interval.

Not for a window of time: hatch windows are in development.
"""

import math

import msgspec

from core.science.ranges import OutOfRangeError, checked

QUANTILE_95 = 1.6449  # standard normal deviate of 95 %
WIDEST_SD = 5.0  # a logarithm that is known no better than this says nothing


class Estimate(msgspec.Struct, frozen=True, kw_only=True):
    """A count or an amount, 0 or more; 0 to 0 where there can be none."""

    least: float  # 5 % quantile
    likely: float  # median
    most: float  # 95 % quantile

    def __post_init__(self) -> None:
        checked("most [same unit]", self.most, checked("likely [same unit]", self.likely, 0.0))
        checked("least [same unit]", self.least, 0.0, self.likely)
        if self.least == 0 < self.most:
            raise OutOfRangeError("least [same unit]", self.least, "above 0 where there may be any")

    @property
    def sd(self) -> float:
        """The standard deviation of the logarithm; 0 where there can be none. [1]."""
        return math.log(self.most / self.least) / (2 * QUANTILE_95) if self.least else 0.0


def lognormal(likely: float, sd: float) -> Estimate:
    """Give the estimate whose logarithm is normal.

    Parameters
    ----------
    likely : float
        Median, at least 0. [any unit]
    sd : float
        Standard deviation of the natural logarithm, 0 to 5. [1]

    Returns
    -------
    Estimate
        5, 50 and 95 % quantiles. [unit of `likely`]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    The quantiles are likely * exp(-1.645 sd), likely, likely * exp(1.645 sd).

    Examples
    --------
    >>> eggs = lognormal(4000.0, 0.45)
    >>> [round(number) for number in (eggs.least, eggs.likely, eggs.most)]
    [1908, 4000, 8385]
    >>> round(eggs.sd, 9)
    0.45
    """
    checked("median [any unit]", likely, 0.0)
    factor = math.exp(QUANTILE_95 * checked("standard deviation of the logarithm [1]", sd, 0.0, WIDEST_SD))
    return Estimate(least=likely / factor, likely=likely, most=likely * factor)
