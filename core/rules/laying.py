"""Chores of the lay tray: look in on a chirping bin, set a tray, pull it.

Not for the eggs once they are out of the bin: that is incubation.
"""

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence

from core.farm.farm import Bin, Farm
from core.journal.kinds import Chore, Holds
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast

# Common practice, no source: females lay from one to three weeks after the males begin to chirp.
LOOK_IN_DAYS = 7
SET_TRAY_DAYS = 14
LAST_CALL_DAYS = 21
TRAY_STEPS = (LOOK_IN_DAYS, SET_TRAY_DAYS, LAST_CALL_DAYS)  # by step of the chore

PLANNED_STEP = 3  # of a tray on a day of the farm's plan
LATE_DAYS = 2  # so long after its day a planned tray is still asked for
SET_BEFORE = dt.timedelta(hours=12)  # a tray that went in so long before a planned one, or later, is that one

PULL_AGAIN = dt.timedelta(hours=6)
LONG_LAY = dt.timedelta(hours=36)  # common practice, no source: a longer lay spreads the hatch
AFTER_LONG_LAY = dt.timedelta(hours=12)  # how long after the lay hours at the least the long lay is spoken of
PULL_STEP_LONG = 2  # the step that gives the reason


def trays_to_set(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask to look in 7 days after the first chirp, for a tray on day 14, and for the last time on day 21.

    Of bins that a plan has trays for, on the days of the plan instead.
    """
    for house in farm.bins.values():
        planned = _planned_days(farm, house, now)
        if planned:
            yield from _planned(farm, house, planned, now, until)
            continue
        if not _awaits_tray(house) or house.chirped_at is None:
            continue
        steps = [(step, hours.days_later(farm, house.chirped_at, days)) for step, days in enumerate(TRAY_STEPS)]
        past = [s for s in steps if s[1] <= now][-1:]
        for step, due in past + [s for s in steps if s[1] > now]:
            ask_at = hours.after_quiet(farm, due)
            yield ChoreDue(chore=Chore.TRAY_IN, due=due, ask_at=ask_at, step=step, bin=house.name)


def _planned_days(farm: Farm, house: Bin, now: dt.datetime) -> Sequence[dt.date]:
    """Give the days of a bin's planned trays that are to come, or not long past."""
    days = farm.plan.days.get(house.name, ()) if farm.plan is not None else ()
    return days[bisect_left(days, hours.local(farm, now).date() - LATE_DAYS * hours.DAY) :] if days else ()


def _planned(
    farm: Farm, house: Bin, days: Sequence[dt.date], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for the planned tray of the last days, where it is not in, and for those to come, one past `until`."""
    if house.held_since is not None or house.holds is Holds.NOTHING:
        return
    ahead = hours.local(farm, until).date() + hours.DAY
    near = bisect_right(days, ahead) + 1  # a season of them is not looked at with each message
    dues = [hours.at_time(farm, day, farm.settings.water_times[0]) for day in days[:near]]
    past = [due for due in dues if due <= now][-1:]
    if house.tray is not None:
        past = []  # the old one is to be pulled first
    for due in past + [due for due in dues if due > now]:
        if house.tray_in_at is None or house.tray_in_at < due - SET_BEFORE:
            yield ChoreDue(
                chore=Chore.TRAY_IN, due=due, ask_at=hours.after_quiet(farm, due), step=PLANNED_STEP, bin=house.name
            )
        if due > until:
            return


def _awaits_tray(house: Bin) -> bool:
    if house.chirped_at is None or house.tray is not None:
        return False
    if house.hatched_at is not None and house.hatched_at > house.chirped_at:
        return False  # those that are in it now hatched since, and are not of laying age
    return house.tray_in_at is None or house.tray_in_at < house.chirped_at


def trays_to_pull(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask when the lay hours are over, six hours later, and past 36 hours with the reason."""
    for house in farm.bins_with_tray():
        steps = pull_steps(farm, house)
        past = [s for s in steps if s.ask_at <= now][-1:]
        yield from past + [s for s in steps if s.ask_at > now]


def pull_steps(farm: Farm, house: Bin) -> list[ChoreDue]:
    """Give the times at which a bin's tray is asked for."""
    if house.tray is None:
        return []
    put_in_at = house.tray.put_in_at.astimezone(dt.UTC)
    due = put_in_at + dt.timedelta(hours=farm.settings.lay_hours)
    first = max(hours.before_quiet(farm, due), put_in_at)
    again = hours.after_quiet(farm, due + PULL_AGAIN)
    long = hours.after_quiet(farm, max(put_in_at + LONG_LAY, due + AFTER_LONG_LAY))
    return [
        ChoreDue(chore=Chore.PULL_TRAY, due=due, ask_at=ask_at, step=step, bin=house.name)
        for step, ask_at in enumerate((first, again, long))
    ]
