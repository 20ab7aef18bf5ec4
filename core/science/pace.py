"""How fast a stage goes in each segment of a history, and what hangs on each of the values held for it.

Not for adding up along the history: see curve.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np

from core.science.calibration import Calibration
from core.science.stage import Floats, Response, Stage, response
from core.science.warmth import Segments

STEP = 0.01  # by how much a value is moved to see what hangs on it; the rate bends only at knots
AS_HELD, BASE, SHARE, OFFSET = range(4)  # the rows: as held, a higher base, more cooling, all temperatures warmer
LEVEL_C = 1e-6  # a ramp that rises by less is level


class Pace(NamedTuple):
    """Of n segments, in four rows each."""

    rates: Floats  # mean rate, shape (4, n) [degree-days per day]
    from_c: Floats  # temperature of the eggs at the low or the start, shape (4, n) [C]
    to_c: Floats  # at the high or the end


def rates_of(calibration: Calibration) -> Response:
    """Give the rates of a calibration's stage in the four rows."""
    return _rates(calibration.stage, calibration.base_c)


@lru_cache(maxsize=256)  # what no hatch has taught anything is the same on all farms
def _rates(stage: Stage, base_c: float) -> Response:
    bases_c = [base_c] * 4
    bases_c[BASE] += STEP
    return response(stage, bases_c)


def pace(parts: Segments, calibration: Calibration, rates: Response) -> Pace:
    """Give the mean rate of each segment.

    Parameters
    ----------
    parts : Segments, shape (n,)
        They need not follow each other.
    calibration : Calibration
        Offsets of the gauges, cooling share.
    rates : Response
        `rates_of(calibration)`.

    Returns
    -------
    Pace
        Of each segment.

    Notes
    -----
    Eggs are as warm as what was told plus the offset of its gauge, less the cooling share of the drop of a wet surface.
    A ramp is integrated exactly, a swing as a sine.
    """
    steps, shares = np.zeros((4, 1)), np.full((4, 1), calibration.cooling_share)
    steps[OFFSET] += STEP
    shares[SHARE] += STEP
    offsets_c = np.array([calibration.offset_c(gauge) for gauge in parts.gauges])[parts.gauge_of]
    change = steps + offsets_c - shares * parts.drops_c
    from_c, to_c = parts.from_c + change, parts.to_c + change
    if parts.swings.all():
        return Pace(rates.rate_of_day(from_c, to_c), from_c, to_c)
    means = mean_of_ramps(rates, from_c, to_c)
    if parts.swings.any():
        means[:, parts.swings] = rates.rate_of_day(from_c[:, parts.swings], to_c[:, parts.swings])
    return Pace(means, from_c, to_c)


def mean_of_ramps(rates: Response, from_c: Floats, to_c: Floats) -> Floats:
    """Give the mean rate of temperatures that go in straight lines; shape (4, n) in and out. [degree-days per day]."""
    rise = to_c - from_c
    is_level = np.abs(rise) < LEVEL_C
    gained = rates.integral(to_c) - rates.integral(from_c)
    means = gained / np.where(is_level, 1.0, rise)
    if is_level.any():
        means[is_level] = rates.rate(from_c)[is_level]
    return means
