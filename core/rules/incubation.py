"""Chores of the tubs of eggs: water, look for mold, look for pinheads.

All are asked for by place, at times of day that the farm has chosen. Not for the forecast itself: see forecasts.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from itertools import pairwise

import msgspec
from msgspec.structs import replace

from core.farm.farm import Farm, Tub
from core.journal.kinds import Chore
from core.rules import hours, moisture
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast
from core.science.development import HatchWindow

SOON_ENOUGH = dt.timedelta(hours=3)  # work done this long before it is due counts for it
HATCH_LEAD_DAYS = 1  # looking begins this many days before the earliest hatch
HATCH_PATIENCE_DAYS = 5  # and ends this many days after the latest
HATCH_SPREAD = dt.timedelta(days=3)  # eggs go on hatching, and want water, this long after the first pinheads

_Tubs = tuple[Tub, ...]


class _Round(msgspec.Struct, frozen=True, kw_only=True):
    """A chore of a place's tubs at times of the day."""

    chore: Chore
    place: str | None
    tubs: _Tubs
    times: tuple[dt.time, ...]
    seen_to_at: Callable[[Tub], dt.datetime | None]
    every_days: int = 1
    first_on: dt.date = dt.date.min  # when there is more than a day between


def tubs_to_water(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for water as often as open tubs of a place dry: at each of the farm's times, daily, or every so many days."""
    for place, tubs in _by_place(t for t in farm.incubating() if not t.is_covered and _wants_water(t, now)):
        plan = moisture.watering_of(farm, farm.places.get(place or ""), now)
        if plan is None:
            continue
        days = plan.every_days
        times = farm.settings.water_times if plan.at_each_time else farm.settings.water_times[:1]
        daily = _Round(chore=Chore.WATER, place=place, tubs=tubs, times=times, seen_to_at=lambda tub: tub.watered_at)
        if days == 1:
            yield from _dues(farm, daily, now, until)
            continue
        first_on = min(_dry_on(farm, tub, days) for tub in tubs)
        seldom = replace(daily, seen_to_at=_damp_at, every_days=days, first_on=first_on)
        yield from _dues(farm, seldom, now, max(until, now + dt.timedelta(days=days + 1)))


def _damp_at(tub: Tub) -> dt.datetime:
    """Tell when it was damp for sure: it was made so for the lay."""
    return tub.watered_at or tub.pulled_at or tub.known_since


def _dry_on(farm: Farm, tub: Tub, days: int) -> dt.date:
    """Give the first day to ask for a tub that keeps for some days: after it was told of, and the hour was chosen.

    Who finds it dry is told at once to water it.
    """
    told = (tub.told_at, tub.dry_at, farm.settings.water_times_told_at)
    told_at = hours.local(farm, max(at for at in told if at is not None))
    told_on = told_at.date() + dt.timedelta(days=told_at.time() > farm.settings.water_times[0])
    return max(told_on, hours.local(farm, _damp_at(tub)).date() + dt.timedelta(days=days))


def _wants_water(tub: Tub, now: dt.datetime) -> bool:
    return tub.hatch_at is None or now - tub.hatch_at < HATCH_SPREAD


def tubs_to_check_for_mold(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask once a day to look under the covers."""
    times = farm.settings.water_times[:1]
    for place, tubs in _by_place(t for t in farm.incubating() if t.is_covered and _wants_water(t, now)):
        walk = _Round(
            chore=Chore.MOLD_CHECK, place=place, tubs=tubs, times=times, seen_to_at=lambda tub: tub.checked_at
        )  # fmt: skip
        yield from _dues(farm, walk, now, until)


def tubs_to_check_for_hatch(
    farm: Farm, forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask daily from the day before the earliest hatch until pinheads are seen or five days past the latest."""
    windows = {name: f.window for name, f in forecasts.items() if isinstance(f.window, HatchWindow)}
    for place, tubs in _by_place(farm.tubs[name] for name in windows):
        spans = {tub.name: _looking(farm, windows[tub.name]) for tub in tubs}
        reach = max([until, *_next_start(farm, now, (start for start, _ in spans.values()))])
        walk = _Round(
            chore=Chore.HATCH_CHECK,
            place=place,
            tubs=tubs,
            times=farm.settings.water_times[:1],
            seen_to_at=lambda tub: tub.hatch_checked_at,
        )
        for chore in _dues(farm, walk, now, reach):
            day = hours.local(farm, chore.due).date()
            looked_for = tuple(name for name in chore.tubs if spans[name][0] <= day <= spans[name][1])
            if looked_for:
                yield ChoreDue(
                    chore=chore.chore, due=chore.due, ask_at=chore.ask_at, place=place, tubs=looked_for
                )  # fmt: skip


def _next_start(farm: Farm, now: dt.datetime, starts: Iterable[dt.date]) -> Iterator[dt.datetime]:
    """Give the end of the next day on which looking begins, so that it is met however far off it is."""
    ends = (hours.at_time(farm, start + dt.timedelta(days=1), dt.time()) for start in starts)
    yield from sorted(end for end in ends if end > now)[:1]


def _looking(farm: Farm, window: HatchWindow) -> tuple[dt.date, dt.date]:
    first = hours.local(farm, window.earliest).date() - dt.timedelta(days=HATCH_LEAD_DAYS)
    return first, hours.local(farm, window.latest).date() + dt.timedelta(days=HATCH_PATIENCE_DAYS)


def _by_place(tubs: Iterable[Tub]) -> Iterator[tuple[str | None, _Tubs]]:
    places: dict[str | None, list[Tub]] = {}
    for tub in tubs:
        places.setdefault(tub.place, []).append(tub)
    for place, found in places.items():
        yield place, tuple(found)


def _dues(farm: Farm, walk: _Round, now: dt.datetime, until: dt.datetime) -> Iterator[ChoreDue]:
    """Give a round's newest past time and those until `until`, each with the tubs that want it then."""
    first = hours.local(farm, now).date() - dt.timedelta(days=walk.every_days)
    last = hours.local(farm, until).date()
    daily = (due for time in walk.times for due in hours.daily(farm, time, first, last))
    dues = sorted(due for due in daily if walk.every_days == 1 or _is_on(walk, hours.local(farm, due).date()))
    told_at = farm.settings.water_times_told_at
    past = [due for due in dues if due <= now and (told_at is None or due >= told_at)][-1:]
    margin = soon_enough(farm) if walk.every_days == 1 else dt.timedelta(days=walk.every_days) / 2
    for due in past + [due for due in dues if now < due <= until]:
        wanting = tuple(
            t.name for t in walk.tubs if t.told_at <= due and not _is_seen_to(walk.seen_to_at(t), due - margin)
        )
        if wanting:
            ask_at = hours.after_quiet(farm, due)
            yield ChoreDue(chore=walk.chore, due=due, ask_at=ask_at, place=walk.place, tubs=wanting)


def _is_on(walk: _Round, day: dt.date) -> bool:
    return day >= walk.first_on and (day - walk.first_on).days % walk.every_days == 0


def _is_seen_to(at: dt.datetime | None, since: dt.datetime) -> bool:
    return at is not None and at >= since


def soon_enough(farm: Farm) -> dt.timedelta:
    """Tell how long before it is due work counts for it; never so long that it counts for two of the farm's times."""
    return _half_of_the_shortest_gap(farm.settings.water_times)


@lru_cache(maxsize=256)  # asked for once for each reminder that went out
def _half_of_the_shortest_gap(times: tuple[dt.time, ...]) -> dt.timedelta:
    spans = [dt.timedelta(hours=t.hour, minutes=t.minute, seconds=t.second) for t in times]
    gaps = [later - span for span, later in pairwise([*spans, spans[0] + dt.timedelta(days=1)])]
    return min(SOON_ENOUGH, min(gaps) / 2)
