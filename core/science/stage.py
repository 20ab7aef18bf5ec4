"""A stage of life, and how fast it develops at any temperature.

Not for the figures of a species (see species), nor for adding a history up (see development).
"""

from collections.abc import Iterator, Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from core.science.figures import Figure

Floats = NDArray[np.float64]


class Stage(msgspec.Struct, frozen=True, kw_only=True):
    """Thermal time of one stage: the rate rises from the base, is flat above the cutoff, and falls to nothing."""

    base_temp_c: Figure  # no development below it
    thermal_constant: Figure  # degree-days C above the base that the stage takes, in the middle
    cutoff_c: Figure  # from here on warmth speeds nothing up
    falls_from_c: Figure  # from here on warmth slows it
    upper_limit_c: Figure  # no development from here on
    spread: Figure  # standard deviation of the individual time, as a share of it
    base_sd_c: Figure  # how well the base is known: standard deviation
    constant_sd: Figure  # how well the constant is known at that base: standard deviation of its logarithm
    ridge: Figure  # by how much its logarithm falls for each degree that the base is higher
    too_cold_c: Figure  # mean temperature under which no forecast is made
    tested_from_c: Figure  # mean temperature, while it goes on, under which the straight line is untested
    least_rate: Figure | None = None  # degree-days a day that are made from too_cold_c on, however cool


class Response(msgspec.Struct, frozen=True):
    """Rates against temperature for several bases at once: straight lines between knots, nothing outside of them.

    Each is a sum over knots of a bend times the degrees above that knot, so that its mean over a day and its integral
    are sums of those of single thresholds. Temperatures come in and rates go out in shape (bases, n).
    """

    knots: Floats  # shape (knots, bases, 1) [C]
    bends: Floats  # shape (knots, bases, 1): by how much the slope changes there [1/d]

    def rate(self, temps: Floats) -> Floats:
        """Give the rate at each temperature. [degree-days per day]."""
        total = np.zeros_like(temps)
        for bend, above in self._above(temps):
            total += bend * above
        return total

    def integral(self, temps: Floats) -> Floats:
        """Give the integral of the rate over temperature, up to each temperature. [degree-days C per day]."""
        total = np.zeros_like(temps)
        for bend, above in self._above(temps):
            above *= above
            above *= bend / 2
            total += above
        return total

    def rate_of_day(self, lows: Floats, highs: Floats) -> Floats:
        """Give the mean rate of days that run as one sine between a low and a high. [degree-days per day].

        Notes
        -----
        The single sine of Baskerville and Emin 1969, Ecology 50:514-517, doi 10.2307/1933912, for each knot. Where a
        knot lies outside of the day, clipping the arcsine makes the same formula right.
        """
        halves = np.maximum((highs - lows) / 2, 1e-9)
        total = np.zeros_like(halves)
        means = (lows + highs) / 2
        for knot, bend in zip(self.knots, self.bends, strict=True):
            above = means - knot
            crossing = np.arcsin(np.clip(-above / halves, -1.0, 1.0))
            total += bend * (above * (np.pi / 2 - crossing) + halves * np.cos(crossing)) / np.pi
        return total

    def _above(self, temps: Floats) -> Iterator[tuple[Floats, Floats]]:
        """Give each bend and the degrees above its knot, in a new array; not for knots above all temperatures."""
        hottest = np.max(temps, initial=-np.inf)
        for knot, bend in zip(self.knots, self.bends, strict=True):
            if hottest > knot.min():
                yield bend, np.maximum(temps - knot, 0.0)


def response(stage: Stage, bases_c: Sequence[float]) -> Response:
    """Give the rates of a stage, were its base each of the temperatures given.

    Parameters
    ----------
    stage : Stage
        Whose other limits count.
    bases_c : sequence of float, shape (n,)
        Lower thresholds, below the cutoff. [C]

    Returns
    -------
    Response
        For n bases.

    Notes
    -----
    r = T - base up to the cutoff, cutoff - base up to `falls_from_c`, from there in a straight line to 0 at
    `upper_limit_c`. A least rate holds from `too_cold_c` on, and is come to over the degree below it.

    Examples
    --------
    >>> from core.science.species import species
    >>> eggs = response(species("house").egg, [14.8])
    >>> eggs.rate(np.array([[10.0, 24.8, 35.0, 38.5, 41.0]])).round(6).tolist()
    [[0.0, 10.0, 19.2, 9.6, 0.0]]
    """
    curves = [_points(stage, base_c) for base_c in bases_c]
    knots = np.array([[temp for temp, _ in points] for points in curves])
    rates = np.array([[rate for _, rate in points] for points in curves])
    bends = np.diff(np.diff(rates) / np.diff(knots), prepend=0.0, append=0.0)
    return Response(knots.T[:, :, None], bends.T[:, :, None])


def _points(stage: Stage, base_c: float) -> list[tuple[float, float]]:
    cutoff_c, most = stage.cutoff_c.value, stage.cutoff_c.value - base_c
    fall = [(cutoff_c, most), (stage.falls_from_c.value, most), (stage.upper_limit_c.value, 0.0)]
    if stage.least_rate is None:
        return [(base_c, 0.0), *fall]
    cold_c, least = stage.too_cold_c.value, stage.least_rate.value
    return [(cold_c - 1.0, 0.0), (cold_c, least), (base_c + least, least), *fall]
