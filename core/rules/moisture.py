"""When tubs want water: by the air they stand in, and by how dry this farm found its tubs.

Not for the arithmetic of drying: that is core.science. Not for the chore of watering: incubation asks for it.
"""

import datetime as dt
from collections.abc import Mapping
from functools import lru_cache

import msgspec

from core.farm.farm import Farm, Place, Tub
from core.rules.surroundings import RECENT, Air, Stretch, air_of, middle_of, stretch_of
from core.science.drying import Drying, Inspection, Wetness, hours_to_dry, learned_drying

OFTEN_UNDER_H = 18.0  # what dries within this is watered at each of the farm's times
DAILY_UNDER_H = 36.0  # and within this once a day; what takes longer, every so many days
HUMIDITY_HOLDS = dt.timedelta(days=30)  # guess: what was read longer ago was in another season
MOST_INSPECTIONS = 30  # the newest ones
HOURS_UNDER_LAMP = 12.0  # common practice, no source: twice a day where nobody has read the humidity
HOURS_ELSEWHERE = 24.0  # the same: once a day
HOUR = dt.timedelta(hours=1)


class Watering(msgspec.Struct, frozen=True, kw_only=True):
    """How often open tubs of a place are to be watered."""

    at_each_time: bool = False  # at each of the farm's times of the day, else at the first
    every_days: int = 1


def watering_of(farm: Farm, place: Place | None, now: dt.datetime) -> Watering | None:
    """Tell how often open tubs of a place want water; None: they need no asking for."""
    hours = _hours_uncovered(farm, place, now)
    if hours is None:
        return None
    return Watering(at_each_time=hours < OFTEN_UNDER_H, every_days=1 if hours < DAILY_UNDER_H else int(hours // 24))


def wants_water_at(farm: Farm, tub: Tub, now: dt.datetime) -> dt.datetime | None:
    """Tell when a tub will want water again; None where it is not known when it was damp, or it can go without."""
    since = tub.watered_at or tub.pulled_at
    place = farm.places.get(tub.place or "")
    if since is None:
        return None
    if tub.dry_at is not None and tub.dry_at > since:
        return tub.dry_at
    if tub.is_covered:
        hours: float | None = (
            _expected_hours(_recent_air(place, now), now, is_covered=True) / drying_of(farm, place).multiplier
        )
    else:
        hours = _hours_uncovered(farm, place, now)
    return None if hours is None else since + hours * HOUR


class _Look(msgspec.Struct, frozen=True):
    """A tub that was found dry."""

    at: dt.datetime
    since: dt.datetime  # when it was last watered, or pulled
    place: str | None  # in which it stands
    is_covered: bool


class _FoundDry(msgspec.Struct, frozen=True):
    """What was found dry, and where; compared whole, which is quick as records stay the same between messages."""

    looks: tuple[_Look, ...]  # by time
    places: tuple[Stretch, ...]

    def __hash__(self) -> int:
        return hash(self.looks)


def drying_of(farm: Farm, place: Place | None) -> Drying:
    """Give how many times faster than expected tubs dry in a place, as far as it was seen.

    Other places tell of it, too, if their humidity was read: else it may be their air that was drier than guessed.
    """
    here = None if place is None else place.name
    telling = (
        tub for tub in farm.tubs.found_dry if tub.place == here or _has_humidity(farm.places.get(tub.place or ""))
    )
    looks = [_Look(at, since, tub.place, tub.is_covered) for tub in telling for at, since in tub.found_dry]
    newest = sorted(looks, key=lambda look: look.at)[-MOST_INSPECTIONS:]
    if not newest:
        return _learned(_FoundDry((), ()))
    first, last = newest[0].at - RECENT, newest[-1].at
    known = (farm.places.get(name or "") for name in dict.fromkeys(look.place for look in newest))
    return _learned(_FoundDry(tuple(newest), tuple(stretch_of(where, first, last) for where in known)))


def _has_humidity(place: Place | None) -> bool:
    return place is not None and bool(place.readings.humid)


@lru_cache(maxsize=256)  # asked for with every message, changes once in weeks
def _learned(found: _FoundDry) -> Drying:
    places = {place.place: place for place in found.places}
    return learned_drying(
        [
            Inspection(
                hours=(look.at - look.since) / HOUR,
                expected_hours=_expected_hours(_air_by(places, look), look.at, is_covered=look.is_covered),
                found=Wetness.DRY,
            )
            for look in found.looks
        ]
    )


def _air_by(places: Mapping[str | None, Stretch], look: _Look) -> Air:
    known = places.get(look.place)
    return air_of(None, look.at) if known is None else known.air(look.at - RECENT, look.at)


def _hours_uncovered(farm: Farm, place: Place | None, now: dt.datetime) -> float | None:
    """Give how long open tubs keep; where nobody has read the humidity of late, as long as practice says."""
    drying = drying_of(farm, place)
    humid = None if place is None or not place.readings.humid else place.readings.humid[-1]
    if humid is not None and humid.at > now - HUMIDITY_HOLDS:
        return _expected_hours(_recent_air(place, now), now, is_covered=False) / drying.multiplier
    if place is not None and place.lamp:
        return HOURS_UNDER_LAMP / drying.multiplier
    if place is None or not place.humidifier:
        return HOURS_ELSEWHERE / drying.multiplier
    return (
        None
        if drying.multiplier <= 1.0
        else _expected_hours(_recent_air(place, now), now, is_covered=False) / drying.multiplier
    )


def _recent_air(place: Place | None, now: dt.datetime) -> Air:
    return air_of(place, now - RECENT, now)


def _expected_hours(air: Air, now: dt.datetime, *, is_covered: bool) -> float:
    """Give how long a tub keeps in air as it has been of late, were the farm like any other."""
    recent = [middle_of(r) for r in air.readings[-3:]]
    temp_c = sum(recent) / len(recent) if recent else air.assumed_c
    return max(1.0, hours_to_dry(temp_c, air.rh_at(now), is_covered=is_covered))
