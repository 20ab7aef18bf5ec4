"""How much dry feed the crickets of a farm eat from one time to another.

Their growth is taken from the last temperatures of their bin and the last size seen, which is quick; the finer growth
of core.rules.growth differs by less than the feed of one farm and another. Not for what there is: see stock.
"""

import datetime as dt
import math
from bisect import bisect_right
from collections.abc import Iterable, Iterator
from operator import itemgetter

import msgspec

from core.farm.cohorts import Cohort
from core.farm.farm import Bin, Farm
from core.journal.kinds import Holds
from core.rules.evidence import HOUSE_CRICKET
from core.rules.growth import BIN_C, share_a_day
from core.rules.surroundings import middle_of, tells_warmth
from core.science.feeding import ADULT_A_DAY, eaten_by_hatched_g, eaten_g
from core.science.grades import starts_at
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS, SURVIVAL_TO_ADULT

MOST_READINGS = 30  # of a bin, the newest
_DAY = dt.timedelta(days=1)
_GROWN = SURVIVAL_TO_14_DAYS.value * SURVIVAL_TO_ADULT.value  # of those that hatched
_DYING = math.log(2) / HOUSE_CRICKET.adult.half_life_days.value  # a day


class Eater(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets of one age."""

    path: tuple[tuple[dt.datetime, float], ...]  # shares of their development, by time; 1: just grown
    a_day: float  # how much of it they go through in a day from then on
    count: int
    until: dt.datetime | None = None  # when they left; None: they are there
    is_counted_now: bool = False  # so many are alive; else so many hatched, and some died

    def eaten_g(self, start: dt.datetime, end: dt.datetime) -> float:
        """Give the feed that they eat from one time to another. [g]."""
        last = end if self.until is None else min(end, self.until)
        return 0.0 if last <= start else self.count * (self._each_g(last) - self._each_g(start))

    def _each_g(self, at: dt.datetime) -> float:
        """Give what one of them has eaten since it hatched."""
        share = max(self._share(at), 0.0)
        young = min(share, 1.0)
        grown_days = (share - young) / self.a_day
        if self.is_counted_now:
            return eaten_g(young) + ADULT_A_DAY.value * grown_days
        lived = (1 - math.exp(-_DYING * grown_days)) / _DYING
        return eaten_by_hatched_g(young) + ADULT_A_DAY.value * _GROWN * lived

    def _share(self, at: dt.datetime) -> float:
        place = bisect_right(self.path, at, key=itemgetter(0))
        known_at, known = self.path[max(place - 1, 0)]
        if place in {0, len(self.path)}:
            return known + self.a_day * ((at - known_at) / _DAY)
        next_at, following = self.path[place]
        return known + (following - known) * ((at - known_at) / (next_at - known_at))


def eaten_between(eaters: Iterable[Eater], start: dt.datetime, end: dt.datetime) -> float:
    """Give the feed that several eat from one time to another. [g]."""
    return sum(eater.eaten_g(start, end) for eater in eaters)


def eaters_of(farm: Farm) -> tuple[Eater, ...]:
    """Give those who eat on a farm, and those who were taken out not long ago."""
    living = (eater for house in farm.bins.values() for eater in _living(house))
    return (*living, *_gone(farm))


def uncounted(farm: Farm) -> tuple[str, ...]:
    """Name the bins with crickets of which nobody said how many they are, or how old."""
    return tuple(
        house.name
        for house in farm.bins.values()
        if house.holds is not Holds.NOTHING and (house.count is None or sum(1 for _ in _living(house)) == 0)
    )


def _living(house: Bin) -> Iterator[Eater]:
    for cohort in house.cohorts:
        anchor = _anchor(house, cohort)
        if cohort.count and anchor is not None:
            path, a_day = _grown(house, *anchor)
            yield Eater(path=path, a_day=a_day, count=cohort.count, is_counted_now=cohort.hatched_at is None)


def _anchor(house: Bin, cohort: Cohort) -> tuple[dt.datetime, float] | None:
    """Give a time at which it is known how far crickets had come: the last size seen of one batch, else the hatch."""
    is_alone = len(house.cohorts) == 1
    if is_alone and house.sizes and (cohort.hatched_at is None or house.sizes[-1][0] > cohort.hatched_at):
        at, size = house.sizes[-1]
        return at, starts_at(size, HOUSE_CRICKET.instars)
    if cohort.hatched_at is not None:
        return cohort.hatched_at, 0.0
    if house.holds is Holds.ADULTS and house.chirped_at is not None:
        return house.chirped_at, 1.0
    return None


def _gone(farm: Farm) -> Iterator[Eater]:
    for taken in farm.stores.taken:
        path, a_day = _grown(farm.bins[taken.bin], taken.hatched_at, 0.0)
        yield Eater(path=path, a_day=a_day, count=taken.count, until=taken.at, is_counted_now=True)


def _grown(house: Bin, since: dt.datetime, share: float) -> tuple[tuple[tuple[dt.datetime, float], ...], float]:
    """Follow growth from a time on through the readings of the bin; give the path, and how it goes on after it."""
    path, a_day = [(since, share)], share_a_day(BIN_C)
    for reading in house.readings.warm[-MOST_READINGS:]:
        if reading.at > path[-1][0]:
            last_at, last = path[-1]
            path.append((reading.at, last + a_day * ((reading.at - last_at) / _DAY)))
        a_day = share_a_day(middle_of(reading)) if tells_warmth(reading) else a_day
    return tuple(path), a_day
