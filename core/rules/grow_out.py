"""Chores of growing bins, now and then: clean, split, look at the size, listen for the first chirp.

Not for feed and water: feeding has those.
"""

import datetime as dt
from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from core.farm.farm import AskedChore, Bin, Farm
from core.journal.kinds import Chore, Holds
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.evidence import HOUSE_CRICKET
from core.rules.feeding import begun_at, kept_bins, settled_at
from core.rules.forecasts import Forecast
from core.rules.growth import Course, course_of, hatched
from core.rules.space import YOUNG, is_crowded
from core.units import SizeGrade

CLEAN_DAYS = 14  # common practice, no source
SPLIT_LEAD = dt.timedelta(days=2)  # so long before the fourth instar, from when crowding was found to cost lives
GROWING_DAYS = 120  # what came in longer ago has grown, or is not there any more
STILL_TO_SEE = dt.timedelta(days=3)  # how long a size that is due is worth a look
STILL_TO_HEAR = dt.timedelta(days=14)  # how long a first chirp that is due is listened for
THIS_MORNING = dt.timedelta(hours=1)
FIRST_CHIRP = dt.timedelta(days=HOUSE_CRICKET.adult.first_chirp_days.value)
_GRADES = tuple(SizeGrade)


def bins_to_clean(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for the droppings to be taken out every two weeks; bins whose day is the same are asked for together."""
    mornings: dict[dt.datetime, list[str]] = {}
    for house in kept_bins(farm, now):
        since = max((at for at in (house.cleaned_at, begun_at(house)) if at is not None), default=None)
        if since is not None:
            day = hours.local(farm, since).date() + CLEAN_DAYS * hours.DAY
            mornings.setdefault(_morning(farm, day), []).append(house.name)
    for due, names in mornings.items():
        yield ChoreDue(chore=Chore.CLEAN, due=due, ask_at=hours.after_quiet(farm, due), bins=tuple(names))


def bins_to_split(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for a bin to be split before its crickets are so big that they crowd each other."""
    for house in kept_bins(farm, now, GROWING_DAYS):
        came_in = settled_at(house)
        if came_in is not None and house.hatched_at is not None and is_crowded(house, now):
            yield _next_morning(farm, house, Chore.SPLIT, max(house.hatched_at + YOUNG - SPLIT_LEAD, came_in))


def sizes_to_check(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for a look at the size on the morning after the next grade is due by growth, once a grade."""
    for house in kept_bins(farm, now, GROWING_DAYS):
        course = course_of(farm, house) if house.holds is not Holds.ADULTS else None
        came_in = settled_at(house)
        if course is None or came_in is None:
            continue
        seen = -1 if house.size is None else _GRADES.index(house.size)
        steps = [
            _next_morning(farm, house, Chore.SIZE_CHECK, at, _GRADES.index(size))
            for size, at in course.sizes
            if at > came_in and _GRADES.index(size) > seen and _is_before_wings(at, course)
        ]
        yield from _left(farm, steps, now, STILL_TO_SEE)


def chirps_to_hear(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Say when the first chirp is to be expected: when the first have wings, and once more when most should sing."""
    for house in kept_bins(farm, now, GROWING_DAYS):
        if not _has_chirped(farm, house):
            steps = [
                _next_morning(farm, house, Chore.FIRST_CHIRP, at, step)
                for step, at in enumerate(_singing(farm, house))
                if at is not None
            ]
            yield from _left(farm, steps, now, STILL_TO_HEAR)


def grade_of(step: int) -> SizeGrade:
    """Tell which grade a size check is for."""
    return _GRADES[step]


def is_for(farm: Farm, asked: AskedChore, chore: ChoreDue) -> bool:
    """Tell whether a reminder asked for a step, or a later one, of the crickets that are in a bin now."""
    if not chore.is_same_subject(asked) or asked.step < chore.step:
        return False
    house = farm.bins.get(asked.bin or "")
    since = None if house is None else hatched(farm, house)
    return since is None or asked.at > since


def _is_before_wings(at: dt.datetime, course: Course) -> bool:
    """Tell whether a size comes before the first wings, which are listened for instead."""
    return course.first_adults is None or at < course.first_adults


def _singing(farm: Farm, house: Bin) -> tuple[dt.datetime | None, ...]:
    """Give when the first of a bin may chirp, and when most males should."""
    if house.holds is Holds.ADULTS:
        seen = [at for at, size in house.sizes if size is SizeGrade.ADULT]
        return (None, min(seen) + FIRST_CHIRP) if seen else ()
    course = course_of(farm, house)
    if course is None or course.adults is None:
        return ()
    return (course.first_adults, course.adults + FIRST_CHIRP)


def _has_chirped(farm: Farm, house: Bin) -> bool:
    since = hatched(farm, house)
    return house.chirped_at is not None and (since is None or house.chirped_at > since)


def _left(farm: Farm, steps: list[ChoreDue], now: dt.datetime, still: dt.timedelta) -> Iterator[ChoreDue]:
    """Give the newest step of those past, where it is not over, and those to come."""
    past = [step for step in steps if step.due <= now][-1:]
    yield from (_in_a_morning(farm, step, now) for step in past if now - step.due <= still)
    yield from (step for step in steps if step.due > now)


def _in_a_morning(farm: Farm, chore: ChoreDue, now: dt.datetime) -> ChoreDue:
    """Let what was not asked for in its morning wait for the next: a size that is told can put it into the past."""
    if now - chore.due <= THIS_MORNING or any(is_for(farm, asked, chore) for asked in farm.asked.values()):
        return chore
    return replace(chore, ask_at=hours.after_quiet(farm, _from_morning_on(farm, now - THIS_MORNING)))


def _next_morning(farm: Farm, house: Bin, chore: Chore, at: dt.datetime, step: int = 0) -> ChoreDue:
    """Give a chore of one bin for the first morning from a time on."""
    due = _from_morning_on(farm, at)
    return ChoreDue(chore=chore, due=due, ask_at=hours.after_quiet(farm, due), step=step, bin=house.name)


def _from_morning_on(farm: Farm, at: dt.datetime) -> dt.datetime:
    day = hours.local(farm, at).date()
    return next(morning for morning in (_morning(farm, day), _morning(farm, day + hours.DAY)) if morning >= at)


def _morning(farm: Farm, day: dt.date) -> dt.datetime:
    return hours.at_time(farm, day, farm.settings.water_times[0])
