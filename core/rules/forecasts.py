"""When each tub will hatch, from the warmth of its own readings, else of its place, else of what such a place is like.

Not for the arithmetic of development: that is core.science.
"""

import datetime as dt
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from enum import StrEnum
from itertools import groupby
from operator import itemgetter

import msgspec

from core.farm.farm import Climate, Farm, Place, Tub
from core.rules.warmth import RECENT, Span, history_of, own_in
from core.science.development import DevelopmentCurve, HatchWindow, TooCold, hatch_window
from core.science.species import SpeciesName, species
from core.science.warmth import COLDEST_C, HOTTEST_C

LAMP_C = 30.0  # 86 F; a guess at what a shelf under a heat lamp is like
HUMID_C = 29.5  # 85 F; a guess at a room warm and humid enough to need no cover
ROOM_C = 24.0  # 75 F; a guess at a warm room
READING_SD_C = 1.0  # C; guess: a cheap thermometer, and eggs an arm's length away from it
ASSUMED_SD_C = 2.5  # C; guess: nobody has looked at a thermometer
HOUSE_CRICKET = species(SpeciesName.HOUSE)

_Telling = Mapping[str, tuple[Climate, ...]]  # the readings of each place that tell how warm it was, by time


class Basis(StrEnum):
    """What a forecast rests on."""

    TUB = "tub"  # readings in the tub itself
    PLACE = "place"  # readings of the place that it stands in
    ASSUMED = "assumed"  # no reading yet


class Forecast(msgspec.Struct, frozen=True, kw_only=True):
    """When a tub will hatch, and what that rests on."""

    tub: str
    window: HatchWindow | TooCold
    basis: Basis
    coming_c: float  # the mean temperature that is expected after the last reading
    coming_rate: float  # degree-days C a day at it
    curve: DevelopmentCurve  # the warmth that it rests on
    readings: int  # how many readings since the tray was pulled
    place: str | None


def assumed_c(place: Place | None) -> float:
    """Guess the temperature of a place that nobody has read a thermometer in."""
    if place is not None and place.lamp:
        return LAMP_C
    if place is not None and place.humidifier:
        return HUMID_C
    return ROOM_C


def forecasts(farm: Farm) -> dict[str, Forecast]:
    """Give the forecast of each tub whose eggs are still waited for, where it is known when it was pulled."""
    waited = [t for t in farm.incubating() if t.hatch_at is None and t.pulled_at is not None]
    since = min((t.pulled_at for t in waited if t.pulled_at is not None), default=None)
    telling = {} if since is None else {p.name: _telling_since(p.readings, since) for p in farm.places.values()}
    starts: dict[str, dt.datetime] = {}
    for tub in waited:
        if tub.pulled_at is not None and _stays(tub):
            key = tub.place or ""
            starts[key] = min(starts.get(key, tub.pulled_at), tub.pulled_at)
    curves = {
        key: _curve(farm, telling, (Span(place=key or None, start_at=start),), ()) for key, start in starts.items()
    }
    return {tub.name: _forecast(farm, telling, tub, curves) for tub in waited}


def _stays(tub: Tub) -> bool:
    """Tell whether a tub has had the warmth of one place all along, so that its curve can be shared."""
    return len({place for _, place in tub.placements}) <= 1 and not _temperatures(tub.readings)


def _telling_since(readings: Sequence[Climate], since: dt.datetime) -> tuple[Climate, ...]:
    """Give the readings that bear on a time: those from it on, the one before, and the last day of all of them."""
    newest = next((r for r in reversed(readings) if _is_telling(r)), None)
    if newest is None:
        return ()
    first = bisect_left(readings, min(since, newest.at - RECENT), key=lambda r: r.at)
    before = next((readings[i] for i in range(first - 1, -1, -1) if _is_telling(readings[i])), None)
    return (() if before is None else (before,)) + _temperatures(readings[first:])


def _temperatures(readings: Sequence[Climate]) -> tuple[Climate, ...]:
    """Keep the readings that tell how warm it was; a low or a high alone does not, nor a slip that a fix let in."""
    return tuple(r for r in readings if _is_telling(r))


def _is_telling(reading: Climate) -> bool:
    figures = [t for t in (reading.temp_c, reading.low_c, reading.high_c) if t is not None]
    if not all(COLDEST_C <= t <= HOTTEST_C for t in figures):
        return False
    if reading.low_c is not None and reading.high_c is not None:
        return reading.low_c <= reading.high_c
    return reading.temp_c is not None


def _curve(farm: Farm, telling: _Telling, spans: tuple[Span, ...], own: tuple[Climate, ...]) -> DevelopmentCurve:
    def readings_of(place: str | None) -> tuple[tuple[Climate, ...], float]:
        return telling.get(place or "", ()), assumed_c(farm.places.get(place or ""))

    return DevelopmentCurve(history_of(spans, own, readings_of), HOUSE_CRICKET.egg)


def _forecast(farm: Farm, telling: _Telling, tub: Tub, curves: Mapping[str, DevelopmentCurve]) -> Forecast:
    pulled_at = tub.pulled_at or tub.known_since
    spans = _spans(tub, pulled_at)
    own = own_in(spans[-1], _temperatures(tub.readings))
    curve = curves[tub.place or ""] if _stays(tub) else _curve(farm, telling, spans, _temperatures(tub.readings))
    place, at_place = farm.places.get(tub.place or ""), telling.get(tub.place or "", ())
    basis = Basis.TUB if own else Basis.PLACE if at_place else Basis.ASSUMED
    lay_for = tub.laid_for or dt.timedelta(hours=farm.settings.lay_hours)
    window = hatch_window(
        curve,
        pulled_at,
        HOUSE_CRICKET,
        thermometer_sd_c=ASSUMED_SD_C if basis is Basis.ASSUMED else READING_SD_C,
        lay_days=min(lay_for / dt.timedelta(days=1), 30.0),
    )
    return Forecast(
        tub=tub.name,
        window=window,
        basis=basis,
        coming_c=assumed_c(place) if curve.coming_mean_c is None else curve.coming_mean_c,
        coming_rate=curve.coming_rate or 0.0,
        curve=curve,
        readings=len(own or at_place) - bisect_left(own or at_place, pulled_at, key=lambda r: r.at),
        place=tub.place,
    )


def _spans(tub: Tub, pulled_at: dt.datetime) -> tuple[Span, ...]:
    """Give where a tub stood since it was pulled; before it is first said, where it was said to stand then."""
    if not tub.placements:
        return (Span(place=None, start_at=pulled_at),)
    later = [(at, place) for at, place in tub.placements if at > pulled_at]
    earlier = [place for at, place in tub.placements if at <= pulled_at]
    first = earlier[-1] if earlier else later[0][1]
    starts = [next(stay) for _, stay in groupby([(pulled_at, first), *later], key=itemgetter(1))]
    ends = [at for at, _ in starts[1:]]
    return tuple(
        Span(place=place, start_at=start, end_at=end)
        for (start, place), end in zip(starts, [*ends, None], strict=True)
        if end is None or end > start
    )
