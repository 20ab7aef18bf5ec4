"""Readings of places and tubs into the unbroken history of warmth that development is reckoned on.

A single reading holds until the next one; two within half a day are joined by a straight line; a low and a high tell
of the day before them and of the days after, until something else is read.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

import msgspec
from msgspec.structs import replace

from core.farm.farm import Climate
from core.rules.surroundings import RECENT, Air, range_of
from core.science.logged import FADING
from core.science.substrate import surface_drop_c
from core.science.warmth import COLDEST_C, HOTTEST_C, THERMOMETER_SD_C, Gauge, Ramp, Swing, Warmth

JOINED_WITHIN = dt.timedelta(hours=12)
DAY = dt.timedelta(days=1)
ASSUMED_SD_C = 2.5  # C; guess: nobody has looked at a thermometer
IN_TUBS = Gauge("in the tubs", THERMOMETER_SD_C)


class Span(msgspec.Struct, frozen=True, kw_only=True):
    """A time that a tub spent in one place, with or without its cover."""

    place: str | None
    start_at: dt.datetime
    end_at: dt.datetime | None = None  # None: it is there now
    is_covered: bool = False


AirOf = Callable[[str | None], Air]


def history_of(spans: Sequence[Span], own: tuple[Climate, ...], air_of: AirOf) -> list[Warmth]:
    """Give the warmth over spans that follow each other; a tub's own readings go before those of its places.

    They count for the place that they were taken in: once it is moved, the tub is as warm as where it is now. They are
    taken as told by a thermometer in the substrate, which needs no cooling.
    """
    found: list[Warmth] = []
    for span in spans:
        air, inside = air_of(span.place), own_in(span, own)
        if inside:
            found += (replace(part, gauge=IN_TUBS) for part in _parts(_one_a_time(inside), span))
        elif air.readings:
            gauge = Gauge(span.place or "", THERMOMETER_SD_C)
            found += (
                _cooled(replace(part, gauge=gauge), air, span) for part in _parts(_one_a_time(air.readings), span)
            )
        else:
            held = Swing(start_at=span.start_at, end_at=span.end_at, low_c=air.assumed_c, high_c=air.assumed_c)
            found.append(_cooled(replace(held, gauge=Gauge(f"{span.place or ''}?", ASSUMED_SD_C)), air, span))
    return found


def _cooled(part: Warmth, air: Air, span: Span) -> Warmth:
    """Put in by how much a wet surface would be cooler."""
    one, other = (part.low_c, part.high_c) if isinstance(part, Swing) else (part.from_c, part.to_c)
    rh = air.rh_at(part.start_at if part.end_at is not None else dt.datetime.max.replace(tzinfo=dt.UTC))
    return replace(part, drop_c=surface_drop_c((one + other) / 2, rh, is_covered=span.is_covered))


def own_in(span: Span, own: Sequence[Climate]) -> tuple[Climate, ...]:
    """Give those of a tub's own readings that were taken during a span."""
    return tuple(r for r in own if r.at >= span.start_at and (span.end_at is None or r.at < span.end_at))


def _one_a_time(readings: Sequence[Climate]) -> list[Climate]:
    """Keep the last of readings that were taken at the same time."""
    return list({r.at: r for r in sorted(readings, key=lambda r: r.at)}.values())


def _parts(readings: list[Climate], span: Span) -> Iterator[Warmth]:
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


def _clipped(
    start: dt.datetime, end: dt.datetime, before: Climate, after: Climate, since: dt.datetime, until: dt.datetime
) -> Warmth:
    if before is after:
        low_c, high_c = range_of(before)
        return Swing(start_at=since, end_at=until, low_c=low_c, high_c=high_c)
    from_c, to_c = range_of(before)[0], range_of(after)[0]
    slope = (to_c - from_c) / (end - start).total_seconds()
    return Ramp(
        start_at=since,
        end_at=until,
        from_c=from_c + slope * (since - start).total_seconds(),
        to_c=from_c + slope * (until - start).total_seconds(),
    )


def _coming(readings: list[Climate]) -> tuple[float, float]:
    """Give the low and high that are expected to go on: what the last three days were like, the last of them most.

    Of lows and highs read together, their means; of single readings their mean and half of the span that a day had.
    """
    last = readings[-1]
    is_single = _is_single(last)
    days: dict[int, list[tuple[float, float]]] = {}
    for reading in readings:
        back = (last.at - reading.at) // DAY
        if reading.at > last.at - RECENT and _is_single(reading) == is_single:
            days.setdefault(back, []).append(range_of(reading))
    weights = {back: FADING**back for back in days}
    if not is_single:
        lows = {back: sum(low for low, _ in found) / len(found) for back, found in days.items()}
        highs = {back: sum(high for _, high in found) / len(found) for back, found in days.items()}
        return _weighted(lows, weights), _weighted(highs, weights)
    temps = {back: [low for low, _ in found] for back, found in days.items()}
    mean_c = _weighted({back: sum(found) / len(found) for back, found in temps.items()}, weights)
    half = _weighted({b: (max(found) - min(found)) / 2 for b, found in temps.items() if len(found) > 1}, weights)
    return max(COLDEST_C, mean_c - half), min(HOTTEST_C, mean_c + half)


def _weighted(values: dict[int, float], weights: dict[int, float]) -> float:
    total = sum(weights[back] for back in values)
    return sum(weights[back] * value for back, value in values.items()) / total if values else 0.0
