"""A plan for what is wanted: which bin gets a tray on which day, what it takes, what is met when, and what is not.

Looked for only when somebody asks: a search takes up to some seconds. Not for the numbers of the farm (pipeline) nor
for the search (core.science.planning); what an accepted plan asks for day by day is in laying.
"""

import datetime as dt
import itertools
import math
from collections.abc import Iterator, Sequence
from itertools import groupby

import msgspec

from core.farm.farm import Farm
from core.farm.repeats import nth, step
from core.rules import hours
from core.rules.breeders import to_keep_back
from core.rules.pipeline import ADULTS, Pipeline, Wanted, eggs_a_bin, eggs_of_tray, pipeline_of
from core.rules.promises import promises
from core.science.planning import planned
from core.science.production import Hindrance, Production
from core.units import SizeGrade

SEASON_DAYS = 182  # that orders are planned for: a season of 26 weeks
GOAL_TIMES = 8  # of what is wanted every so often, after the first that a tray of tomorrow can give; our choice
_DAY = dt.timedelta(days=1)
_FEMALES = 0.5


class Goal(msgspec.Struct, frozen=True, kw_only=True):
    """What somebody wants to have, once or every so often."""

    count: int
    size: SizeGrade
    every: str | None = None  # week, 2 weeks, month; None: once


class Needs(msgspec.Struct, frozen=True, kw_only=True):
    """What a goal takes each time, and at once; all estimates, as cautious as the plan."""

    eggs: float  # each time
    trays: int  # each time, of the usual number of females
    females_a_tray: int
    tubs: int  # that stand at once
    bins: int  # in use at once to grow out in
    days: int  # from the tray to the size


class Met(msgspec.Struct, frozen=True, kw_only=True):
    """What becomes of one thing that is wanted."""

    wanted: Wanted
    count: int  # that are there for it
    hindrance: Hindrance | None = None  # None: all are there


class Plan(msgspec.Struct, frozen=True, kw_only=True):
    """A plan in the farm's words."""

    goal: Goal | None  # None: for the open orders
    needs: Needs | None  # of a goal
    met: tuple[Met, ...]  # by day
    trays: tuple[tuple[dt.date, tuple[str, ...]], ...]  # by day: the bins that get one
    bred_trays: tuple[tuple[dt.date, int], ...]  # trays in bins of breeders that are yet to grow up
    kept_back: tuple[tuple[dt.date, int], ...]  # day of the tray, and how many grown crickets of it to keep
    given_up: tuple[str, ...]  # bins that are wholly sold
    tubs: int  # most that stand at once
    bins: int  # most at once to grow out in, besides those in use today
    females: int  # most that lay into trays on one day
    first_on: dt.date | None  # the first day on which a tray that can still go in gives the size; None: none lays
    laying: tuple[tuple[dt.date, dt.date], ...]  # when bins lay, soonest first
    bred_from: dt.date | None  # the first day on which crickets of a tray that can still go in lay; None: none can
    uncounted: tuple[str, ...]  # bins whose crickets were guessed at
    is_assumed: bool  # the warmth of the bins is a guess


def plan_for(farm: Farm, goal: Goal | None, now: dt.datetime) -> Plan | None:
    """Look for a plan for a goal, else for the open orders; None where it is too cold for any cricket to grow.

    It counts on what three batches of four reach: it is met likely, not surely, and on the average there is more.
    """
    today = hours.local(farm, now).date()
    empty = pipeline_of(farm, (), now, 1)
    if empty is None:
        return None
    wanted = promised(farm, now) if goal is None else _with_orders(farm, goal, now, _days_to(empty, goal.size))
    days = max([(one.due - today).days for one in wanted], default=0) + 1
    known = pipeline_of(farm, wanted, now, days)
    return None if known is None else _told(farm, known, goal, wanted, planned(known.works))


def promised(farm: Farm, now: dt.datetime) -> tuple[Wanted, ...]:
    """Give what is ordered and open in a season, each time of what is ordered every so often."""
    today = hours.local(farm, now).date()
    return tuple(
        Wanted(due=max(one.due, today), count=one.count, size=one.size, number=one.number, who=one.who)
        for one in promises(farm, now, today + (SEASON_DAYS - 1) * _DAY)
    )


def _with_orders(farm: Farm, goal: Goal, now: dt.datetime, days: int) -> tuple[Wanted, ...]:
    """Give the days of a goal, and what is ordered besides until then: it is to be met as well."""
    today = hours.local(farm, now).date()
    dues = tuple(_dues(goal, today, days))
    last = max((one.due for one in dues), default=today)
    ordered = (one for one in promised(farm, now) if one.due <= last)
    return tuple(sorted((*dues, *ordered), key=lambda one: one.due))


def _dues(goal: Goal, today: dt.date, days: int) -> Iterator[Wanted]:
    """Give the days of a goal: from one time on after today; what is wanted once, as soon as it can be."""
    if goal.every is None:
        yield Wanted(due=today + days * _DAY, count=goal.count, size=goal.size)
        return
    period = period_days(goal.every)
    until = today + min(days + GOAL_TIMES * period, SEASON_DAYS) * _DAY
    for due in _times(goal, today, until):
        if due > today:
            yield Wanted(due=due, count=goal.count, size=goal.size)


def _times(goal: Goal, first: dt.date, until: dt.date) -> Iterator[dt.date]:
    days = (nth(first, goal.every or "", time) for time in range(SEASON_DAYS + 1))
    return itertools.takewhile(lambda due: due < until, days)


def period_days(every: str) -> int:
    """Give about how many days there are from one time to the next."""
    number, unit = step(every)
    return number * {"day": 1, "week": 7, "month": 30}.get(unit, 7)


def _days_to(known: Pipeline, size: SizeGrade) -> int:
    """Give the days from today to when a tray that goes in as soon as may be gives the most of a size."""
    shares = known.shares[size]
    first = min([max((begin - known.today).days, 0) for begin, _ in known.laying], default=0)
    return first + 1 + max(range(len(shares)), key=shares.__getitem__)


def _first_on(known: Pipeline, size: SizeGrade) -> dt.date | None:
    """Give the first day on which a tray that can still go in is of use for a size."""
    useful = [age for age, share in enumerate(known.shares[size]) if share >= 0.5 * max(known.shares[size]) > 0]
    first = _first_tray(known)
    return known.today + (first + useful[0]) * _DAY if first is not None and useful else None


def _first_tray(known: Pipeline) -> int | None:
    """Give the days from today to the first tray that can still go in; None: no bin lays, or will."""
    lays = [day for house in known.works.bins for day, eggs in enumerate(house.eggs) if eggs > 0]
    begins = [(begin - known.today).days for begin, _ in known.laying]
    return min([*lays, *(day for day in begins if day >= 0)], default=None)


def _bred_from(known: Pipeline) -> dt.date | None:
    first, breeding = _first_tray(known), known.works.breeding
    return None if first is None or breeding is None else known.today + (first + breeding.first_age) * _DAY


def _told(farm: Farm, known: Pipeline, goal: Goal | None, wanted: Sequence[Wanted], found: Production) -> Plan:
    today = known.today
    own = [(today + tray.day * _DAY, known.bins[tray.bin]) for tray in found.trays if not tray.is_bred]
    bred = [today + tray.day * _DAY for tray in found.trays if tray.is_bred]
    asked = [one.size for one in wanted] if goal is None else [goal.size]
    smallest = min(asked, key=list(SizeGrade).index, default=None)
    return Plan(
        goal=goal,
        needs=None if goal is None else needs_of(farm, known, goal),
        met=tuple(
            Met(wanted=one, count=round(made.count), hindrance=made.hindrance)
            for one, made in zip(wanted, found.made, strict=True)
            if goal is None or one.number is None  # orders are met beside a goal, and told when they are asked about
        ),
        trays=tuple((day, tuple(name for _, name in those)) for day, those in groupby(own, key=lambda tray: tray[0])),
        bred_trays=tuple((day, len(list(those))) for day, those in groupby(bred)),
        kept_back=tuple((today + day * _DAY, bins * to_keep_back()) for day, bins in found.kept_back),
        given_up=tuple(known.bins[number] for number in found.given_up),
        tubs=_most_tubs(known, found),
        bins=max(found.bins_used, default=0),
        females=_most_females(known, found),
        first_on=None if smallest is None else _first_on(known, smallest),
        laying=known.laying,
        bred_from=_bred_from(known),
        uncounted=known.uncounted,
        is_assumed=known.pace.is_assumed,
    )  # fmt: skip


def _most_tubs(known: Pipeline, found: Production) -> int:
    works = known.works
    pulled = [tray.day + works.lay_days for tray in found.trays]
    pulled += [tub.day + works.lay_days for tub in works.tubs]
    stays = works.hatch_age - works.lay_days
    return max((sum(0 <= at - day < stays for day in pulled) for at in range(works.days)), default=0)


def _most_females(known: Pipeline, found: Production) -> int:
    by_day: dict[int, float] = {}
    for tray in found.trays:
        adults = to_keep_back() if tray.is_bred else known.adults[tray.bin]
        by_day[tray.day] = by_day.get(tray.day, 0.0) + _FEMALES * adults
    return round(max(by_day.values(), default=0.0))


def needs_of(farm: Farm, known: Pipeline, goal: Goal) -> Needs | None:
    """Give what a goal takes once it is under way, whatever the farm has; None where none grow to the size."""
    shares = known.shares[goal.size]
    age, best = max(enumerate(shares), key=lambda pair: pair[1])
    if best <= 0:
        return None
    works, period = known.works, period_days(goal.every) if goal.every else SEASON_DAYS
    adults = max((n for n, house in zip(known.adults, works.bins, strict=True) if any(house.eggs)), default=ADULTS)
    eggs = goal.count / best
    trays = math.ceil(eggs / eggs_of_tray(farm, adults))
    stays = max(age - works.hatch_age, 0)
    return Needs(
        eggs=eggs,
        trays=trays,
        females_a_tray=round(_FEMALES * adults),
        tubs=max(math.ceil(trays * works.hatch_age / period), trays),
        bins=max(math.ceil(eggs / eggs_a_bin() * stays / period), math.ceil(eggs / eggs_a_bin())) if stays else 0,
        days=age,
    )
