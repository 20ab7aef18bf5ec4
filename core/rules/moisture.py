"""When tubs want water: by the air they stand in, and by how dry this farm found its tubs.

Not for the arithmetic of drying: that is core.science. Not for the chore of watering: incubation asks for it.
"""

import datetime as dt
from bisect import bisect_right
from collections.abc import Sequence
from functools import lru_cache

import msgspec

from core.farm.farm import Climate, Farm, Place, Tub
from core.rules.surroundings import RECENT, air_of, middle_of
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
        hours: float | None = _expected_hours(place, now, is_covered=True) / drying_of(farm, place).multiplier
    else:
        hours = _hours_uncovered(farm, place, now)
    return None if hours is None else since + hours * HOUR


class _FoundDry(msgspec.Struct, frozen=True):
    """Tubs that were found dry, where they stood; compared whole, which is quick as records stay the same."""

    tubs: tuple[Tub, ...]
    places: tuple[Place | None, ...]  # one a tub

    def __hash__(self) -> int:
        return hash(tuple((tub.name, tub.found_dry) for tub in self.tubs))


def drying_of(farm: Farm, place: Place | None) -> Drying:
    """Give how many times faster than expected tubs dry in a place, as far as it was seen.

    Other places tell of it, too, if their humidity was read: else it may be their air that was drier than guessed.
    """
    here = None if place is None else place.name
    found = [(tub, farm.places.get(tub.place or "")) for tub in farm.tubs.values() if tub.found_dry]
    telling = [(tub, where) for tub, where in found if tub.place == here or _has_humidity(where)]
    return _learned(_FoundDry(tuple(tub for tub, _ in telling), tuple(where for _, where in telling)))


def _has_humidity(place: Place | None) -> bool:
    return place is not None and any(r.rh is not None for r in place.readings)


@lru_cache(maxsize=256)  # asked for with every message, changes once in weeks
def _learned(found: _FoundDry) -> Drying:
    looks = [
        (dry_at, (dry_at - since) / HOUR, tub, place)
        for tub, place in zip(found.tubs, found.places, strict=True)
        for dry_at, since in tub.found_dry
    ]
    newest = sorted(looks, key=lambda look: look[0])[-MOST_INSPECTIONS:]
    return learned_drying(
        [
            Inspection(
                hours=hours,
                expected_hours=_expected_hours(place, dry_at, is_covered=tub.is_covered),
                found=Wetness.DRY,
            )
            for dry_at, hours, tub, place in newest
        ]
    )


def _hours_uncovered(farm: Farm, place: Place | None, now: dt.datetime) -> float | None:
    """Give how long open tubs keep; where nobody has read the humidity of late, as long as practice says."""
    drying = drying_of(farm, place)
    if place is not None and any(r.rh is not None for r in _since(place.readings, now - HUMIDITY_HOLDS)):
        return _expected_hours(place, now, is_covered=False) / drying.multiplier
    if place is not None and place.lamp:
        return HOURS_UNDER_LAMP / drying.multiplier
    if place is None or not place.humidifier:
        return HOURS_ELSEWHERE / drying.multiplier
    return None if drying.multiplier <= 1.0 else _expected_hours(place, now, is_covered=False) / drying.multiplier


def _expected_hours(place: Place | None, now: dt.datetime, *, is_covered: bool) -> float:
    """Give how long a tub keeps in the air of a place as it has been of late, were the farm like any other."""
    air = air_of(place, now - RECENT, now)
    recent = [middle_of(r) for r in air.readings[-3:]]
    temp_c = sum(recent) / len(recent) if recent else air.assumed_c
    return max(1.0, hours_to_dry(temp_c, air.rh_at(now), is_covered=is_covered))


def _since(readings: Sequence[Climate], since: dt.datetime) -> Sequence[Climate]:
    return readings[bisect_right(readings, since, key=lambda r: r.at) :]
