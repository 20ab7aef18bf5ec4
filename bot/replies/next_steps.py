"""What follows from a thing that was written down: what to do, when to expect what, and the care that a place needs.

Not for restating it (recorded) nor for chores that are due (notices).
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping

from bot.replies import orders
from bot.replies.hatching import no_day_until, standstill
from bot.replies.voice import Voice
from core.farm.farm import Farm, Tub
from core.farm.orders import delivered
from core.journal import facts, wants
from core.journal.event import Event
from core.journal.kinds import HatchStage
from core.rules import breeders, hours, laying
from core.rules.cautions import COOL_BIN_C, DRY_AIR_RH, HOT_PLACE_C, Caution, Concern, Safety
from core.rules.forecasts import Basis, Forecast
from core.rules.moisture import Watering, watering_of
from core.rules.space import ROOM
from core.science.development import NoForecast
from core.units import TemperatureUnit

MOVED_ENOUGH = dt.timedelta(hours=18)  # a reading that moves a hatch by less is not worth a line
MOST_MOVED = 3  # lines about hatches that have moved


def next_steps(  # noqa: C901, PLR0915 - one case a kind
    voice: Voice, farm: Farm, entry: Event, before: Mapping[str, Forecast], after: Mapping[str, Forecast]
) -> Iterator[str]:
    """Give what follows from an event; the farm is the one without it, the forecasts are those without and with it."""
    body = entry.body
    match body:
        case facts.Chirp():
            yield from _after_chirp(voice, body)
        case facts.TrayIn():
            yield from _after_tray(voice, body)
        case facts.TrayOut() if body.tub is not None and body.place is not None:
            yield from hatch_and_care(voice, (body.tub,), after)
        case facts.Placed():
            tubs = body.tubs or tuple(t.name for t in voice.farm.incubating())
            yield from hatch_and_care(voice, tubs, after)
        case facts.Covered():
            if body.tubs:
                yield from _care(voice, [voice.farm.tubs[t] for t in body.tubs if t in voice.farm.tubs])
        case facts.Reading():
            yield from _moved(voice, before, after)
            yield from (_watering(voice, plan) for plan in _replanned(voice, farm, [body.place] if body.place else []))
        case facts.Mold() if not body.removed:
            yield voice.say("next.mold_seen")
        case facts.Dry():
            yield from _after_dry(voice, farm, body)
        case facts.Hatch():
            over, tub = body.stage is HatchStage.DONE, voice.farm.tubs.get(body.tub)
            if tub is None or tub.hatch_at == entry.happened_at:  # the first that is heard of it
                yield voice.say("next.hatched")
            yield voice.say("next.hatch_over" if over else "next.hatch_goes_on")
        case facts.Adults():
            yield from _after_adults(voice, body)
        case wants.Order():
            yield from orders.outlook(voice, after, entry.number, body.due)
        case facts.Sold():
            yield from _sold(voice, farm, body, entry)
        case facts.Moved(from_=name) | facts.Harvested(bin=name) | facts.Dead(bin=name):
            yield from _left_in(voice, farm, name)
        case facts.Discarded() if body.tub is not None:
            yield voice.say("next.discarded")
        case _:
            return


def _after_adults(voice: Voice, body: facts.Adults) -> Iterator[str]:
    """Say how many to keep back, and where they are all of one line."""
    house = voice.farm.bins.get(body.bin)
    if house is None or not house.cohorts:
        return
    yield voice.say("next.keep_back", many=voice.rounded(breeders.to_keep_back()))
    line = breeders.same_line(voice.farm, house)
    if line is not None:
        yield voice.say("next.same_line", bin=voice.bin(line))


def _sold(voice: Voice, farm: Farm, body: facts.Sold, entry: Event) -> Iterator[str]:
    """Say what is left in the bin, and which order the sale went to."""
    if body.bin is not None:
        yield from _left_in(voice, farm, body.bin)
    if body.count is None and body.mass_g is not None:
        return
    on = hours.local(farm, entry.happened_at).date()
    _, touched = delivered(farm.orders, who=body.who, size=body.size, count=body.count, on=on)
    given = sum(delivery.given for delivery in touched)
    yield from orders.filled(voice, touched, (body.count or given) - given)


def _left_in(voice: Voice, farm: Farm, name: str) -> Iterator[str]:
    """Say how many are left in a bin, where that is known and news."""
    house, before = voice.farm.bins.get(name), farm.bins.get(name)
    if house is None or before is None or house.cohorts == before.cohorts:
        return
    if not house.cohorts:
        yield voice.say("next.empty", bin=voice.subject(voice.bin(name)))
    elif house.count is not None:
        yield voice.say("next.left", bin=voice.subject(voice.bin(name)), known=voice.number(house.count))


def _after_chirp(voice: Voice, body: facts.Chirp) -> Iterator[str]:
    house = voice.farm.bins[body.bin]
    if house.chirped_at is None:
        return
    look, first, last = (hours.days_later(voice.farm, house.chirped_at, days) for days in laying.TRAY_STEPS)
    if look > voice.now:
        yield voice.say("next.chirp_1")
        yield voice.say("next.chirp_2", day=voice.day(look))
    if last > voice.now:
        yield voice.say("next.chirp_3", first=voice.day(first), last=voice.day(last))


def _after_tray(voice: Voice, body: facts.TrayIn) -> Iterator[str]:
    house = voice.farm.bins[body.bin]
    steps = [s for s in laying.pull_steps(voice.farm, house) if s.ask_at > voice.now]
    if house.tray is not None and voice.now - house.tray.put_in_at <= laying.LONG_LAY and steps:
        yield voice.say("next.tray_in", when=voice.at(steps[0].ask_at))
    is_metric = voice.farm.settings.units is TemperatureUnit.CELSIUS
    yield voice.say("next.tray_warm_c" if is_metric else "next.tray_warm")


def hatch_and_care(voice: Voice, names: tuple[str, ...], known: Mapping[str, Forecast]) -> Iterator[str]:
    """Say when tubs hatch and what care they need where they stand."""
    tubs = [voice.farm.tubs[name] for name in names if name in voice.farm.tubs]
    for tub in tubs:
        if tub.name in known:
            yield from hatch_lines(voice, known[tub.name], is_one=len(tubs) == 1)
    yield from _care(voice, tubs)


def hatch_lines(voice: Voice, forecast: Forecast, *, is_one: bool) -> Iterator[str]:
    """Say when one tub hatches, and where an assumption stands behind it."""
    where = voice.place(forecast.place) if forecast.place else voice.say("name.somewhere")
    window, temp = forecast.window, voice.temp(forecast.coming_c)
    if isinstance(window, NoForecast):
        yield no_day_until(voice, forecast, window)
    elif is_one:
        yield voice.say("next.hatch", about=voice.about(window), where=where, temp=temp)
    else:
        yield voice.say("next.window_moved", tub=voice.subject(voice.tub(forecast.tub)), about=voice.about(window))
    if forecast.basis is Basis.ASSUMED and is_one:
        yield voice.say("next.hatch_assumed", temp=temp)


def _care(voice: Voice, tubs: list[Tub]) -> Iterator[str]:
    farm = voice.farm
    if any(t.is_covered for t in tubs):
        yield voice.say("next.covered", times=voice.clock(farm.settings.water_times[0]))
    places = {t.place or "": farm.places.get(t.place or "") for t in tubs if not t.is_covered}
    plans = [watering_of(farm, place, voice.now) for place in places.values()]
    wanted = [plan for plan in plans if plan is not None]
    if wanted:
        yield _watering(voice, min(wanted, key=lambda plan: (plan.every_days, not plan.at_each_time)))
    elif plans:
        yield voice.say("next.humid")


def _watering(voice: Voice, plan: Watering) -> str:
    times = [voice.clock(t) for t in voice.farm.settings.water_times]
    if plan.every_days > 1:
        return voice.say("next.water_seldom", days=plan.every_days, times=times[0])
    if plan.at_each_time:
        return voice.say("next.water_twice", times=voice.listed(times))
    return voice.say("next.water_once", times=times[0])


def _after_dry(voice: Voice, before: Farm, body: facts.Dry) -> Iterator[str]:
    """Say that it is urgent, and that it was learned from, where it changes how often is asked for water."""
    yield voice.say("next.dry")
    for plan in _replanned(voice, before, {voice.farm.tubs[t].place for t in body.tubs if t in voice.farm.tubs}):
        times = [voice.clock(t) for t in voice.farm.settings.water_times]
        if plan.every_days > 1:
            yield voice.say("next.dries_faster_seldom", days=plan.every_days, times=times[0])
        else:
            yield voice.say("next.dries_faster", times=voice.listed(times) if plan.at_each_time else times[0])


def _replanned(voice: Voice, before: Farm, places: Iterable[str | None]) -> Iterator[Watering]:
    """Give how often is asked for water from now on, where that has changed for open tubs."""
    open_in = {t.place for t in voice.farm.incubating() if not t.is_covered}
    for place in sorted((p for p in places if p in open_in), key=str):
        old, new = (watering_of(farm, farm.places.get(place or ""), voice.now) for farm in (before, voice.farm))
        if new is not None and new != old:
            yield new


def _moved(voice: Voice, before: Mapping[str, Forecast], after: Mapping[str, Forecast]) -> Iterator[str]:
    """Say which hatches a reading has moved."""
    for name in moved_tubs(before, after):
        window = after[name].window
        if isinstance(window, NoForecast):
            yield standstill(voice, after[name])
        else:
            yield voice.say("next.window_moved", tub=voice.subject(voice.tub(name)), about=voice.about(window))


def moved_tubs(before: Mapping[str, Forecast], after: Mapping[str, Forecast]) -> list[str]:
    """Name the tubs whose hatch has moved so much that it is worth a line."""
    moved = [name for name, forecast in after.items() if name in before and _is_moved(before[name], forecast)]
    return moved[:MOST_MOVED]


def _is_moved(before: Forecast, after: Forecast) -> bool:
    old, new = before.window, after.window
    if isinstance(old, NoForecast) or isinstance(new, NoForecast):
        return type(old) is not type(new)
    return abs(new.likely - old.likely) >= MOVED_ENOUGH


def warning_line(voice: Voice, caution: Caution) -> str:
    """Put a warning in words."""
    figure, subject = caution.figure or 0.0, caution.subject or ""
    match caution.topic:
        case Concern.COOL_BIN:
            bin_name = voice.bin(subject)
            limit = voice.temp(COOL_BIN_C)
            return voice.say(
                "warn.cool_bin", bin=bin_name[:1].upper() + bin_name[1:], temp=voice.temp(figure), limit=limit
            )  # fmt: skip
        case Concern.HOT_PLACE:
            return voice.say("warn.hot_place", temp=voice.temp(figure), limit=voice.temp(HOT_PLACE_C))
        case Concern.DRY_AIR:
            return voice.say("warn.dry_air", rh=voice.number(figure), limit=voice.number(DRY_AIR_RH))
        case Concern.LONG_LAY:
            is_still_in = subject in voice.farm.bins and voice.farm.bins[subject].tray is not None
            return voice.say("warn.tray_overdue" if is_still_in else "warn.long_lay", hours=round(figure))
        case Concern.MIXED_AGES:
            return voice.say("warn.mixed_ages", bin=voice.bin(subject), days=round(figure))
        case Concern.CROWDED:
            return voice.say("warn.crowded", bin=voice.bin(subject), n=voice.rounded(figure), room=voice.rounded(ROOM))
        case _:
            raise AssertionError(f"no warning: {caution!r}")


def safety_line(voice: Voice, word: Safety) -> str:
    """Put a safety word in words."""
    is_metric = voice.farm.settings.units is TemperatureUnit.CELSIUS
    return voice.say("safety.lamp_c" if word is Safety.LAMP and is_metric else f"safety.{word}")


def created_lines(voice: Voice, before: Farm, after: Farm) -> Iterator[str]:
    """Say which bins, tubs and places were spoken of for the first time."""
    for name in after.bins:
        if name not in before.bins:
            yield voice.say("created.bin", bin=voice.bin(name))
    for name in after.tubs.names_not_in(before.tubs):
        if after.tubs[name].pulled_at is None:
            yield voice.say("created.tub", tub=voice.tub(name))
