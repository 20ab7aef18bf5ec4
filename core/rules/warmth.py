"""Readings of places and tubs into the unbroken history of warmth that development is reckoned on.

A single reading holds until the next one; two within half a day are joined by a straight line; a low and a high tell
of the day before them and of the days after, until something else is read.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

import msgspec

from core.farm.farm import Climate
from core.science.warmth import Ramp, Swing, Warmth

JOINED_WITHIN = dt.timedelta(hours=12)
RECENT = dt.timedelta(days=1)  # what is to come is like the mean of this long before the last reading
DAY = dt.timedelta(days=1)


class Span(msgspec.Struct, frozen=True, kw_only=True):
    """A time that a tub spent in one place."""

    place: str | None
    start_at: dt.datetime
    end_at: dt.datetime | None = None  # None: it is there now


# Readings of a place with a temperature, by time, and what it is taken for without any. [C]
ReadingsOf = Callable[[str | None], tuple[tuple[Climate, ...], float]]


def history_of(spans: Sequence[Span], own: tuple[Climate, ...], readings_of: ReadingsOf) -> list[Warmth]:
    """Give the warmth over spans that follow each other; a tub's own readings go before those of its places.

    They count for the place that they were taken in: once it is moved, the tub is as warm as where it is now.
    """
    found: list[Warmth] = []
    for span in spans:
        readings, assumed = readings_of(span.place)
        found += _parts(_one_a_time(own_in(span, own) or readings), assumed, span)
    return found


def own_in(span: Span, own: Sequence[Climate]) -> tuple[Climate, ...]:
    """Give those of a tub's own readings that were taken during a span."""
    return tuple(r for r in own if r.at >= span.start_at and (span.end_at is None or r.at < span.end_at))


def _one_a_time(readings: Sequence[Climate]) -> list[Climate]:
    """Keep the last of readings that were taken at the same time."""
    return list({r.at: r for r in sorted(readings, key=lambda r: r.at)}.values())


def _parts(readings: list[Climate], assumed_c: float, span: Span) -> Iterator[Warmth]:
    if not readings:
        yield Swing(start_at=span.start_at, end_at=span.end_at, low_c=assumed_c, high_c=assumed_c)
        return
    cuts = [c for c in _cuts(readings) if c[1] > span.start_at]
    at = span.start_at
    for start, end, low, high in cuts:
        until = end if span.end_at is None else min(end, span.end_at)
        if until > at:
            yield _clipped(start, end, low, high, at, until)
            at = until
    if span.end_at is None or at < span.end_at:
        low_c, high_c = _coming(readings)
        yield Swing(start_at=at, end_at=span.end_at, low_c=low_c, high_c=high_c)


_Cut = tuple[dt.datetime, dt.datetime, Climate, Climate]


def _cuts(readings: list[Climate]) -> Iterator[_Cut]:
    """Give (start, end, regime at the start, regime at the end); one regime twice where it just holds."""
    first = readings[0]
    yield dt.datetime.min.replace(tzinfo=dt.UTC), first.at, first, first
    for before, after in pairwise(readings):
        if _is_single(after):
            joined = _is_single(before) and after.at - before.at <= JOINED_WITHIN
            yield before.at, after.at, before, after if joined else before
            continue
        turn = max(before.at, after.at - DAY)
        if turn > before.at:
            yield before.at, turn, before, before
        yield turn, after.at, after, after


def _is_single(reading: Climate) -> bool:
    return reading.low_c is None or reading.high_c is None


def _range(reading: Climate) -> tuple[float, float]:
    if reading.low_c is not None and reading.high_c is not None:
        return reading.low_c, reading.high_c
    single = next(t for t in (reading.temp_c, reading.low_c, reading.high_c) if t is not None)
    return single, single


def _clipped(
    start: dt.datetime, end: dt.datetime, before: Climate, after: Climate, since: dt.datetime, until: dt.datetime
) -> Warmth:
    if before is after:
        low_c, high_c = _range(before)
        return Swing(start_at=since, end_at=until, low_c=low_c, high_c=high_c)
    from_c, to_c = _range(before)[0], _range(after)[0]
    slope = (to_c - from_c) / (end - start).total_seconds()
    return Ramp(
        start_at=since,
        end_at=until,
        from_c=from_c + slope * (since - start).total_seconds(),
        to_c=from_c + slope * (until - start).total_seconds(),
    )


def _coming(readings: list[Climate]) -> tuple[float, float]:
    """Give the low and high that are expected to go on."""
    last = readings[-1]
    if not _is_single(last):
        return _range(last)
    recent = [_range(r)[0] for r in readings if r.at > last.at - RECENT and _is_single(r)]
    mean = sum(recent) / len(recent)
    return mean, mean
