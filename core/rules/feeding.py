"""Chores of the bins that crickets grow in: feed and water, daily, all bins of the farm at once.

Not for what is done to one bin now and then: grow_out has that.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping

from core.farm.farm import Bin, Farm
from core.journal.kinds import Chore
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast
from core.rules.space import YOUNG

TOLD_DAYS = 45  # of a bin that nobody fed or stocked for so long no daily round is asked


def bins_to_feed(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for feed in the morning, for all bins that had none that day."""
    yield from _rounds(farm, Chore.FEED, lambda house: house.fed_at, now, until)


def bins_to_water(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for water in the morning, for all bins that had none that day."""
    yield from _rounds(farm, Chore.BIN_WATER, lambda house: house.watered_at, now, until)


def kept_bins(farm: Farm, now: dt.datetime, days: int = TOLD_DAYS) -> list[Bin]:
    """Give the bins with crickets in them that the farm told of in the last days: put in, or fed."""
    since = now - dt.timedelta(days=days)
    return [house for house in farm.bins.values() if (at := told_of(house)) is not None and since <= at <= now]


def told_of(house: Bin) -> dt.datetime | None:
    """Tell when crickets were last put into a bin or fed in it; None where nobody said, or nothing is left in it."""
    if house.emptied_at is not None:
        return None
    fed = () if house.fed_at is None else (house.fed_at,)
    return max((*fed, *_came_in(house)), default=None)


def settled_at(house: Bin) -> dt.datetime | None:
    """Tell when the last crickets came into a bin."""
    return max(_came_in(house), default=None)


def begun_at(house: Bin) -> dt.datetime | None:
    """Tell when the first of the crickets that are in a bin came into it."""
    return min(_came_in(house), default=None)


def _came_in(house: Bin) -> Iterator[dt.datetime]:
    for cohort in house.cohorts:
        yield from (at for at, count in cohort.told if count > 0)
        if not cohort.told and cohort.hatched_at is not None:
            yield cohort.hatched_at


def is_young(house: Bin, now: dt.datetime) -> bool:
    """Tell whether crickets of a bin are so small that they drown in open water; a guess: up to the fourth instar."""
    return any(cohort.hatched_at is not None and now - cohort.hatched_at < YOUNG for cohort in house.cohorts)


def _rounds(
    farm: Farm, chore: Chore, seen_to_at: Callable[[Bin], dt.datetime | None], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Give the round of this morning where it is not done, and those until `until`."""
    kept = kept_bins(farm, now) if farm.bins else []
    if not kept:
        return
    first, last = hours.local(farm, now).date(), hours.local(farm, until).date()
    told_at = farm.settings.water_times_told_at
    done_on = {house.name: _day_of(farm, seen_to_at(house), settled_at(house)) for house in kept}
    for due in hours.daily(farm, farm.settings.water_times[0], first, last):
        day = hours.local(farm, due).date()
        late = {name for a in farm.asked.values() if (a.chore, a.due) == (chore, due) for name in a.bins}
        wanting = tuple(
            house.name
            for house in kept
            if done_on[house.name] < day and (due > now or house.name in late or _was_told_of(house, due))
        )
        is_chosen = due > now or told_at is None or due >= told_at
        if wanting and due <= until and is_chosen:
            yield ChoreDue(chore=chore, due=due, ask_at=hours.after_quiet(farm, due), bins=wanting)


def _was_told_of(house: Bin, before: dt.datetime) -> bool:
    """Tell whether a bin was looked after before a time; a bin that is new since then waits for the next morning."""
    return any(at is not None and at < before for at in (begun_at(house), house.fed_at, house.watered_at))


def _day_of(farm: Farm, *times: dt.datetime | None) -> dt.date:
    """Give the day of the newest of some times: crickets that came in are fed and watered as they do."""
    newest = max((at for at in times if at is not None), default=None)
    return dt.date.min if newest is None else hours.local(farm, newest).date()
