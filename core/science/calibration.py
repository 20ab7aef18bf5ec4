"""What is held of a stage's constants on one farm: the likeliest values, and how sure they are.

Not for how they come to change with what is seen: see learning.
"""

import math
from functools import lru_cache

import msgspec
import numpy as np

from core.science.stage import Floats, Stage
from core.science.substrate import COOLING_SHARE, COOLING_SHARE_SD
from core.science.warmth import Gauge

FARM_OFFSET_SD_C = 0.5  # guess: what all thermometers of a farm, or the way it is written down, have in common

SHARED = 4  # values that all gauges share: base, constant, cooling share, offset


class Calibration(msgspec.Struct, frozen=True, kw_only=True):
    """Values and their covariance: base [C], log of the constant, cooling share, offset [C], that of each gauge [C].

    An offset is what has to be added to the temperatures told to get those around the eggs, before they cool.
    """

    stage: Stage
    values: tuple[float, ...]  # shape (SHARED + gauges,); base and constant as differences from the stage's
    covariance: tuple[tuple[float, ...], ...]  # square
    gauges: tuple[Gauge, ...] = ()  # that hatches were seen by
    seen: int = 0  # how many hatches, or sizes, it was learned from

    @property
    def base_c(self) -> float:
        """The lower threshold. [C]."""
        return self.stage.base_temp_c.value + self.values[0]

    @property
    def constant(self) -> float:
        """The thermal time that the stage takes, in the middle. [degree-days C]."""
        return self.stage.thermal_constant.value * math.exp(self.values[1] - self.stage.ridge.value * self.values[0])

    @property
    def cooling_share(self) -> float:
        """How far wet substrate cools towards the wet bulb, 0 to 1. [1]."""
        return min(max(self.values[2], 0.0), 1.0)

    def offset_c(self, gauge: Gauge) -> float:
        """Give what to add to what a gauge tells. [C]."""
        own = self.values[SHARED + self.gauges.index(gauge)] if gauge in self.gauges else 0.0
        return self.values[3] + own

    def for_gauges(self, gauges: tuple[Gauge, ...]) -> Floats:
        """Give the covariance for the gauges of a history, square; a gauge not known yet is as sure as it says."""
        return _for_gauges(self, gauges)


@lru_cache(maxsize=256)  # what no hatch has taught anything is the same on all farms
def _for_gauges(held: Calibration, gauges: tuple[Gauge, ...]) -> Floats:
    size = SHARED + len(gauges)
    found = np.zeros((size, size))
    known = [*range(SHARED), *(SHARED + held.gauges.index(g) if g in held.gauges else -1 for g in gauges)]
    mine = [place for place, index in enumerate(known) if index >= 0]
    found[np.ix_(mine, mine)] = np.array(held.covariance)[np.ix_([known[p] for p in mine], [known[p] for p in mine])]
    for place, gauge in enumerate(gauges, start=SHARED):
        if known[place] < 0:
            found[place, place] = gauge.sd_c**2
    found.flags.writeable = False
    return found


def untaught(stage: Stage) -> Calibration:
    """Give what is held of a stage before anything was seen on a farm.

    Parameters
    ----------
    stage : Stage
        The figures that it starts from.

    Returns
    -------
    Calibration
        The stage's own values, as sure as the stage says.

    Examples
    --------
    >>> from core.science.species import species
    >>> round(untaught(species("house").egg).constant, 1)
    162.0
    """
    deviations = stage.base_sd_c.value, stage.constant_sd.value, COOLING_SHARE_SD.value, FARM_OFFSET_SD_C
    covariance = tuple(tuple(float(v) for v in row) for row in np.diag(np.square(deviations)))
    return Calibration(stage=stage, values=(0.0, 0.0, COOLING_SHARE.value, 0.0), covariance=covariance)
