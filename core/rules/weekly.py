"""The look back on a week, and ahead: when it is told, and what it tells.

Not for its words. Not a chore: nobody has to do anything about it.
"""

import datetime as dt
from collections.abc import Mapping

import msgspec

from core.farm.farm import Farm
from core.journal.kinds import Weekday
from core.rules import hours
from core.rules.feeding import kept_bins
from core.rules.forecasts import Forecast
from core.rules.promises import promises
from core.science.development import HatchWindow

WEEK = dt.timedelta(days=7)
STILL = dt.timedelta(days=1)  # how long after its time it is still told
_WEEK = tuple(Weekday)


class Week(msgspec.Struct, frozen=True, kw_only=True):
    """What a week brought."""

    hatched: tuple[str, ...]  # tubs
    harvested: int
    sold: int  # crickets
    money: float  # in the farm's currency
    sales: int
    lost: int  # found dead

    @property
    def is_empty(self) -> bool:
        """Say whether there is nothing to tell."""
        return not (self.hatched or self.harvested or self.sales or self.lost)


class Ahead(msgspec.Struct, frozen=True, kw_only=True):
    """What the next week brings."""

    hatches: tuple[str, ...]  # tubs that likely hatch, the next first
    orders: int  # deliveries that are due
    count: int  # crickets of them


def due(farm: Farm, now: dt.datetime) -> dt.datetime | None:
    """Give the time of the summary that is to be told now; None where there is none."""
    at = _latest(farm, now)
    if at is None or now - at > STILL or hours.after_quiet(farm, now) > now:
        return None
    is_told = farm.summed_at is not None and farm.summed_at >= at
    is_new = farm.known_since is None or farm.known_since > at - WEEK
    return None if is_told or is_new or not _has_news(farm, at) else at


def next_at(farm: Farm, now: dt.datetime) -> dt.datetime | None:
    """Give when there may next be a summary to tell: after now."""
    at = _latest(farm, now)
    if at is None or not is_lively(farm, now):
        return None
    is_waiting = now - at <= STILL and (farm.summed_at is None or farm.summed_at < at)
    held = hours.after_quiet(farm, now)
    if is_waiting and held > now:
        return held
    day = hours.local(farm, at).date() + 7 * hours.DAY
    return hours.after_quiet(farm, hours.at_time(farm, day, farm.settings.water_times[0]))


def is_lively(farm: Farm, now: dt.datetime) -> bool:
    """Tell whether a week of a farm may have something to tell: crickets or eggs that it spoke of lately, or orders."""
    return bool(farm.tubs.incubating or farm.orders.open or kept_bins(farm, now))


def _has_news(farm: Farm, at: dt.datetime) -> bool:
    """Tell whether the week before brought something, or the next one has orders."""
    today = hours.local(farm, at).date()
    return not week_until(farm, at).is_empty or bool(promises(farm, at, today + 6 * hours.DAY))


def _latest(farm: Farm, now: dt.datetime) -> dt.datetime | None:
    """Give the newest time of a summary up to now; None where nobody wants one."""
    day = farm.settings.summary_day
    if day is None:
        return None
    today = hours.local(farm, now).date()
    on = today - ((today.weekday() - _WEEK.index(day)) % 7) * hours.DAY
    at = hours.at_time(farm, on, farm.settings.water_times[0])
    return at if at <= now else hours.at_time(farm, on - 7 * hours.DAY, farm.settings.water_times[0])


def week_until(farm: Farm, until: dt.datetime) -> Week:
    """Give what the seven days before a time brought."""
    since = until - WEEK
    sales = []
    for sale in reversed(farm.sales):
        if sale.at < since:
            break
        sales.append(sale)
    return Week(
        hatched=tuple(t.name for t in farm.tubs.hatched if t.hatch_at is not None and since <= t.hatch_at < until),
        harvested=sum(count for at, count in farm.tally.harvested if since <= at < until),
        sold=sum(sale.count or 0 for sale in sales if sale.at < until),
        money=sum(sale.price or 0.0 for sale in sales if sale.at < until),
        sales=sum(1 for sale in sales if sale.at < until),
        lost=sum(count for at, count in farm.tally.dead if since <= at < until),
    )


def week_from(farm: Farm, known: Mapping[str, Forecast], now: dt.datetime) -> Ahead:
    """Give what the seven days after a time bring."""
    windows = {name: f.window for name, f in known.items() if isinstance(f.window, HatchWindow)}
    soon = sorted((window.likely, name) for name, window in windows.items() if now <= window.likely < now + WEEK)
    found = promises(farm, now, hours.local(farm, now).date() + 6 * hours.DAY)
    return Ahead(hatches=tuple(name for _, name in soon), orders=len(found), count=sum(p.count for p in found))
