"""What was bought and what uses it up: the last purchases, feedings, trays, cleanings and crickets taken out.

Not for how much is left: core.rules.stock has that.
"""

import datetime as dt
from collections.abc import Iterable
from typing import TypeVar

import msgspec

from core.farm.cohorts import Cohort

KEPT = 80  # of each; what is older was used up since

T = TypeVar("T")


class Purchase(msgspec.Struct, frozen=True, kw_only=True):
    """Something that came in."""

    at: dt.datetime
    item: str  # in the grower's words
    count: int | None = None
    mass_g: float | None = None
    volume_ml: float | None = None


class Feeding(msgspec.Struct, frozen=True, kw_only=True):
    """Feed that was given."""

    at: dt.datetime
    feed: str | None
    mass_g: float | None  # None: nobody weighed it


class Taken(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets that left a bin alive."""

    at: dt.datetime
    bin: str
    hatched_at: dt.datetime
    count: int


class Stores(msgspec.Struct, frozen=True, kw_only=True):
    """The newest of each, by time."""

    purchases: tuple[Purchase, ...] = ()
    feedings: tuple[Feeding, ...] = ()
    trays: tuple[dt.datetime, ...] = ()  # when lay trays were set
    cleaned: tuple[dt.datetime, ...] = ()  # when bins were cleaned, each bin by itself
    taken: tuple[Taken, ...] = ()


def with_newest(known: tuple[T, ...], *more: T) -> tuple[T, ...]:
    """Give a row with more at its end, of which the newest are kept."""
    return (*known, *more)[-KEPT:]


def taken_between(
    name: str, before: Iterable[Cohort], after: Iterable[Cohort], at: dt.datetime
) -> tuple[Taken, ...]:  # fmt: skip
    """Tell who left a bin, by batches that are told apart by when they hatched."""
    left: dict[dt.datetime, int] = {}
    for cohorts, sign in ((before, 1), (after, -1)):
        for cohort in cohorts:
            if cohort.hatched_at is not None:
                left[cohort.hatched_at] = left.get(cohort.hatched_at, 0) + sign * (cohort.count or 0)
    return tuple(Taken(at=at, bin=name, hatched_at=hatched_at, count=n) for hatched_at, n in left.items() if n > 0)
