"""The progress of a stage along a history of warmth: what has come together, and when enough will have.

Not for the window that a stage ends in: see development.
"""

import datetime as dt
import math
from bisect import bisect_right
from collections.abc import Sequence
from functools import cached_property

import numpy as np

from core.science.calibration import SHARED, Calibration, untaught
from core.science.pace import AS_HELD, BASE, LEVEL_C, OFFSET, SHARE, STEP, pace, rates_of
from core.science.ranges import checked
from core.science.stage import Floats, Response, Stage
from core.science.warmth import SECONDS_PER_DAY, HistoryError, Segments, Warmth, at_day, day_number, segments

FURTHEST_DAYS = 3_650.0  # ten years: no egg waits longer
_DROP = 2  # the row of drops among the means of parts
_SLACK = 0.5 / SECONDS_PER_DAY  # times are kept to the second


_ROUNDING = 1e-9  # degree-days: two ways of adding up the same


class DevelopmentCurve:
    """The degree-days of a history, added up once and asked for many tubs.

    Parameters
    ----------
    history : sequence of Swing or Ramp, shape (n,), n >= 1; or Segments
        In order, each beginning where the one before ends; only the last may go on.
    stage : Stage or Calibration
        Whose rates count; a stage alone is taken as nothing were learned yet.

    Raises
    ------
    HistoryError
        If the history is empty, has a hole, an overlap, a time without zone, or an open end before its last part.

    Notes
    -----
    A swing gains its single-sine degree-days at an even pace over the day. A ramp is integrated exactly. Building takes
    O(n), each question O(log n).

    Examples
    --------
    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> noon = dt.datetime(2026, 5, 1, 12, tzinfo=dt.UTC)
    >>> curve = DevelopmentCurve([Swing(start_at=noon, low_c=32.5, high_c=32.5)], species("house").egg)
    >>> round(curve.progress(noon, noon + dt.timedelta(days=5)), 3)
    88.5
    >>> curve.reached_at(noon, 88.5) == noon + dt.timedelta(days=5)
    True
    """

    def __init__(self, history: Sequence[Warmth] | Segments, stage: Stage | Calibration) -> None:
        self.calibration = untaught(stage) if isinstance(stage, Stage) else stage
        self._parts = history if isinstance(history, Segments) else segments(history)
        response = rates_of(self.calibration)
        self._bends = _bends(response)
        self._pace = pace(self._parts, self.calibration, response)
        finite = np.where(np.isfinite(self._parts.lengths), self._parts.lengths, 0.0)
        self._before = np.zeros((len(self._pace.rates), len(finite) + 1))
        np.cumsum(self._pace.rates * finite, axis=1, out=self._before[:, 1:])
        self._starts: list[float] = self._parts.starts.tolist()
        self._means = self._means_of_parts()
        self._means_before = np.zeros((len(self._means), len(finite) + 1))
        np.cumsum(self._means * finite, axis=1, out=self._means_before[:, 1:])

    def _means_of_parts(self) -> Floats:
        """Give what each part has in the mean, in rows: told, eggs, drop, gain by a warmer gauge, by warmer days."""
        told = (self._parts.from_c + self._parts.to_c) / 2
        eggs = (self._pace.from_c[AS_HELD] + self._pace.to_c[AS_HELD]) / 2
        gains = (self._pace.rates[OFFSET] - self._pace.rates[AS_HELD]) / STEP
        by_gauge = [np.where(self._parts.gauge_of == gauge, gains, 0.0) for gauge in range(len(self._parts.gauges))]
        coming = np.zeros(len(gains))
        coming[-1] = gains[-1] if self.is_open else 0.0
        return np.array([told, eggs, self._parts.drops_c, *by_gauge, coming])

    @property
    def is_open(self) -> bool:
        """Say whether the last part goes on."""
        return math.isinf(self._parts.lengths[-1])

    @property
    def coming_air_c(self) -> float | None:
        """The mean temperature told of the part that goes on, or None where the history ends. [C]."""
        return float(self._parts.from_c[-1] + self._parts.to_c[-1]) / 2 if self.is_open else None

    @property
    def coming_range_c(self) -> float | None:
        """How far the days of the part that goes on swing, or None where the history ends. [C]."""
        return float(self._parts.to_c[-1] - self._parts.from_c[-1]) if self.is_open else None

    @property
    def coming_c(self) -> float | None:
        """The mean temperature of the eggs in the part that goes on, or None where the history ends. [C]."""
        return float(self._pace.from_c[AS_HELD, -1] + self._pace.to_c[AS_HELD, -1]) / 2 if self.is_open else None

    @property
    def coming_rate(self) -> float | None:
        """The degree-days a day of the part that goes on, or None where the history ends. [C]."""
        return float(self._pace.rates[AS_HELD, -1]) if self.is_open else None

    def progress(self, since: dt.datetime, until: dt.datetime) -> float:
        """Add up the degree-days between two times.

        Parameters
        ----------
        since, until : datetime
            Aware, in order, within the history.

        Returns
        -------
        float
            Progress, at least 0. [degree-days C]

        Raises
        ------
        HistoryError
            If a time lies outside the history or the two are out of order.
        """
        start, end = self._ordered(since, until)
        return self._held(end) - self._held(start)

    def reached_at(self, since: dt.datetime, needed: float) -> dt.datetime | None:
        """Find when `needed` degree-days will have come together.

        Parameters
        ----------
        since : datetime
            Aware, within the history.
        needed : float
            At least 0. [degree-days C]

        Returns
        -------
        datetime or None
            To the second, in the time zone of `since`; None if the history does not get there in ten years.

        Raises
        ------
        HistoryError
            If `since` lies outside the history.
        OutOfRangeError
            If `needed` is not finite or negative.
        """
        start = day_number(since)
        target = self._held(start) + checked("degree-days [C]", needed, 0.0)
        if needed == 0:
            return since
        before = self._before[AS_HELD, :-1]
        index = max(0, int(np.searchsorted(before, target)) - 1)
        days = self._days_to(index, target - float(before[index]))
        at = float(self._parts.starts[index]) + days
        if days > self._parts.lengths[index] + _SLACK or at - start > FURTHEST_DAYS:
            return None
        return at_day(at, since.tzinfo)

    def is_foreseen(self, at: dt.datetime) -> bool:
        """Tell whether `at` lies in the part that goes on, which is expected and not known."""
        return self.is_open and day_number(at) > self._parts.starts[-1]

    def mean_temps_c(self, since: dt.datetime, until: dt.datetime) -> tuple[float, float]:
        """Give the mean temperature told and that of the eggs between two times in order. [C]."""
        start, end = self._ordered(since, until)
        told, eggs = self._over(start, end)[:2] / (end - start)
        return float(told), float(eggs)

    def working_temp_c(self, since: dt.datetime, until: dt.datetime) -> float:
        """Give the mean temperature of the eggs while they develop, between two times in order with some progress. [C].

        Progress over the days above the base, which is what a base lower by a degree would add. A stage with a least
        rate goes on below it, so that its mean is taken.
        """
        if self.calibration.stage.least_rate is not None:
            return self.mean_temps_c(since, until)[1]
        start, end = self._ordered(since, until)
        gained = self._sum(end) - self._sum(start)
        days_above = float(gained[AS_HELD] - gained[BASE]) / STEP
        return self.calibration.base_c + float(gained[AS_HELD]) / max(days_above, 1e-9)

    def cooling_c(self, since: dt.datetime, until: dt.datetime) -> float:
        """Give by how much drying cooled the eggs in the mean between two times in order. [C]."""
        start, end = self._ordered(since, until)
        return self.calibration.cooling_share * float(self._over(start, end)[_DROP]) / (end - start)

    def sensitivity(self, since: dt.datetime, until: dt.datetime) -> Floats:
        """Tell what the logarithm of progress over constant hangs on.

        Parameters
        ----------
        since, until : datetime
            Aware, in order, within the history, with some progress between them.

        Returns
        -------
        ndarray, shape (SHARED + gauges + 1,)
            Its change by one more of each value of the calibration: base, log of the constant, cooling share, offset,
            the offset of each gauge of the history; last, the offset of the part that goes on.

        Raises
        ------
        HistoryError
            If a time lies outside the history or the two are out of order.
        """
        start, end = self._ordered(since, until)
        gained = self._sum(end) - self._sum(start)
        slopes = (gained - gained[AS_HELD]) / (STEP * gained[AS_HELD])
        found = np.empty(SHARED + len(self._parts.gauges) + 1)
        found[:SHARED] = slopes[BASE] + self.calibration.stage.ridge.value, -1.0, slopes[SHARE], slopes[OFFSET]
        found[SHARED:] = self._over(start, end)[_DROP + 1 :] / gained[AS_HELD]
        return found

    @cached_property
    def covariance(self) -> Floats:
        """What the calibration holds of its values and of the gauges of this history, in the order of `sensitivity`."""
        return self.calibration.for_gauges(self._parts.gauges)

    def _ordered(self, since: dt.datetime, until: dt.datetime) -> tuple[float, float]:
        start, end = day_number(since), day_number(until)
        if end < start:
            raise HistoryError(f"until is {until.isoformat()}, must not be before since, {since.isoformat()}")
        return start, end

    def _index(self, day: float) -> int:
        index = bisect_right(self._starts, day) - 1
        if index < 0 or day > self._parts.end + _SLACK:
            raise HistoryError(f"time is {at_day(day, dt.UTC).isoformat()}, must lie within the history of warmth")
        return index

    def _over(self, start: float, end: float) -> Floats:
        """Add the means of the parts up between two times; a ramp that is cut counts as if it went on at its mean."""
        first, last = self._index(start), self._index(end)
        added: Floats = self._means_before[:, last] - self._means_before[:, first]
        added += self._means[:, last] * (end - self._starts[last]) - self._means[:, first] * (
            start - self._starts[first]
        )
        return added

    def _sum(self, day: float) -> Floats:
        """Add up to a time, in the four rows."""
        index = self._index(day)
        days = day - float(self._parts.starts[index])
        if days <= 0:
            return self._before[:, index]
        if self._parts.swings[index]:
            return self._before[:, index] + self._pace.rates[:, index] * days
        from_c, to_c = self._pace.from_c[:, index], self._pace.to_c[:, index]
        slopes = (to_c - from_c) / float(self._parts.lengths[index])
        each = enumerate(zip(from_c.tolist(), slopes.tolist(), strict=True))
        return self._before[:, index] + [self._gained(from_c, slope, days, row) for row, (from_c, slope) in each]

    def _held(self, day: float) -> float:
        """Add up to a time, as held."""
        index = self._index(day)
        before, days = float(self._before[AS_HELD, index]), day - float(self._parts.starts[index])
        if self._parts.swings[index]:
            return before + float(self._pace.rates[AS_HELD, index]) * days
        from_c = float(self._pace.from_c[AS_HELD, index])
        slope = (float(self._pace.to_c[AS_HELD, index]) - from_c) / float(self._parts.lengths[index])
        return before + self._gained(from_c, slope, days)

    def _days_to(self, index: int, missing: float) -> float:
        """Give how long a part takes to gain what is missing; infinite where it does not get there."""
        rate, length = float(self._pace.rates[AS_HELD, index]), float(self._parts.lengths[index])
        if self._parts.swings[index]:
            return missing / rate if rate > 0 else math.inf
        low, high, from_c = 0.0, length, float(self._pace.from_c[AS_HELD, index])
        slope = (float(self._pace.to_c[AS_HELD, index]) - from_c) / length
        if self._gained(from_c, slope, length) < missing - _ROUNDING:
            return math.inf
        while high - low > _SLACK / 8:
            middle = (low + high) / 2
            low, high = (low, middle) if self._gained(from_c, slope, middle) >= missing else (middle, high)
        return high

    def _gained(self, from_c: float, slope: float, days: float, row: int = AS_HELD) -> float:
        """Give what a ramp gains in its first days; the same as the arrays do, for one number."""
        rise, bends = slope * days, self._bends[row]
        if abs(rise) < LEVEL_C:
            return days * sum(bend * max(from_c - knot, 0.0) for knot, bend in bends)
        to_c = from_c + rise
        squares = ((bend, max(to_c - knot, 0.0), max(from_c - knot, 0.0)) for knot, bend in bends)
        return sum(bend * (last * last - first * first) for bend, last, first in squares) / (2 * slope)


def _bends(rates: Response) -> list[list[tuple[float, float]]]:
    """Give the knots of each row with their bends, for one number at a time."""
    rows = zip(rates.knots[:, :, 0].T.tolist(), rates.bends[:, :, 0].T.tolist(), strict=True)
    return [list(zip(knots, bends, strict=True)) for knots, bends in rows]
