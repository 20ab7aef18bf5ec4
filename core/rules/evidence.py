"""What a farm's own hatches teach about its eggs.

Not for the arithmetic of learning: that is core.science.learning. Not for what it means for a tub: see forecasts.
"""

import datetime as dt
import math
from collections.abc import Iterator
from functools import lru_cache

import msgspec

from core.farm.farm import Farm, Tub
from core.rules.stays import spans_of
from core.rules.surroundings import Stretch, stretch_of, telling
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
    places: tuple[Stretch, ...]  # while the tubs were there
    lay_hours: float

    def __hash__(self) -> int:
        return hash(tuple((tub.name, tub.hatch_at) for tub in self.tubs))


def taught_by(farm: Farm) -> Calibration:
    """Give what is held of the eggs on a farm after the hatches that it has seen."""
    newest = _newest(farm)
    if not newest:
        return _untaught()
    first, last = min(tub.pulled_at or tub.known_since for tub in newest), _hatch_at(newest[-1])
    places = tuple(stretch_of(place, first, last) for place in farm.places.values())
    return _taught(_Evidence(newest, places, farm.settings.lay_hours))


def hatches_seen(farm: Farm, place: str | None) -> int:
    """Count the hatches that are learned from and were seen in a place."""
    return sum(tub.place == place for tub in _newest(farm))


def _newest(farm: Farm) -> tuple[Tub, ...]:
    """Give the tubs whose hatches are learned from, by when they hatched."""
    return tuple(sorted((tub for tub in farm.tubs.hatched if _teaches(tub)), key=_hatch_at)[-MOST_HATCHES:])


def lay_days_of(lay_hours: float, tub: Tub) -> float:
    """Give how long the tray of a tub was with the crickets; where nobody knows, as long as is usual on the farm."""
    lay_for = tub.laid_for or dt.timedelta(hours=lay_hours)
    return min(lay_for / dt.timedelta(days=1), 30.0)


def _teaches(tub: Tub) -> bool:
    """Tell whether a tub hatched on a known day, and whether that may be of the eggs that it was pulled with."""
    if tub.pulled_at is None or tub.hatch_at is None or not tub.is_hatch_dated:
        return False
    return tub.pulled_at < tub.hatch_at <= tub.pulled_at + LONGEST


def _hatch_at(tub: Tub) -> dt.datetime:
    return tub.hatch_at or tub.known_since


@lru_cache(maxsize=1)
def _untaught() -> Calibration:
    return untaught(HOUSE_CRICKET.egg)


@lru_cache(maxsize=256)  # a farm's hatches change once in days, and are asked for with every message
def _taught(evidence: _Evidence) -> Calibration:
    return learned(HOUSE_CRICKET.egg, tuple(_sights(evidence)))


def _sights(evidence: _Evidence) -> Iterator[Sight]:
    places = {place.place: place for place in evidence.places}
    for tub in evidence.tubs:
        if tub.pulled_at is None or tub.hatch_at is None:
            continue
        spans = spans_of(tub, tub.pulled_at, tub.hatch_at)
        nowhere = stretch_of(None, tub.pulled_at, tub.hatch_at)
        airs = {s.place: places.get(s.place, nowhere).air(tub.pulled_at, tub.hatch_at) for s in spans}
        yield Sight(
            history=tuple(history_of(spans, telling(tub.readings), airs.__getitem__)),
            since=tub.pulled_at,
            seen_at=tub.hatch_at,
            start_sd_days=lay_days_of(evidence.lay_hours, tub) / math.sqrt(12.0),
        )
