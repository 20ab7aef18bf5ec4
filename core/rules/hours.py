"""The farm's own clock: times of day in its zone, and its quiet hours.

All times that go in and come out are aware and in UTC, unless a name says `local`.
"""

import datetime as dt
from collections.abc import Iterator
from functools import lru_cache

from core.farm.farm import Farm
from core.farm.settings import tzinfo_of

DAY = dt.timedelta(days=1)
BEFORE_QUIET = dt.timedelta(minutes=15)  # work that falls due in the quiet hours is asked for this long before them


def local(farm: Farm, at: dt.datetime) -> dt.datetime:
    """Give a time as the farm's clocks show it."""
    return at.astimezone(tzinfo_of(farm.settings.timezone))


def at_time(farm: Farm, day: dt.date, time: dt.time) -> dt.datetime:
    """Give the time at which the farm's clocks show `time` on `day`.

    A time that the change of clocks leaves out is taken as much later as the clocks jump; of one that comes twice the
    first is taken.
    """
    return _at_time(farm.settings.timezone, day, time.replace(fold=0) if time.fold else time)


@lru_cache(maxsize=4096)  # the rules ask for the same hours of the same few days, farm by farm
def _at_time(timezone: str, day: dt.date, time: dt.time) -> dt.datetime:
    return dt.datetime.combine(day, time, tzinfo=tzinfo_of(timezone)).astimezone(dt.UTC)


def days_later(farm: Farm, at: dt.datetime, days: int) -> dt.datetime:
    """Give the same time of day some days later, on the farm's clocks."""
    then = local(farm, at)
    return at_time(farm, then.date() + dt.timedelta(days=days), then.time())


def daily(farm: Farm, time: dt.time, first: dt.date, last: dt.date) -> Iterator[dt.datetime]:
    """Give `time` on each day from `first` to `last`."""
    for number in range((last - first).days + 1):
        yield at_time(farm, first + number * DAY, time)


def is_quiet(farm: Farm, at: dt.datetime) -> bool:
    """Tell whether a time falls into the quiet hours."""
    return _quiet_span(farm, at) is not None


def after_quiet(farm: Farm, at: dt.datetime) -> dt.datetime:
    """Give `at`, or the end of the quiet hours that it falls into."""
    span = _quiet_span(farm, at)
    return span[1] if span else at


def before_quiet(farm: Farm, at: dt.datetime) -> dt.datetime:
    """Give `at`, or the last quarter hour before the quiet hours that it falls into."""
    span = _quiet_span(farm, at)
    return span[0] - BEFORE_QUIET if span else at


def _quiet_span(farm: Farm, at: dt.datetime) -> tuple[dt.datetime, dt.datetime] | None:
    if farm.settings.quiet_hours is None:
        return None
    today = local(farm, at).date()
    for first in (today - DAY, today):
        begins, ends = _quiet_from(farm.settings.timezone, first, farm.settings.quiet_hours)
        if begins <= at < ends:
            return begins, ends
    return None


@lru_cache(maxsize=1024)
def _quiet_from(timezone: str, first: dt.date, span: tuple[dt.time, dt.time]) -> tuple[dt.datetime, dt.datetime]:
    start, end = span
    return _at_time(timezone, first, start), _at_time(timezone, first if start < end else first + DAY, end)
