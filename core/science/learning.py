"""What a farm's own hatches, and sizes seen, teach about the constants of a stage.

Not for which hatches a farm has seen: see core.rules.evidence.
"""

import datetime as dt
from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from core.science.calibration import SHARED, Calibration, untaught
from core.science.pace import BASE, OFFSET, SHARE, STEP, pace, rates_of
from core.science.ranges import checked
from core.science.stage import Floats, Stage
from core.science.warmth import Gauge, HistoryError, Segments, Warmth, day_number, segments

TAIL = 4.0  # degrees of freedom of the t distribution; guess: one hatch in ten is noticed late, or badly dated
_MOST_STEPS = 30
_STEP_ENOUGH = 1e-4  # of a value's own standard deviation
_LEAST_VARIANCE = 1e-8  # of what is held before, so that an exact thermometer is only very sure
_LEAST_PROGRESS = 1.0  # degree-days C; a sight with less behind it tells nothing


class Sight(msgspec.Struct, frozen=True, kw_only=True):
    """Something seen that ends a stage, or a part of it, and the warmth that it had until then."""

    history: Sequence[Warmth]  # from `since` to `seen_at`
    since: dt.datetime
    seen_at: dt.datetime
    part: float = 1.0  # share of the thermal constant that was reached, 0 to 1
    start_sd_days: float = 0.29  # standard deviation of the start; a uniform lay of a day
    seen_sd_days: float = 0.3  # how late or early it is noticed; guess: somebody looks once or twice a day

    def __post_init__(self) -> None:
        checked("share of the thermal constant [1]", self.part, 1e-3, 1.0)
        checked("doubt of the start [days]", self.start_sd_days, 0.0, 30.0)
        checked("doubt of the sight [days]", self.seen_sd_days, 0.0, 30.0)
        if day_number(self.seen_at) <= day_number(self.since):
            raise HistoryError(
                f"time of the sight is {self.seen_at.isoformat()}, must be after its start, {self.since.isoformat()}"
            )


class _Stacked(msgspec.Struct, frozen=True):
    """Sights as arrays: n segments in all, m sights, g gauges."""

    parts: Segments  # of all sights, one after the other
    firsts: NDArray[np.intp]  # shape (m,): where each one's segments begin
    of_sight: NDArray[np.intp]  # shape (n,)
    days: Floats  # shape (m,)
    shares: Floats  # shape (m,): share of the constant reached
    doubts: Floats  # shape (m,): standard deviation of start and sight [days]


def learned(stage: Stage, sights: Sequence[Sight]) -> Calibration:
    """Give what is held of a stage after what was seen.

    Parameters
    ----------
    stage : Stage
        Its figures are what was held before.
    sights : sequence of Sight, shape (n,), n >= 0
        In any order, of any places.

    Returns
    -------
    Calibration
        The likeliest values, and their covariance.

    Raises
    ------
    HistoryError
        If a history has a hole or an overlap, or something was seen before it began.
    OutOfRangeError
        If a share or a doubt is out of its range.

    Notes
    -----
    ln(progress / needed) of a sight is taken as t distributed about 0 with 4 degrees of freedom, so that a badly dated
    one hardly counts; its scale holds the individual spread, the start and the sight. The values have a normal prior:
    the stage's base and constant (as its figures say), the farm's cooling share and common offset, and an offset of
    each gauge, so that a place is pulled towards its farm, and a farm towards the species, the more the fewer hatches
    it has. The mode is found by Newton steps with the weights (nu + 1) / (nu + z^2) [1]_, the covariance is that of the
    normal about it.

    References
    ----------
    .. [1] Lange K.L., Little R.J.A., Taylor J.M.G. 1989, J. Am. Stat. Assoc. 84:881-896, doi 10.2307/2290063.

    Examples
    --------
    Twice the eggs of a shelf at a steady 30 C took 12 days, not the usual 10.7.

    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> def seen(day):
    ...     start, end = (dt.datetime(2026, 5, d, tzinfo=dt.UTC) for d in (day, day + 12))
    ...     shelf = Swing(start_at=start, end_at=end, low_c=30.0, high_c=30.0)
    ...     return Sight(history=[shelf], since=start, seen_at=end)
    >>> taught = learned(species("house").egg, [seen(1), seen(8)])
    >>> round(taught.constant / (30.0 + taught.offset_c(taught.gauges[0]) - taught.base_c), 1)
    11.7
    """
    before = untaught(stage)
    if not sights:
        return before
    stacked = _stack(sights)
    gauges = stacked.parts.gauges
    start = np.concatenate([before.values, np.zeros(len(gauges))])
    prior = before.for_gauges(gauges) + _LEAST_VARIANCE * np.eye(len(start))
    certainty, values = np.linalg.inv(prior), start.copy()
    for _ in range(_MOST_STEPS):
        held = _calibration(stage, values, prior, gauges, 0)
        misses, slopes, weights = _misses(stacked, held)
        weighted = slopes * weights[:, None]
        information = certainty + weighted.T @ slopes
        step = np.linalg.solve(information, certainty @ (start - values) - weighted.T @ misses)
        values = values + step
        if np.all(np.abs(step) < _STEP_ENOUGH * np.sqrt(np.diag(prior))):
            break
    return _calibration(stage, values, np.linalg.inv(information).astype(np.float64), gauges, len(sights))


def _calibration(stage: Stage, values: Floats, covariance: Floats, gauges: tuple[Gauge, ...], seen: int) -> Calibration:
    rows = tuple(tuple(row) for row in covariance.tolist())
    return Calibration(stage=stage, values=tuple(values.tolist()), covariance=rows, gauges=gauges, seen=seen)


def _stack(sights: Sequence[Sight]) -> _Stacked:
    each = [segments(sight.history) for sight in sights]
    for sight, parts in zip(sights, each, strict=True):
        if abs(parts.starts[0] - day_number(sight.since)) > 1e-4 or abs(parts.end - day_number(sight.seen_at)) > 1e-4:
            raise HistoryError("history of a sight must reach from its start to its end")
    gauges = {gauge: index for index, gauge in enumerate(dict.fromkeys(g for parts in each for g in parts.gauges))}
    places = [np.array([gauges[g] for g in parts.gauges])[parts.gauge_of] for parts in each]
    counts = np.array([len(parts.starts) for parts in each])
    joined = {
        name: np.concatenate([getattr(parts, name) for parts in each])
        for name in ("starts", "lengths", "from_c", "to_c", "swings", "drops_c")
    }
    return _Stacked(
        parts=Segments(**joined, gauge_of=np.concatenate(places), gauges=tuple(gauges)),
        firsts=np.concatenate([[0], np.cumsum(counts)[:-1]]),
        of_sight=np.repeat(np.arange(len(each)), counts),
        days=np.array([day_number(s.seen_at) - day_number(s.since) for s in sights]),
        shares=np.array([s.part for s in sights]),
        doubts=np.array([np.hypot(s.start_sd_days, s.seen_sd_days) for s in sights]),
    )


def _misses(stacked: _Stacked, held: Calibration) -> tuple[Floats, Floats, Floats]:
    """Give ln(progress / needed) of each sight, what it hangs on, and its weight."""
    gains = pace(stacked.parts, held, rates_of(held)).rates * stacked.parts.lengths
    progress = np.add.reduceat(gains, stacked.firsts, axis=1)
    total = np.maximum(progress[0], _LEAST_PROGRESS)
    misses = np.log(total / (stacked.shares * held.constant))
    moved = (progress - progress[0]) / (STEP * total)
    sights, gauges = len(total), len(stacked.parts.gauges)
    cell = stacked.of_sight * gauges + stacked.parts.gauge_of
    by_gauge = np.bincount(cell, weights=(gains[OFFSET] - gains[0]) / STEP, minlength=sights * gauges)
    slopes = np.empty((sights, SHARED + gauges))
    slopes[:, 0], slopes[:, 1] = moved[BASE] + held.stage.ridge.value, -1.0
    slopes[:, 2], slopes[:, 3] = moved[SHARE], moved[OFFSET]
    slopes[:, SHARED:] = by_gauge.reshape(sights, gauges) / total[:, None]
    variances = held.stage.spread.value**2 + (stacked.doubts / stacked.days) ** 2
    weights = (TAIL + 1) / (TAIL + misses**2 / variances) / variances
    return misses, slopes, np.where(progress[0] > _LEAST_PROGRESS, weights, 0.0)
