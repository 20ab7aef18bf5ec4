"""What a farm's own hatches teach about its eggs.

Not for the arithmetic of learning: that is core.science.learning. Not for what it means for a tub: see forecasts.
"""

import datetime as dt
import math
from bisect import bisect_right
from collections.abc import Iterator
from functools import lru_cache

import msgspec
from msgspec.structs import replace

from core.farm.farm import Farm, Place, Tub
from core.rules.stays import spans_of
from core.rules.surroundings import air_of, telling
from core.rules.warmth import history_of
from core.science.calibration import Calibration, untaught
from core.science.learning import Sight, learned
from core.science.species import SpeciesName, species

HOUSE_CRICKET = species(SpeciesName.HOUSE)
MOST_HATCHES = 60  # the newest ones; older ones were under other habits
LONGEST = dt.timedelta(days=90)  # a hatch told of later than this after the pull is of other eggs


class _Evidence(msgspec.Struct, frozen=True):
    """What was learned from; compared whole, which is quick as records stay the same between messages."""

    tubs: tuple[Tub, ...]
    places: tuple[Place, ...]  # with the readings up to the last of the hatches
    lay_hours: float

    def __hash__(self) -> int:
        return hash(tuple((tub.name, tub.hatch_at) for tub in self.tubs))


def taught_by(farm: Farm) -> Calibration:
    """Give what is held of the eggs on a farm after the hatches that it has seen."""
    seen = [tub for tub in farm.tubs.values() if _teaches(tub)]
    newest = sorted(seen, key=_hatch_at)[-MOST_HATCHES:]
    if not newest:
        return _untaught()
    last = _hatch_at(newest[-1])
    places = tuple(_until(place, last) for place in farm.places.values())
    return _taught(_Evidence(tuple(newest), places, farm.settings.lay_hours))


def hatches_seen(farm: Farm, place: str | None) -> int:
    """Count the hatches that teach something and were seen in a place."""
    return sum(_teaches(tub) and tub.place == place for tub in farm.tubs.values())


def lay_days_of(lay_hours: float, tub: Tub) -> float:
    """Give how long the tray of a tub was with the crickets; where nobody knows, as long as is usual on the farm."""
    lay_for = tub.laid_for or dt.timedelta(hours=lay_hours)
    return min(lay_for / dt.timedelta(days=1), 30.0)


def _teaches(tub: Tub) -> bool:
    """Tell whether it is known when a tub was pulled and when its first pinheads were seen.

    Where a hatch was told of only when it was over, nobody knows when it began.
    """
    if tub.pulled_at is None or tub.hatch_at is None or tub.hatch_at == tub.hatch_done_at:
        return False
    return tub.pulled_at < tub.hatch_at <= tub.pulled_at + LONGEST


def _hatch_at(tub: Tub) -> dt.datetime:
    return tub.hatch_at or tub.known_since


def _until(place: Place, last: dt.datetime) -> Place:
    count = bisect_right(place.readings, last, key=lambda r: r.at)
    return place if count == len(place.readings) else replace(place, readings=place.readings[:count])


@lru_cache(maxsize=1)
def _untaught() -> Calibration:
    return untaught(HOUSE_CRICKET.egg)


@lru_cache(maxsize=256)  # a farm's hatches change once in days, and are asked for with every message
def _taught(evidence: _Evidence) -> Calibration:
    return learned(HOUSE_CRICKET.egg, tuple(_sights(evidence)))


def _sights(evidence: _Evidence) -> Iterator[Sight]:
    places = {place.name: place for place in evidence.places}
    for tub in evidence.tubs:
        if tub.pulled_at is None or tub.hatch_at is None:
            continue
        spans = spans_of(tub, tub.pulled_at, tub.hatch_at)
        airs = {s.place: air_of(places.get(s.place or ""), tub.pulled_at, tub.hatch_at) for s in spans}
        yield Sight(
            history=tuple(history_of(spans, telling(tub.readings), airs.__getitem__)),
            since=tub.pulled_at,
            seen_at=tub.hatch_at,
            start_sd_days=lay_days_of(evidence.lay_hours, tub) / math.sqrt(12.0),
        )
