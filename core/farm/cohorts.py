"""Batches of crickets in bins: where they come from, how old they are, and how many were told of.

Numbers here are those of the book: what was put in, less what was taken out, moved on or found dead. None appears and
none vanishes. Not for how many are likely alive: that is core.rules.
"""

import datetime as dt
from collections.abc import Iterable, Sequence

import msgspec
from msgspec.structs import replace

LONGEST_IN_HAND = dt.timedelta(days=2)  # what was taken out longer ago was used in some other way: a guess


class Cohort(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets that hatched together and live together."""

    tubs: tuple[str, ...] = ()  # that they hatched in; empty: nobody said
    hatched_at: dt.datetime | None = None  # None: nobody said
    told: tuple[tuple[dt.datetime, int], ...] = ()  # what came in and what went out, but for the dead, by time
    dead: tuple[tuple[dt.datetime, int], ...] = ()  # that were counted, by time
    is_counted: bool = False  # somebody said how many there are

    @property
    def count(self) -> int | None:
        """How many are left of those told of; None where nobody said how many there were."""
        if not self.is_counted:
            return None
        return sum(n for _, n in self.told) - sum(n for _, n in self.dead)


class Harvest(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets that were taken out of a bin and are not sold yet."""

    at: dt.datetime
    count: int
    tubs: tuple[str, ...] = ()  # that they hatched in


def total(cohorts: Iterable[Cohort]) -> int | None:
    """Give how many there are in all; None where that was never told of some."""
    counts = [cohort.count for cohort in cohorts]
    known = [count for count in counts if count is not None]
    return sum(known) if len(known) == len(counts) and counts else None


def oldest(cohorts: Iterable[Cohort]) -> dt.datetime | None:
    """Give when the first of them hatched."""
    return min((c.hatched_at for c in cohorts if c.hatched_at is not None), default=None)


def tubs_of(cohorts: Iterable[Cohort]) -> tuple[str, ...]:
    """Name the tubs that they hatched in, each once."""
    return tuple(dict.fromkeys(tub for cohort in cohorts for tub in cohort.tubs))


def joined(cohorts: Sequence[Cohort], coming: Iterable[Cohort]) -> tuple[Cohort, ...]:
    """Put more crickets to those of a bin: the same batch grows, another stays a batch of its own."""
    found = list(cohorts)
    for cohort in coming:
        place = next((i for i, known in enumerate(found) if _are_one(known, cohort)), None)
        if place is None:
            found.append(cohort)
        else:
            known = found[place]
            told, dead = sorted((*known.told, *cohort.told)), sorted((*known.dead, *cohort.dead))
            found[place] = replace(known, told=tuple(told), dead=tuple(dead))
    return tuple(found)


def _are_one(one: Cohort, other: Cohort) -> bool:
    return (one.tubs, one.hatched_at, one.is_counted) == (other.tubs, other.hatched_at, other.is_counted)


def parted(
    cohorts: Sequence[Cohort], count: int, at: dt.datetime
) -> tuple[tuple[Cohort, ...], tuple[Cohort, ...]]:  # fmt: skip
    """Take so many out of a bin, of each batch by its share: give what stays and what goes.

    Of a batch that nobody counted any number may go; where there are none of those, never more goes than is there.
    """
    uncounted = [cohort for cohort in cohorts if not cohort.is_counted]
    if uncounted:
        return tuple(cohorts), (replace(uncounted[0], told=((at, count),), dead=(), is_counted=True),)
    shares = _shares([cohort.count or 0 for cohort in cohorts], count)
    staying, going = [], []
    for cohort, share in zip(cohorts, shares, strict=True):
        if share:
            going.append(replace(cohort, told=((at, share),), dead=()))
            cohort = replace(cohort, told=(*cohort.told, (at, -share)))
        if cohort.count:
            staying.append(cohort)
    return tuple(staying), tuple(going)


def buried(cohorts: Sequence[Cohort], count: int, at: dt.datetime) -> tuple[Cohort, ...]:
    """Write dead crickets off, of each batch by its share; where nobody counted the living they change nothing."""
    if any(not cohort.is_counted for cohort in cohorts):
        return tuple(cohorts)
    shares = _shares([cohort.count or 0 for cohort in cohorts], count)
    left = (
        replace(cohort, dead=(*cohort.dead, (at, share))) if share else cohort
        for cohort, share in zip(cohorts, shares, strict=True)
    )
    return tuple(cohort for cohort in left if cohort.count)


def recounted(cohorts: Sequence[Cohort], count: int, at: dt.datetime) -> tuple[Cohort, ...]:
    """Give the batches of a bin with so many in all: by their shares, evenly where nobody had counted all of them."""
    known = [cohort.count for cohort in cohorts]
    shares = _shares([one or 0 for one in known] if all(known) else [count] * len(cohorts), count)
    if all(known) and sum(shares) < count:  # more than the book has
        parts = [one or 0 for one in known]
        shares = _shares([part * count for part in parts], count)
    return tuple(
        replace(cohort, told=((at, share),), dead=(), is_counted=True)
        for cohort, share in zip(cohorts, shares, strict=True)
    )


def _shares(counts: Sequence[int], taken: int) -> list[int]:
    """Share out what is taken, in whole crickets that add up: the largest remainders get one more."""
    everything = sum(counts)
    taken = min(taken, everything)
    if everything == 0:
        return [0] * len(counts)
    shares = [count * taken // everything for count in counts]
    by_remainder = sorted(range(len(counts)), key=lambda i: (-(counts[i] * taken % everything), i))
    for place in by_remainder[: taken - sum(shares)]:
        shares[place] += 1
    return shares
