"""Answers about numbers: how many there are, when a bin is ready for what, and whether so many can be done by a day.

Not for orders as such: those have words of their own.
"""

import datetime as dt
from collections.abc import Iterator, Mapping

import msgspec

from bot.replies.voice import Voice
from core.farm.farm import Bin
from core.journal.kinds import Holds
from core.rules import laying
from core.rules.breeders import laying_span
from core.rules.eggs import clutch_of
from core.rules.forecasts import Forecast
from core.rules.growth import BIN_C, course_of, growth_of, is_assumed
from core.rules.hours import days_later, local
from core.rules.supply import LIKELY, YES, Supply, alive_now
from core.science.availability import Amount
from core.units import SizeGrade

LEAST_SHARE = 0.02  # of all: a size with less is not told
MOST_SIZES = 6
MOST_SOURCES = 4


class Ask(msgspec.Struct, frozen=True, kw_only=True):
    """What somebody asks to be done."""

    size: SizeGrade
    count: int
    day: dt.date
    promised: int = 0  # crickets of all sizes that others get by then
    first: dt.date | None = None  # the first day from then on that has so many; None: none was found
    best: tuple[dt.date, Amount] | None = None  # the day that has the most, where none has so many


def count_of_bin(voice: Voice, known: Mapping[str, Forecast], house: Bin) -> str:
    """Say how many are in a bin."""
    name = voice.subject(voice.bin(house.name))
    found = alive_now(voice.farm, known, voice.now)
    there = dict(found.sources(found.days[0])).get(house.name)
    if there is None:
        is_empty = house.holds is Holds.NOTHING or house.name not in found.uncounted
        return voice.say("outlook.bin_empty" if is_empty else "outlook.bin_uncounted", bin=name)
    lines = [voice.say("outlook.bin", bin=name, **_amount(voice, there))]
    if house.count is not None and house.count != there.likely:
        lines.append(voice.say("outlook.book", count=voice.number(house.count)))
    return "\n".join(lines)


def count_of_tub(voice: Voice, name: str) -> str:
    """Say how many eggs are in a tub."""
    clutch = clutch_of(voice.farm, voice.farm.tubs[name])
    tub = voice.subject(voice.tub(name))
    if clutch is None or clutch.eggs.likely < 1:
        return voice.say("outlook.tub_uncounted", tub=tub)
    least, most = (voice.rounded(number) for number in (clutch.pinheads.least, clutch.pinheads.most))
    told = voice.say("status.eggs", eggs=voice.rounded(clutch.eggs.likely), least=least, most=most)
    return f"{tub}: {told[:1].lower()}{told[1:]}"


def by_size(voice: Voice, found: Supply, day: dt.date) -> str:
    """Say how many there are of each size on a day."""
    everything = found.on(day)
    if not everything.likely:
        return "\n".join([voice.say("outlook.none"), *_left_out(voice, found)])
    today = local(voice.farm, voice.now).date()
    key = "outlook.all" if day == today else "outlook.all_on"
    lines = [voice.say(key, day=voice.day(day), **_amount(voice, everything))]
    sizes = [(size, there) for size, there in found.sizes(day) if there.likely > LEAST_SHARE * everything.likely]
    lines += [
        voice.say("outlook.of_size", crickets=voice.crickets(_two_digits(there.likely), size))
        for size, there in sorted(sizes, key=lambda row: -row[1].likely)[:MOST_SIZES]
    ]
    return "\n".join([*lines, *_left_out(voice, found)])


def of_size(voice: Voice, found: Supply, day: dt.date, size: SizeGrade) -> str:
    """Say how many of a size there are on a day, and where."""
    there = found.on(day, size)
    sources = list(_sources(voice, found, day, size))
    lines = [voice.say("outlook.there", day=voice.day(day), size=voice.size(size), **_amount(voice, there))]
    lines += sources if len(sources) > 1 else []
    return "\n".join([*lines, *_left_out(voice, found)])


def can_do(voice: Voice, ask: Ask, found: Supply) -> str:
    """Say whether so many can be done by a day: yes, likely, or how many, and when."""
    there, chance = found.on(ask.day, ask.size), found.chance(ask.day, ask.size, ask.count)
    told = {"day": voice.day(ask.day), "size": voice.size(ask.size), **_amount(voice, there)}
    wanted = voice.crickets(ask.count, ask.size)
    key = "yes" if chance >= YES else "likely" if chance >= LIKELY else "no" if there.likely else "no_none"
    lines = [voice.say(f"outlook.{key}", wanted=wanted, **told)]
    if ask.promised and there.likely:
        lines.append(voice.say("outlook.promised", count=voice.number(ask.promised)))
    if chance >= LIKELY:
        return "\n".join([*lines, *_picks(voice, found, ask)])
    sources = list(_sources(voice, found, ask.day, ask.size))
    lines += sources if len(sources) > 1 else []
    lines += _later(voice, ask, there)
    return "\n".join([*lines, *_left_out(voice, found)])


def when_can(voice: Voice, ask: Ask, found: Supply) -> str:
    """Say from when on there will be so many."""
    lines = list(_later(voice, ask, Amount(least=0, likely=0, most=0)))
    return "\n".join(lines if ask.first is not None else [*lines, *_left_out(voice, found)])


def _later(voice: Voice, ask: Ask, there: Amount) -> Iterator[str]:
    """Say when there will be enough, or when there will be the most."""
    wanted = voice.crickets(ask.count, ask.size)
    if ask.first is not None:
        yield voice.say("outlook.first_day", wanted=wanted, day=voice.day(ask.first))
        return
    yield voice.say("outlook.no_day", wanted=wanted)
    if ask.best is not None and _two_digits(ask.best[1].likely) > _two_digits(there.likely):
        yield voice.say("outlook.best_day", day=voice.day(ask.best[0]), **_amount(voice, ask.best[1]))


def ready_for_size(voice: Voice, house: Bin, size: SizeGrade) -> str:
    """Say when most of a bin will be of a size."""
    name, course = voice.subject(voice.bin(house.name)), course_of(voice.farm, house)
    if course is None:
        return voice.say("outlook.age_unknown", bin=name)
    at = course.adults if size in {SizeGrade.ADULT, SizeGrade.INCH} else dict(course.sizes).get(size)
    if at is None:
        return voice.say("outlook.never", bin=name, size=voice.size(size))
    key = "outlook.ready" if at > voice.now else "outlook.ready_since"
    lines = [voice.say(key, bin=name, size=voice.size(size), day=voice.day(at))]
    return "\n".join([*lines, *_assumed(voice, house)])


def ready_to_harvest(voice: Voice, house: Bin, *, in_short: bool = False) -> str:
    """Say how far a bin is and what comes next: sizes, wings."""
    name, course = voice.subject(voice.bin(house.name)), course_of(voice.farm, house)
    if house.holds is Holds.ADULTS:
        return voice.say("outlook.harvest_now", bin=name)
    grown = growth_of(voice.farm, house, voice.now)
    if course is None or grown is None:
        return voice.say("outlook.age_unknown", bin=name)
    coming = [(size, at) for size, at in course.sizes if at > voice.now][:2]
    lines = [voice.say("outlook.now", bin=name, size=voice.size(grown.body.size))]
    lines += [voice.say("outlook.then", size=voice.size(size), day=voice.day(at)) for size, at in coming]
    if in_short:
        return " ".join(lines[:2])
    if course.first_adults is not None and course.first_adults > voice.now:
        lines.append(voice.say("outlook.before_wings", day=voice.day(course.first_adults)))
    return "\n".join([*lines, *_assumed(voice, house)])


def ready_to_lay(voice: Voice, house: Bin) -> str:
    """Say when a bin can get a lay tray."""
    name = voice.subject(voice.bin(house.name))
    if house.tray is not None:
        return voice.say("outlook.has_tray", bin=name, when=voice.when(house.tray.put_in_at))
    if house.chirped_at is not None:
        first, last = (days_later(voice.farm, house.chirped_at, days) for days in laying.TRAY_STEPS[1:])
        if last > voice.now:
            return voice.say("outlook.tray_days", bin=name, first=voice.day(first), last=voice.day(last))
        return voice.say("outlook.tray_now", bin=name)
    span = laying_span(voice.farm, house, voice.now)
    if span is None:
        return voice.say("outlook.age_unknown" if house.holds is not Holds.NOTHING else "outlook.bin_empty", bin=name)
    if span[0] <= voice.now:
        return voice.say("outlook.tray_now", bin=name)
    return "\n".join([voice.say("outlook.tray_from", bin=name, day=voice.day(span[0])), *_assumed(voice, house)])


def _assumed(voice: Voice, house: Bin) -> Iterator[str]:
    if is_assumed(house):
        yield voice.say("status.bin_assumed", temp=voice.temp(BIN_C))


def _picks(voice: Voice, found: Supply, ask: Ask) -> Iterator[str]:
    """Say from which bins to take them: the fullest first."""
    left, parts = ask.count, []
    for name, there in found.sources(ask.day, ask.size):
        taken = min(left, there.likely)
        if taken > 0:
            parts.append(voice.say("outlook.from", count=voice.number(taken), where=_where(voice, name)))
        left -= taken
    if parts:
        yield voice.say("outlook.take", parts=voice.listed(parts))


def _sources(voice: Voice, found: Supply, day: dt.date, size: SizeGrade) -> Iterator[str]:
    for name, there in found.sources(day, size)[:MOST_SOURCES]:
        if _two_digits(there.likely):
            yield voice.say("outlook.in", where=voice.subject(_where(voice, name)), **_amount(voice, there))


def _where(voice: Voice, name: str) -> str:
    return voice.bin(name) if name in voice.farm.bins else voice.tub(name)


def _left_out(voice: Voice, found: Supply) -> Iterator[str]:
    if found.uncounted:
        yield voice.say("stock.uncounted", bins=voice.bins(found.uncounted))
    if found.held_back:
        yield voice.say("outlook.held_back", bins=voice.bins(sorted(found.held_back)))


def _amount(voice: Voice, there: Amount) -> dict[str, str]:
    return {name: voice.rounded(getattr(there, name)) for name in ("least", "likely", "most")}


def _two_digits(count: int) -> int:
    return round(float(f"{count:.2g}"))
