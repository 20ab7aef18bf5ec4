"""The warmth that eggs had and will have: spans of time, and their degree-days as straight lines.

Not for where a tub stood or which reading counts for it: the farm tells that. Not for a file of logged temperatures:
see logged.
"""

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import msgspec

from core.science import degree_days
from core.science.ranges import checked
from core.science.species import Stage

SECONDS_PER_DAY = 86_400.0
COLDEST_C, HOTTEST_C = -30.0, 60.0  # beyond these a reading of a place with eggs is a slip, in any season


class HistoryError(ValueError):
    """A history of warmth with a hole or an overlap, or a question that it does not reach to."""


class Swing(msgspec.Struct, frozen=True, kw_only=True):
    """A time in which each day swings between a low and a high; equal ones are a constant."""

    start_at: dt.datetime
    end_at: dt.datetime | None = None  # None: it goes on like this
    low_c: float  # COLDEST_C to HOTTEST_C
    high_c: float  # low_c to HOTTEST_C

    def __post_init__(self) -> None:
        checked("low of the day [C]", self.low_c, COLDEST_C, HOTTEST_C)
        checked("high of the day [C]", self.high_c, self.low_c, HOTTEST_C)


class Ramp(msgspec.Struct, frozen=True, kw_only=True):
    """A time in which the temperature goes in a straight line, as between two logged readings."""

    start_at: dt.datetime
    end_at: dt.datetime
    from_c: float  # COLDEST_C to HOTTEST_C
    to_c: float  # the same

    def __post_init__(self) -> None:
        checked("temperature [C]", self.from_c, COLDEST_C, HOTTEST_C)
        checked("temperature [C]", self.to_c, COLDEST_C, HOTTEST_C)


Warmth = Swing | Ramp


class Sums(msgspec.Struct, frozen=True):
    """What a history has added up to since it began."""

    degree_days: float = 0.0  # C
    warm_days: float = 0.0  # days spent above the base
    heat: float = 0.0  # temperature times days [C d]


class Piece(msgspec.Struct, frozen=True):
    """A part of a history in which rate and temperature are straight lines of time; units are C and days."""

    start: float  # days since 1970
    length: float  # infinite: goes on
    rate: float  # at the start [degree-days per day]
    rate_slope: float
    temp_c: float  # at the start
    temp_slope: float
    warm_share: float  # share of the time spent above the base
    before: Sums  # what the earlier pieces added up to

    @property
    def end(self) -> float:
        """The end of this piece. [days since 1970]."""
        return self.start + self.length

    def sums(self, days: float) -> Sums:
        """Add up to `days` after the start of this piece."""
        return Sums(
            self.before.degree_days + (self.rate + self.rate_slope * days / 2) * days,
            self.before.warm_days + self.warm_share * days,
            self.before.heat + (self.temp_c + self.temp_slope * days / 2) * days,
        )

    def days_to(self, missing: float) -> float:
        """Solve rate x + slope x^2 / 2 = missing for x in days; the form of the root that does not cancel."""
        root = math.sqrt(max(0.0, self.rate**2 + 2 * self.rate_slope * missing))
        return 2 * missing / (self.rate + root) if self.rate + root > 0 else math.inf


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


def pieces(history: Sequence[Warmth], stage: Stage) -> tuple[Piece, ...]:
    """Cut a history into straight lines and add them up.

    Parameters
    ----------
    history : sequence of Swing or Ramp, shape (n,), n >= 1
        In order, each beginning where the one before ends; only the last may go on.
    stage : Stage
        Whose base and cutoff count.

    Returns
    -------
    tuple of Piece, shape (m,), n <= m <= 3 n
        A swing stays whole, a ramp is cut where it crosses base and cutoff.

    Raises
    ------
    HistoryError
        If the history is empty, has a hole, an overlap, a time without zone, or an open end before its last part.

    Examples
    --------
    >>> from core.science.species import species
    >>> start, end = dt.datetime(2026, 5, 1, tzinfo=dt.UTC), dt.datetime(2026, 5, 2, tzinfo=dt.UTC)
    >>> up = Ramp(start_at=start, end_at=end, from_c=10.0, to_c=40.0)
    >>> [round(piece.temp_c, 1) for piece in pieces([up], species("house").egg)]
    [10.0, 14.9, 34.0]
    """
    found: list[Piece] = []
    sums, end = Sums(), -math.inf
    for warmth in history:
        start = day_number(warmth.start_at)
        if found and abs(start - end) > 0.5 / SECONDS_PER_DAY:
            raise HistoryError(f"start of warmth is {warmth.start_at.isoformat()}, must be the end of the one before")
        end = math.inf if warmth.end_at is None else day_number(warmth.end_at)
        if end <= start:
            raise HistoryError(f"end of warmth is {warmth.end_at}, must be after its start, {warmth.start_at}")
        for line in _lines(warmth, start, end, stage):
            piece = Piece(*line, before=sums)
            found.append(piece)
            sums = piece.sums(piece.length) if math.isfinite(end) else sums
    if not found:
        raise HistoryError("history of warmth is empty, must have at least one part")
    return tuple(found)


_Line = tuple[float, float, float, float, float, float, float]  # the fields of a Piece before `before`


def _lines(warmth: Warmth, start: float, end: float, stage: Stage) -> Iterator[_Line]:
    base_c, cutoff_c = stage.base_temp_c.value, stage.cutoff_c.value
    if isinstance(warmth, Swing):
        low, high = warmth.low_c, warmth.high_c
        rate = degree_days.single_sine(low, high, base_c, cutoff=cutoff_c)
        share = degree_days.share_of_day_above(low, high, base_c)
        yield start, end - start, rate, 0.0, (low + high) / 2, 0.0, share
        return
    slope = (warmth.to_c - warmth.from_c) / (end - start)
    crossings = [start + (edge - warmth.from_c) / slope for edge in (base_c, cutoff_c)] if slope else []
    turns = [start, *sorted(day for day in crossings if start < day < end), end]
    for turn, following in pairwise(turns):
        temp_c = warmth.from_c + slope * (turn - start)
        middle_c = temp_c + slope * (following - turn) / 2
        is_between = base_c < middle_c < cutoff_c
        counted_c = temp_c if is_between else middle_c  # flat outside, so any point of the piece will do
        rate = min(max(counted_c, base_c), cutoff_c) - base_c
        yield turn, following - turn, rate, slope if is_between else 0.0, temp_c, slope, float(middle_c > base_c)
