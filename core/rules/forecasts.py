"""When each tub will hatch, from the warmth of its own readings, else of its place, else of what such a place is like.

Not for the arithmetic of development: that is core.science. Not for what a farm's hatches have taught: see evidence.
"""

import datetime as dt
from bisect import bisect_left
from collections.abc import Mapping
from enum import StrEnum
from functools import lru_cache

import msgspec

from core.farm.farm import Climate, Farm, Tub
from core.rules.evidence import HOUSE_CRICKET, hatches_seen, lay_days_of, taught_by
from core.rules.stays import spans_of
from core.rules.surroundings import Air, air_of, telling
from core.rules.warmth import Span, history_of, own_in
from core.science.calibration import Calibration, untaught
from core.science.curve import DevelopmentCurve
from core.science.development import HatchWindow, NoForecast, hatch_window

_Airs = Mapping[str | None, Air]  # by place


class Basis(StrEnum):
    """What a forecast rests on."""

    TUB = "tub"  # readings in the tub itself
    PLACE = "place"  # readings of the place that it stands in
    ASSUMED = "assumed"  # no reading yet


class Forecast(msgspec.Struct, frozen=True, kw_only=True):
    """When a tub will hatch, and what that rests on."""

    tub: str
    window: HatchWindow | NoForecast
    basis: Basis
    coming_c: float  # the mean temperature of the air that is expected after the last reading
    coming_rate: float  # degree-days C a day at it
    curve: DevelopmentCurve  # the warmth that it rests on
    readings: int  # how many readings since the tray was pulled
    place: str | None


class Lesson(msgspec.Struct, frozen=True, kw_only=True):
    """What a farm's hatches change about a tub's day."""

    hatches: int  # seen on the farm
    at_place: int  # of these, where the tub stands
    later_days: float  # than without them; negative: sooner


def lesson_of(farm: Farm, forecast: Forecast) -> Lesson | None:
    """Compare a tub's day with the one that the figures alone would give; None where one of them gives none."""
    held, window = forecast.curve.calibration, forecast.window
    plain = forecasts(farm, untaught(held.stage))[forecast.tub].window
    if not isinstance(window, HatchWindow) or not isinstance(plain, HatchWindow):
        return None
    later = (window.likely - plain.likely) / dt.timedelta(days=1)
    return Lesson(hatches=held.seen, at_place=hatches_seen(farm, forecast.place), later_days=later)


def forecasts(farm: Farm, held: Calibration | None = None) -> dict[str, Forecast]:
    """Give the forecast of each tub whose eggs are still waited for, where it is known when it was pulled.

    By what the farm's own hatches have taught, unless something else is held.
    """
    waited = [t for t in farm.incubating() if t.hatch_at is None and t.pulled_at is not None]
    since = min((t.pulled_at for t in waited if t.pulled_at is not None), default=None)
    if since is None:
        return {}
    airs: _Airs = {None: air_of(None, since), **{name: air_of(place, since) for name, place in farm.places.items()}}
    calibration = taught_by(farm) if held is None else held
    starts: dict[_Stay, dt.datetime] = {}
    for tub in waited:
        stay = _stay(tub)
        if stay is not None and tub.pulled_at is not None:
            starts[stay] = min(starts.get(stay, tub.pulled_at), tub.pulled_at)
    shared = {
        stay: _course(airs, calibration, (Span(place=stay[0], start_at=start, is_covered=stay[1]),), ())
        for stay, start in starts.items()
    }
    return {tub.name: _forecast(farm, airs, tub, calibration, shared) for tub in waited}


_Stay = tuple[str | None, bool]  # a place, with or without a cover


def _stay(tub: Tub) -> _Stay | None:
    """Tell where a tub has been all along, so that its curve can be shared; None if it moved or has readings."""
    has_moved = len({place for _, place in tub.placements}) > 1 or len({on for _, on in tub.covers}) > 1
    return None if has_moved or telling(tub.readings) else (tub.place, tub.is_covered)


class _Course(msgspec.Struct, frozen=True):
    """All that a curve is made of; compared whole, which is quick as records stay the same between messages."""

    spans: tuple[Span, ...]
    own: tuple[Climate, ...]
    airs: tuple[Air, ...]  # one a span
    held: Calibration

    def __hash__(self) -> int:
        told = tuple((len(readings), readings[-1:]) for readings in (self.own, *(air.readings for air in self.airs)))
        return hash((self.spans, told))


def _course(airs: _Airs, held: Calibration, spans: tuple[Span, ...], own: tuple[Climate, ...]) -> _Course:
    return _Course(spans, own, tuple(airs.get(span.place, airs[None]) for span in spans), held)


@lru_cache(maxsize=1024)  # most messages change the warmth of no tub, or of those in one place
def _curve(course: _Course) -> DevelopmentCurve:
    airs = {span.place: air for span, air in zip(course.spans, course.airs, strict=True)}
    return DevelopmentCurve(history_of(course.spans, course.own, airs.__getitem__), course.held)


@lru_cache(maxsize=4096)
def _window(course: _Course, pulled_at: dt.datetime, lay_days: float) -> HatchWindow | NoForecast:
    return hatch_window(_curve(course), pulled_at, HOUSE_CRICKET, lay_days=lay_days)


def _forecast(farm: Farm, airs: _Airs, tub: Tub, held: Calibration, shared: Mapping[_Stay, _Course]) -> Forecast:
    pulled_at = tub.pulled_at or tub.known_since
    own: tuple[Climate, ...] = ()
    stay, at_place = _stay(tub), airs.get(tub.place, airs[None]).readings
    if stay is None:
        spans, readings = spans_of(tub, pulled_at), telling(tub.readings)
        course, own = _course(airs, held, spans, readings), own_in(spans[-1], readings)
    else:
        course = shared[stay]
    told, curve = own or at_place, _curve(course)
    return Forecast(
        tub=tub.name,
        window=_window(course, pulled_at, lay_days_of(farm.settings.lay_hours, tub)),
        basis=Basis.TUB if own else Basis.PLACE if at_place else Basis.ASSUMED,
        coming_c=curve.coming_air_c or 0.0,
        coming_rate=curve.coming_rate or 0.0,
        curve=curve,
        readings=len(told) - bisect_left(told, pulled_at, key=lambda r: r.at),
        place=tub.place,
    )
