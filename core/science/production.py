"""What a farm has to make crickets with, day by day from today on, and what it is to make: numbers for a plan.

All numbers of crickets and eggs are those to be reckoned with; how cautious they are is the caller's choice. Not for
the plan itself: planning.
"""

from collections.abc import Sequence
from enum import StrEnum
from functools import lru_cache

import msgspec

from core.science.ranges import OutOfRangeError, checked

MOST_DAYS = 400
USEFUL_SHARE = 0.5  # of the best share in a grade; a batch with less of it on a day is not for that day: a guess
NEAR = 7  # days from the best age that are looked at; only grown crickets wait longer


class Demand(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets of one grade wanted on a day."""

    day: int  # after today, at least 0
    grade: int  # the row of the shares
    count: float


class LayingBin(msgspec.Struct, frozen=True, kw_only=True):
    """A bin of crickets that lay now or will."""

    eggs: tuple[float, ...]  # of a tray that goes in on each day; 0 where they do not lay
    stock: tuple[float, ...]  # crickets that it can give to each demand, were all for that one
    kept_until: int  # the last day on which those that lay need the bin
    free_from: int  # the day from which it is empty where all are given away instead


class Tub(msgspec.Struct, frozen=True, kw_only=True):
    """Eggs that are there already."""

    day: int  # when the tray went in; before today as a rule
    eggs: float


class Breeding(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets kept back to lay, a bin of them."""

    eggs_needed: float  # that they come of
    first_age: int  # days from the tray that they come of to the first tray in their bin
    last_age: int  # and to the last
    eggs_a_tray: float


class Works(msgspec.Struct, frozen=True, kw_only=True):
    """A farm and what it is to make."""

    days: int  # planned ahead
    demands: tuple[Demand, ...]
    shares: tuple[tuple[float, ...], ...]  # of the eggs, alive and in each grade, by days since the tray went in
    bins: tuple[LayingBin, ...]
    tubs: tuple[Tub, ...] = ()
    hatch_age: int  # days from the tray to the grow-out bin
    eggs_a_bin: float  # that give as many young crickets as a grow-out bin has room for
    empty: tuple[float, ...]  # grow-out bins that nothing is in, by day, besides `bins`
    lay_days: int = 1  # that a tray stays in
    tub_places: float | None = None  # tubs that there is room for; None: nobody said
    breeding: Breeding | None = None  # None: none are kept back

    def __post_init__(self) -> None:
        checked("days planned [d]", self.days, 1, MOST_DAYS)
        checked("days of a tray [d]", self.lay_days, 1, 14)
        checked("eggs a grow-out bin [1]", self.eggs_a_bin, 1.0)
        checked("days to the hatch [d]", self.hatch_age, 1, MOST_DAYS)
        _one_each("days of empty bins [d]", self.empty, self.days)
        for demand in self.demands:
            checked("crickets wanted [1]", demand.count, 1e-6)
            checked("day of a demand [d]", demand.day, 0, self.days - 1)
            checked("grade of a demand [1]", demand.grade, 0, len(self.shares) - 1)
        for house in self.bins:
            _one_each("days of a laying bin [d]", house.eggs, self.days)
            _one_each("demands of a laying bin [1]", house.stock, len(self.demands))

    def share(self, demand: Demand, day: int) -> float:
        """Give the share of the eggs of a tray of a day that can go to a demand; 0 where it is not worth it. [1]."""
        first, last = _useful_ages(self.shares[demand.grade])
        return self.shares[demand.grade][demand.day - day] if first <= demand.day - day <= last else 0.0

    def tray_days(self, demand: Demand) -> tuple[int, int] | None:
        """Give the first and the last day whose tray can serve a demand; None: no warmth brings any to its grade."""
        first, last = _useful_ages(self.shares[demand.grade])
        return (demand.day - last, demand.day - first) if first <= last else None


@lru_cache(maxsize=64)
def _useful_ages(shares: tuple[float, ...]) -> tuple[int, int]:
    """Give the first and the last age, near the best one, with a good part of its share; none: the last is before."""
    best = max(range(len(shares)), key=shares.__getitem__)
    near = range(max(best - NEAR, 0), min(best + NEAR, len(shares) - 1) + 1)
    ages = [age for age in near if shares[age] >= USEFUL_SHARE * shares[best] > 0]
    return (ages[0], ages[-1]) if ages else (0, -1)


def _one_each(quantity: str, found: Sequence[float], wanted: int) -> None:
    if len(found) != wanted:
        raise OutOfRangeError(quantity, len(found), f"{wanted}, one for each")


class Hindrance(StrEnum):
    """What keeps a demand from being met."""

    TOO_SOON = "too_soon"  # a tray would have had to go in before today
    NO_LAYING = "no_laying"  # no bin lays on any day whose tray could serve it
    FEMALES = "females"  # those that lay then lay too few eggs
    ROOM = "room"  # too few grow-out bins are empty then
    COLD = "cold"  # crickets never get to the grade


class TrayDay(msgspec.Struct, frozen=True, kw_only=True):
    """A tray that is to go into a bin."""

    day: int
    bin: int  # the number in `Works.bins`, or, where it is bred, the day of the tray that its crickets come of
    is_bred: bool = False


class Made(msgspec.Struct, frozen=True, kw_only=True):
    """What becomes of a demand."""

    count: float  # how many are there for it
    from_stock: float  # of them, out of bins that are there now
    hindrance: Hindrance | None = None  # None: all are there


class Production(msgspec.Struct, frozen=True, kw_only=True):
    """A plan in numbers."""

    trays: tuple[TrayDay, ...]  # by day
    made: tuple[Made, ...]  # one a demand
    kept_back: tuple[tuple[int, int], ...]  # day of the tray, and how many bins of breeders are to come of it
    bins_used: tuple[int, ...]  # grow-out and breeders' bins that get in use, by day
    given_up: tuple[int, ...]  # bins of `Works.bins` that are wholly given away
    short: float  # crickets that are wanted and not there
    cost: float  # trays, and the warm bins counted in trays
    bound: float  # no plan as good for the demands costs less
