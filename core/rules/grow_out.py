"""Chores of one growing bin, now and then: look at the size, clean, split, listen for the first chirp.

Not for feed and water: feeding has those.
"""

import datetime as dt
from collections.abc import Iterator, Mapping

from core.farm.farm import Bin, Farm
from core.journal.kinds import Chore, Holds
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.feeding import YOUNG_DAYS, kept_bins, settled_at
from core.rules.forecasts import Forecast
from core.rules.growth import growth_of
from core.rules.space import is_crowded
from core.units import SizeGrade

CLEAN_DAYS = 14  # common practice, no source
SPLIT_LEAD_DAYS = 2  # so long before the fourth instar, from when crowding was found to cost lives
SAME_CHORE = dt.timedelta(days=10)  # a date that moves by less, as the bin is warmer or cooler, is asked for once
_GRADES = tuple(SizeGrade)


def bins_to_clean(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for the droppings to be taken out every two weeks."""
    for house in kept_bins(farm, now):
        since = max((at for at in (house.cleaned_at, settled_at(house)) if at is not None), default=None)
        if since is not None:
            yield _in_the_morning(farm, house, Chore.CLEAN, since + dt.timedelta(days=CLEAN_DAYS))


def bins_to_split(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for a bin to be split before its crickets are so big that they crowd each other."""
    for house in kept_bins(farm, now):
        came_in = settled_at(house)
        if came_in is None or house.hatched_at is None or not is_crowded(house, now):
            continue
        big_at = house.hatched_at + dt.timedelta(days=YOUNG_DAYS - SPLIT_LEAD_DAYS)
        yield _in_the_morning(farm, house, Chore.SPLIT, max(big_at, came_in))


def sizes_to_check(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for a look at the size on the morning when the next grade is due by growth, once a grade."""
    for house in _growing(farm, now):
        today = hours.local(farm, now).date()
        for due in hours.daily(farm, farm.settings.water_times[0], today, today + hours.DAY):
            grown = growth_of(farm, house, due)
            if grown is None or due > until or not _is_news(house, grown.body.size):
                continue
            step = _GRADES.index(grown.body.size)
            ask_at = hours.after_quiet(farm, due)
            yield ChoreDue(chore=Chore.SIZE_CHECK, due=due, ask_at=ask_at, step=step, bin=house.name)


def chirps_to_hear(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Say when the first chirp is to be expected: as soon as the first adults may be there, and when most are."""
    for house in _growing(farm, now):
        grown = growth_of(farm, house, now)
        if grown is None or grown.adult is None or house.chirped_at is not None:
            continue
        steps = [
            _in_the_morning(farm, house, Chore.FIRST_CHIRP, at, step)
            for step, at in enumerate((grown.adult.earliest, grown.adult.likely))
        ]
        past = [s for s in steps if s.due <= now][-1:]
        yield from past + [s for s in steps if s.due > now]


def grade_of(chore: ChoreDue) -> SizeGrade:
    """Tell which grade a size check is for."""
    return _GRADES[chore.step]


def _growing(farm: Farm, now: dt.datetime) -> list[Bin]:
    return [house for house in kept_bins(farm, now) if house.holds is not Holds.ADULTS]


def _is_news(house: Bin, size: SizeGrade) -> bool:
    """Tell whether a grade is one to look for: not what hatches, nor what was seen; adults are heard."""
    if size in {SizeGrade.PINHEAD, SizeGrade.ADULT}:
        return False
    return house.size is None or _GRADES.index(size) > _GRADES.index(house.size)


def _in_the_morning(farm: Farm, house: Bin, chore: Chore, at: dt.datetime, step: int = 0) -> ChoreDue:
    """Give a chore for the morning of the day that a time falls on."""
    due = hours.at_time(farm, hours.local(farm, at).date(), farm.settings.water_times[0])
    due = due if due >= at or chore is not Chore.SPLIT else hours.after_quiet(farm, at)
    return ChoreDue(chore=chore, due=due, ask_at=hours.after_quiet(farm, due), step=step, bin=house.name)
