"""Answers about how things stand: a bin, a tub, a place, and their climate.

Not for what is to be done: worklist. Not for the whole farm: board.
"""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

from bot.replies.hatching import days_left
from bot.replies.recorded import reading_parts
from bot.replies.voice import Voice
from core.farm.farm import Bin, Climate, Place, Tub
from core.journal.kinds import Holds
from core.rules import hours, laying
from core.rules.eggs import clutch_of
from core.rules.forecasts import Forecast
from core.rules.growth import BIN_C, growth_of
from core.rules.moisture import wants_water_at
from core.rules.surroundings import assumed_c

MOST_ROWS = 12
SIZE_HOLDS = dt.timedelta(days=5)  # a size that was seen is not reckoned anew before
TOLD_BY_THE_HOUR = dt.timedelta(hours=36)  # a time further off is told by its day


def bin_status(voice: Voice, house: Bin) -> str:
    """Say how a bin stands."""
    return "\n".join(_bin_lines(voice, house))


def _bin_lines(voice: Voice, house: Bin) -> Iterator[str]:
    say = voice.say
    name = voice.subject(voice.bin(house.name))
    count = say("status.about_count", count=voice.number(house.count)) if house.count else ""
    holds = "nothing" if house.holds is Holds.NOTHING else house.holds
    yield say("status.bin", bin=name, holds=say(f"status.{holds}"), count=count)
    if house.held_since is not None:
        yield say("losses.is_held", when=voice.when(house.held_since))
    if house.hatched_at is not None and house.holds is not Holds.ADULTS:
        yield say("status.hatched", day=voice.day(house.hatched_at))
    if house.size is not None:
        yield say("status.size", size=voice.size(house.size))
    yield from _growth_lines(voice, house)
    if house.chirped_at is not None:
        yield say("status.chirping", day=voice.day(house.chirped_at))
    yield from _tray_lines(voice, house)
    if house.readings:
        yield _last_reading(voice, house.readings[-1])
    if house.watered_at is not None:
        yield say("status.watered", when=voice.when(house.watered_at))
    if house.fed_at is not None:
        yield say("status.fed", when=voice.when(house.fed_at))


def _growth_lines(voice: Voice, house: Bin) -> Iterator[str]:
    """Say how big the crickets should be by now, and when the first have wings."""
    found = growth_of(voice.farm, house, voice.now)
    if found is None:
        return
    if not any(voice.now - at < SIZE_HOLDS for at, _ in house.sizes):
        yield voice.say("status.grown", size=voice.size(found.body.size))
    if found.adult is not None and found.adult.latest > voice.now:
        yield voice.say("status.adult", about=voice.about(found.adult))
    if found.is_assumed:
        yield voice.say("status.bin_assumed", temp=voice.temp(BIN_C))


def _tray_lines(voice: Voice, house: Bin) -> Iterator[str]:
    if house.tray is not None:
        due = laying.pull_steps(voice.farm, house)[0].due
        key = "status.tray" if due > voice.now else "status.tray_due"
        yield voice.say(key, when=voice.when(house.tray.put_in_at), due=voice.when(due))
    elif house.chirped_at is not None and (house.tray_in_at is None or house.tray_in_at < house.chirped_at):
        first, last = (hours.days_later(voice.farm, house.chirped_at, days) for days in laying.TRAY_STEPS[1:])
        yield voice.say("status.next_tray", first=voice.day(first), last=voice.day(last))


def _last_reading(voice: Voice, reading: Climate) -> str:
    return voice.say("status.temp", reading=reading_of(voice, reading), when=voice.when(reading.at))


def reading_of(voice: Voice, reading: Climate) -> str:
    """Give the figures of a reading."""
    return ", ".join(reading_parts(voice, reading.temp_c, reading.low_c, reading.high_c, reading.rh))


def tub_status(voice: Voice, tub: Tub, known: Mapping[str, Forecast]) -> str:
    """Say how a tub stands."""
    return "\n".join(_tub_lines(voice, tub, known))


def _tub_lines(voice: Voice, tub: Tub, known: Mapping[str, Forecast]) -> Iterator[str]:
    say = voice.say
    name, cover = voice.subject(voice.tub(tub.name)), say("status.covered" if tub.is_covered else "status.uncovered")
    if tub.is_incubating:
        where = voice.at_place(tub.place) if tub.place else ""
        yield say("status.tub" if tub.place else "status.tub_nowhere", tub=name, where=where, cover=cover)
    else:
        yield days_left(voice, tub.name, known)
    if tub.bin is not None and tub.pulled_at is not None:
        yield say("status.from_bin", bin=voice.bin(tub.bin), when=voice.at(tub.pulled_at))
    if tub.is_incubating:
        yield days_left(voice, tub.name, known)
        yield from _clutch_line(voice, tub)
    if tub.watered_at is not None:
        yield say("status.watered", when=voice.when(tub.watered_at))
    if tub.is_incubating:
        yield from _water_line(voice, tub)
    if tub.mold_at is not None:
        yield say("status.mold", when=voice.when(tub.mold_at))
    if tub.dry_at is not None and (tub.watered_at is None or tub.watered_at < tub.dry_at):
        yield say("status.dry", when=voice.when(tub.dry_at))


def _clutch_line(voice: Voice, tub: Tub) -> Iterator[str]:
    """Say how many eggs there may be."""
    found = clutch_of(voice.farm, tub)
    if found is not None and found.eggs.likely >= 1:
        least, most = (voice.rounded(number) for number in (found.pinheads.least, found.pinheads.most))
        yield voice.say("status.eggs", eggs=voice.rounded(found.eggs.likely), least=least, most=most)


def _water_line(voice: Voice, tub: Tub) -> Iterator[str]:
    """Say when it will want water again."""
    wanted_at = wants_water_at(voice.farm, tub, voice.now)
    if wanted_at is not None and wanted_at <= voice.now:
        yield voice.say("status.wants_water_now")
    elif wanted_at is not None:
        hour = (wanted_at + dt.timedelta(minutes=30)).replace(minute=0, second=0, microsecond=0)
        is_soon = wanted_at - voice.now < TOLD_BY_THE_HOUR
        yield voice.say("status.wants_water", when=voice.when(hour) if is_soon else voice.day(hour))


def place_status(voice: Voice, place: Place, known: Mapping[str, Forecast]) -> str:
    """Say how a place stands, with its tubs."""
    tubs = [t for t in voice.farm.incubating() if t.place == place.name]
    name = voice.subject(place.name)
    told = voice.tubs([t.name for t in tubs])
    lines = [
        voice.say("status.place", place=name, tubs=told) if tubs else voice.say("status.place_empty", place=name)
    ]  # fmt: skip
    lines.append(climate_line(voice, voice.at_place(place.name), place.readings, "none", assumed=assumed_c(place)))
    lines += [days_left(voice, t.name, known).split("\n")[0] for t in tubs[:MOST_ROWS]]
    return "\n".join(lines)


def climate(voice: Voice, *, place: str | None, bin_: str | None, tub: str | None) -> str:
    """Say what was read last, in one place or in each."""
    farm = voice.farm
    if bin_ is not None:
        name = voice.bin(bin_)
        return climate_line(voice, name, farm.bins[bin_].readings, "none_bin", what={"bin": name})
    if tub is not None:
        found = farm.tubs[tub]
        if found.readings or found.place is None:
            name = voice.tub(tub)
            return climate_line(voice, name, found.readings, "none_tub", what={"tub": name})
        place = found.place
    if place is not None:
        where = farm.places[place]
        return climate_line(voice, place, where.readings, "none", assumed=assumed_c(where))
    read = [p for p in farm.places.values() if p.readings]
    if not read:
        return voice.say("climate.none_farm")
    return "\n".join(climate_line(voice, p.name, p.readings, "none") for p in read)


def climate_line(
    voice: Voice,
    where: str,
    readings: Sequence[Climate],
    none: str,
    *,
    what: Mapping[str, str] | None = None,
    assumed: float | None = None,
) -> str:
    """Give the last reading of something: its last temperature, and its last humidity where that was read apart."""
    if readings:
        last = readings[-1]
        told = reading_of(voice, last)
        return voice.say("climate.line", where=voice.subject(where), reading=told, when=voice.when(last.at))
    fields = what or {"where": voice.at_place(where) if where in voice.farm.places else where}
    lines = [voice.say(f"climate.{none}", **fields)]
    if assumed is not None:
        lines.append(voice.say("climate.assumed", temp=voice.temp(assumed)))
    return " ".join(lines)
