"""How far the eggs of one tray spread their hatch, from pinheads counted day by day.

For measuring the individual spread of the species table on a farm. Not for when they hatch: development tells that.
"""

import math
from collections.abc import Sequence

import msgspec
import numpy as np

from core.science.ranges import OutOfRangeError, checked

FAR_Z = 25.0  # from here on the tail of the normal curve comes by its series, before erfc underflows near 38
MOST_STEPS = 100  # of Newton; a dozen do for ordinary counts
SMALLEST_STEP = 1e-12  # share of the deviate

Look = tuple[float, int]  # days since the lay, and the pinheads that were new then


class HatchSpread(msgspec.Struct, frozen=True, kw_only=True):
    """The hatch time of single eggs: ln(days) is normal with mean `log_mean` and standard deviation `spread`."""

    log_mean: float  # of the days; exp of it is the fitted median
    spread: float  # about the share of the time that single eggs differ by
    median_days: float | None  # Kaplan and Meier, without the curve; None where under half of the eggs hatched


def hatch_spread(looks: Sequence[Look], *, unhatched: int = 0) -> HatchSpread:
    """Fit a lognormal curve to the hatch of eggs that were laid together and kept alike.

    Parameters
    ----------
    looks : sequence of (float, int), shape (n, 2), n >= 2
        Days since the lay, above 0, in any order, and the pinheads first seen then, 0 or more; at least two days have
        some. The last day is when looking stopped. [days], [1]
    unhatched : int, optional
        Sound eggs left on the last day, 0 or more; they hatch later. Dead ones are no late ones: leave them out. [1]

    Returns
    -------
    HatchSpread
        Maximum likelihood mean and standard deviation of ln(days), and the Kaplan-Meier median. [ln d], [1], [days]

    Raises
    ------
    OutOfRangeError
        If a number is not finite or out of its range, or pinheads were seen on fewer than two days.

    Notes
    -----
    n pinheads with mean m and standard deviation s (over n) of x = ln(days) and k eggs not hatched at c = (ln(last day)
    - m) / s have the log-likelihood n (ln h - (h^2 + d^2) / 2) + k ln(1 - Phi(h c - d)), with sigma = s / h and
    mu = m + s d / h [1]_. Let z = h c - d and g be the hazard phi / (1 - Phi). At the maximum d = k g(z) / n and
    1 - h^2 - d h c = 0 with h = (z + d) / c. Where h > 0 that falls with z and is concave, so Newton's method from
    z = c goes down to its one root and never past it.
    All stop at one time, so the median of [2]_ is the first day by which half of all the eggs had hatched.
    The spread holds that of the lay as well, and looking once a day adds to it: a day at the end of ten is 0.03 in
    quadrature. Eggs hatch between two looks: give the middle, not the later one, where that matters.

    References
    ----------
    .. [1] Cohen A.C. 1959, Simplified estimators for the normal distribution when samples are singly censored or
       truncated, Technometrics 1:217-237.
    .. [2] Kaplan E.L., Meier P. 1958, J. Am. Stat. Assoc. 53:457-481, doi 10.1080/01621459.1958.10501452.

    Examples
    --------
    >>> fit = hatch_spread([(9, 1), (10, 3), (11, 4), (12, 2), (13, 1), (14, 1)], unhatched=1)
    >>> round(fit.log_mean, 4), round(fit.spread, 4), fit.median_days
    (2.4285, 0.1388, 11)
    """
    _check(looks, unhatched)
    days, pinheads = np.array(sorted(looks), dtype=np.float64).T
    logs = np.log(days)
    mean = float(np.average(logs, weights=pinheads))
    spread = math.sqrt(float(np.average((logs - mean) ** 2, weights=pinheads)))
    scale, shift = _censored(unhatched / float(pinheads.sum()), (float(logs[-1]) - mean) / spread)
    return HatchSpread(
        log_mean=mean + spread * shift / scale, spread=spread / scale, median_days=_median(looks, unhatched)
    )


def _check(looks: Sequence[Look], unhatched: int) -> None:
    checked("unhatched eggs", unhatched, 0)
    for days, pinheads in looks:
        if checked("time since the lay [days]", days) <= 0:
            raise OutOfRangeError("time since the lay [days]", days, "above 0")
        checked("pinheads", pinheads, 0)
    hatching = {days for days, pinheads in looks if pinheads > 0}
    if len(hatching) < 2:
        raise OutOfRangeError("number of days with pinheads", len(hatching), "at least 2")


def _censored(share: float, end: float) -> tuple[float, float]:
    """Solve for h and d of the notes above; `share` is k / n, `end` is c."""
    z = end
    for _ in range(MOST_STEPS):
        hazard = _hazard(z)
        shift, slope_of_shift = share * hazard, share * hazard * (hazard - z)
        scale = (z + shift) / end
        value = 1 - scale**2 - shift * (z + shift)
        slope = -(2 * (z + shift) / end**2 + shift) * (1 + slope_of_shift) - slope_of_shift * (z + shift)
        step = value / slope
        z -= step
        if abs(step) <= SMALLEST_STEP * max(1.0, abs(z)):
            break
    shift = share * _hazard(z)
    return (z + shift) / end, shift


def _hazard(z: float) -> float:
    """Compute phi(z) / (1 - Phi(z)) of the standard normal curve."""
    if z > FAR_Z:
        return z + 1 / z - 2 / z**3 + 10 / z**5
    return math.sqrt(2 / math.pi) * math.exp(-(z**2) / 2) / math.erfc(z / math.sqrt(2))


def _median(looks: Sequence[Look], unhatched: int) -> float | None:
    eggs, hatched = unhatched + sum(pinheads for _, pinheads in looks), 0
    for days, pinheads in sorted(looks):
        hatched += pinheads
        if 2 * hatched >= eggs:
            return days
    return None
