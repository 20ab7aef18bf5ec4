"""Chores of the tubs of eggs: water, look for mold, look for pinheads.

All are asked for by place, at times of day that the farm has chosen. Not for the forecast itself: see forecasts.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from itertools import pairwise

from core.farm.farm import Farm, Tub
from core.journal.kinds import Chore
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast
from core.science.development import HatchWindow

SOON_ENOUGH = dt.timedelta(hours=3)  # work done this long before it is due counts for it
HATCH_LEAD_DAYS = 1  # looking begins this many days before the earliest hatch
HATCH_PATIENCE_DAYS = 5  # and ends this many days after the latest
HATCH_SPREAD = dt.timedelta(days=3)  # eggs go on hatching, and want water, this long after the first pinheads

_Tubs = tuple[Tub, ...]


def tubs_to_water(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for water at the farm's times under a lamp, once a day elsewhere, not in a humidified place."""
    for place, tubs in _by_place(t for t in farm.incubating() if not t.is_covered and _wants_water(t, now)):
        where = farm.places.get(place) if place is not None else None
        times = farm.settings.water_times
        if where is not None and where.lamp:
            yield from _daily(farm, Chore.WATER, place, tubs, times, now, until, lambda tub: tub.watered_at)
        elif where is None or not where.humidifier:
            yield from _daily(farm, Chore.WATER, place, tubs, times[:1], now, until, lambda tub: tub.watered_at)


def _wants_water(tub: Tub, now: dt.datetime) -> bool:
    return tub.hatch_at is None or now - tub.hatch_at < HATCH_SPREAD


def tubs_to_check_for_mold(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask once a day to look under the covers."""
    times = farm.settings.water_times[:1]
    for place, tubs in _by_place(t for t in farm.incubating() if t.is_covered and _wants_water(t, now)):
        yield from _daily(farm, Chore.MOLD_CHECK, place, tubs, times, now, until, lambda tub: tub.checked_at)


def tubs_to_check_for_hatch(
    farm: Farm, forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask daily from the day before the earliest hatch until pinheads are seen or five days past the latest."""
    windows = {name: f.window for name, f in forecasts.items() if isinstance(f.window, HatchWindow)}
    for place, tubs in _by_place(farm.tubs[name] for name in windows):
        spans = {tub.name: _looking(farm, windows[tub.name]) for tub in tubs}
        reach = max([until, *_next_start(farm, now, (start for start, _ in spans.values()))])
        times = farm.settings.water_times[:1]
        for chore in _daily(farm, Chore.HATCH_CHECK, place, tubs, times, now, reach, lambda t: t.hatch_checked_at):
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


def _daily(
    farm: Farm,
    chore: Chore,
    place: str | None,
    tubs: _Tubs,
    times: tuple[dt.time, ...],
    now: dt.datetime,
    until: dt.datetime,
    seen_to_at: Callable[[Tub], dt.datetime | None],
) -> Iterator[ChoreDue]:
    """Give a daily chore's newest past time and those until `until`, each with the tubs that want it then."""
    first = hours.local(farm, now).date() - dt.timedelta(days=1)
    last = hours.local(farm, until).date()
    dues = sorted(due for time in times for due in hours.daily(farm, time, first, last))
    told_at = farm.settings.water_times_told_at
    past = [due for due in dues if due <= now and (told_at is None or due >= told_at)][-1:]
    margin = soon_enough(farm)
    for due in past + [due for due in dues if now < due <= until]:
        wanting = tuple(t.name for t in tubs if t.told_at <= due and not _is_seen_to(seen_to_at(t), due - margin))
        if wanting:
            ask_at = hours.after_quiet(farm, due)
            yield ChoreDue(chore=chore, due=due, ask_at=ask_at, place=place, tubs=wanting)


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
