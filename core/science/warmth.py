"""The warmth that eggs and crickets had and will have: spans of time, and the arrays that are reckoned with.

Not for where a tub stood or which reading counts for it: the farm tells that. Not for a file of logged temperatures:
see logged.
"""

import datetime as dt
import math
from collections.abc import Sequence

import msgspec
import numpy as np
from numpy.typing import NDArray

from core.science.ranges import checked
from core.science.stage import Floats

SECONDS_PER_DAY = 86_400.0
COLDEST_C, HOTTEST_C = -30.0, 60.0  # beyond these a reading of a place with eggs is a slip, in any season
MOST_DROP_C = 40.0  # bone dry air at 60 C has a wet bulb 38.8 C lower
THERMOMETER_SD_C = 1.0  # guess: a cheap thermometer, and eggs an arm's length away from it


class HistoryError(ValueError):
    """A history of warmth with a hole or an overlap, or a question that it does not reach to."""


class Gauge(msgspec.Struct, frozen=True):
    """What told a temperature: a thermometer in one spot, or a guess about it. Its error stays the same for weeks."""

    name: str = ""
    sd_c: float = THERMOMETER_SD_C  # standard deviation of what it tells, from the warmth around the eggs

    def __post_init__(self) -> None:
        checked("thermometer error [C]", self.sd_c, 0.0, 10.0)


ANY_GAUGE = Gauge()


class Swing(msgspec.Struct, frozen=True, kw_only=True):
    """A time in which each day swings between a low and a high; equal ones are a constant."""

    start_at: dt.datetime
    end_at: dt.datetime | None = None  # None: it goes on like this
    low_c: float  # of the air; COLDEST_C to HOTTEST_C
    high_c: float  # low_c to HOTTEST_C
    drop_c: float = 0.0  # by how much a surface that dries freely there is cooler; 0: dry, closed, or measured itself
    gauge: Gauge = ANY_GAUGE

    def __post_init__(self) -> None:
        checked("low of the day [C]", self.low_c, COLDEST_C, HOTTEST_C)
        checked("high of the day [C]", self.high_c, self.low_c, HOTTEST_C)
        checked("drop of a wet surface [C]", self.drop_c, 0.0, MOST_DROP_C)


class Ramp(msgspec.Struct, frozen=True, kw_only=True):
    """A time in which the temperature goes in a straight line, as between two logged readings."""

    start_at: dt.datetime
    end_at: dt.datetime
    from_c: float  # of the air; COLDEST_C to HOTTEST_C
    to_c: float  # the same
    drop_c: float = 0.0  # as in Swing
    gauge: Gauge = ANY_GAUGE

    def __post_init__(self) -> None:
        checked("temperature [C]", self.from_c, COLDEST_C, HOTTEST_C)
        checked("temperature [C]", self.to_c, COLDEST_C, HOTTEST_C)
        checked("drop of a wet surface [C]", self.drop_c, 0.0, MOST_DROP_C)


Warmth = Swing | Ramp


class Segments(msgspec.Struct, frozen=True, kw_only=True):
    """A history as arrays of shape (n,), n >= 1: one segment begins where the one before ends."""

    starts: Floats  # days since 1970
    lengths: Floats  # days; the last one may be infinite
    from_c: Floats  # low of a swing, start of a ramp
    to_c: Floats  # high of a swing, end of a ramp
    swings: NDArray[np.bool_]
    drops_c: Floats
    gauge_of: NDArray[np.intp]  # index into gauges
    gauges: tuple[Gauge, ...]

    @property
    def end(self) -> float:
        """The end of the last segment. [days since 1970]."""
        return float(self.starts[-1] + self.lengths[-1])


def day_number(at: dt.datetime) -> float:
    """Count the days since 1970 in UTC, so that a change of clocks is no change of time.

    Raises
    ------
    HistoryError
        If `at` has no time zone.

    Examples
    --------
    >>> day_number(dt.datetime(1970, 1, 2, 12, tzinfo=dt.UTC))
    1.5
    """
    if at.tzinfo is None:
        raise HistoryError(f"time is {at.isoformat()}, must have a time zone")
    return at.timestamp() / SECONDS_PER_DAY


def at_day(day: float, zone: dt.tzinfo | None) -> dt.datetime:
    """Give the time of a number of days since 1970, to the second."""
    return dt.datetime.fromtimestamp(round(day * SECONDS_PER_DAY), tz=zone)


def segments(history: Sequence[Warmth]) -> Segments:
    """Put a history into arrays.

    Parameters
    ----------
    history : sequence of Swing or Ramp, shape (n,), n >= 1
        In order, each beginning where the one before ends; only the last may go on.

    Returns
    -------
    Segments
        As many as there are parts.

    Raises
    ------
    HistoryError
        If the history is empty, has a hole, an overlap, a time without zone, or an open end before its last part.

    Examples
    --------
    >>> start, end = dt.datetime(2026, 5, 1, tzinfo=dt.UTC), dt.datetime(2026, 5, 2, tzinfo=dt.UTC)
    >>> segments([Ramp(start_at=start, end_at=end, from_c=10.0, to_c=40.0)]).lengths.tolist()
    [1.0]
    """
    if not history:
        raise HistoryError("history of warmth is empty, must have at least one part")
    starts = [day_number(part.start_at) for part in history]
    ends = [math.inf if part.end_at is None else day_number(part.end_at) for part in history]
    for part, start, end, before in zip(history, starts, ends, [starts[0], *ends[:-1]], strict=True):
        if abs(start - before) > 0.5 / SECONDS_PER_DAY:
            raise HistoryError(f"start of warmth is {part.start_at.isoformat()}, must be the end of the one before")
        if end <= start:
            raise HistoryError(f"end of warmth is {part.end_at}, must be after its start, {part.start_at}")
    gauges = {gauge: index for index, gauge in enumerate(dict.fromkeys(part.gauge for part in history))}
    temps = [(p.low_c, p.high_c) if isinstance(p, Swing) else (p.from_c, p.to_c) for p in history]
    return Segments(
        starts=np.array(starts),
        lengths=np.array(ends) - np.array(starts),
        from_c=np.array([one for one, _ in temps]),
        to_c=np.array([other for _, other in temps]),
        swings=np.array([isinstance(part, Swing) for part in history]),
        drops_c=np.array([part.drop_c for part in history]),
        gauge_of=np.array([gauges[part.gauge] for part in history]),
        gauges=tuple(gauges),
    )
