"""Whether more crickets of a bin died within a week than is usual at their age.

Not for how many die at an age, nor for the limit: core.science.mortality.
"""

import datetime as dt

import msgspec

from core.farm.cohorts import Cohort
from core.farm.farm import Bin
from core.journal.kinds import Holds
from core.science.mortality import ADULT_DAYS, dying, upper_limit

WEEK = dt.timedelta(days=7)
DAY = dt.timedelta(days=1)
OLDEST_DAYS = 1000.0  # that the science knows of


class Losses(msgspec.Struct, frozen=True, kw_only=True):
    """The deaths of a bin within a week."""

    dead: int
    usual: float  # deaths that are expected at their age
    limit: int  # more than these are not usual

    @property
    def are_unusual(self) -> bool:
        """Say whether it is more than chance explains."""
        return self.dead > self.limit


def losses_with(house: Bin, found: int, at: dt.datetime) -> Losses | None:
    """Give a bin's losses of the week that ends when some are found dead, those with them; `house` is as before.

    None where nobody said how many live in it.
    """
    if house.count is None:
        return None
    usual = sum(_usual(house, cohort, at) for cohort in house.cohorts)
    dead = found + sum(_dead_of_week(cohort, at) for cohort in house.cohorts)
    return Losses(dead=dead, usual=usual, limit=upper_limit(usual))


def _usual(house: Bin, cohort: Cohort, at: dt.datetime) -> float:
    """Give how many of a batch die within a week; where nobody said how old it is, as many as of the youngest."""
    alive_before = (cohort.count or 0) + _dead_of_week(cohort, at)
    if cohort.hatched_at is None:
        youngest = ADULT_DAYS if house.holds is Holds.ADULTS else 0.0
        return alive_before * dying(youngest, youngest + WEEK / DAY)
    age = min(max((at - cohort.hatched_at) / DAY, 0.0), OLDEST_DAYS)
    begin = min(max((at - WEEK - cohort.hatched_at) / DAY, 0.0), age)
    return alive_before * dying(begin, max(age, begin + 1.0) if age < OLDEST_DAYS else age)


def _dead_of_week(cohort: Cohort, at: dt.datetime) -> int:
    return sum(count for when, count in cohort.dead if at - WEEK < when <= at)
