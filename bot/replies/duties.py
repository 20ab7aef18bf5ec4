"""Who does the chores when, and who is away, in words.

Not for who it is: core.rules.duty.
"""

import datetime as dt
from collections.abc import Collection

from bot.replies.voice import Voice
from core.journal.kinds import Role, Weekday
from core.journal.wants import Away, Duty
from core.rules.duty import by_day, on_duty
from core.rules.hours import local

_MONDAY = dt.date(2024, 1, 1)  # any Monday: only its name is told
_WEEK = tuple(Weekday)


def arranged(voice: Voice, want: Duty | Away) -> str:
    """Restate what was told of a person's days."""
    name = voice.subject(want.name)
    if isinstance(want, Away):
        return _away(voice, want)
    person = voice.farm.people.get(want.name)
    taken, off = (person.days, person.off) if person is not None else (frozenset(want.days), frozenset[Weekday]())
    lines = [voice.say("people.duty", name=name, days=_days(voice, taken))] if taken else []
    lines += [voice.say("people.off", name=name, days=_days(voice, off))] if off else []
    return "\n".join(lines or [voice.say("people.any_day", name=name)])


def _away(voice: Voice, want: Away) -> str:
    name = voice.subject(want.name)
    if not want.on:
        return voice.say("people.back", name=name)
    key = f"people.away{'_from' if want.start else ''}{'_until' if want.until else ''}"
    times = {"start": _when(voice, want.start), "until": _when(voice, want.until)}
    return voice.say(key, name=name, **times)


def _when(voice: Voice, at: dt.datetime | None) -> str:
    """Give the day of a time, with the hour where it is not midnight."""
    if at is None:
        return ""
    is_midnight = local(voice.farm, at).time() == dt.time()
    return voice.day(at) if is_midnight else voice.when(at)


def _days(voice: Voice, days: Collection[Weekday]) -> str:
    if len(days) == len(_WEEK):
        return voice.say("people.every_day")
    names = voice.words.words("days")
    return voice.listed([names[number] for number, day in enumerate(_WEEK) if day in days])


def cover(voice: Voice) -> str:
    """Say who does the chores now, where that is not everybody who may."""
    names = on_duty(voice.farm, voice.now)
    workers = [person for person in voice.farm.people.values() if person.role is not Role.LOOKER_ON]
    return voice.say("people.on_now", names=voice.listed(names)) if len(names) < len(workers) else ""


def roster(voice: Voice, first: dt.date | None, days: int) -> str:
    """Say who is on duty: now, or on each of some days."""
    if first is None and days == 1:
        names = on_duty(voice.farm, voice.now)
        return voice.say("people.on_now", names=voice.listed(names)) if names else voice.say("people.nobody")
    lines: list[str] = []
    for day, names in by_day(voice.farm, first or local(voice.farm, voice.now).date(), days):
        lines.append(voice.say("people.on_day", day=voice.subject(voice.day(day)), names=voice.listed(names)))
    return "\n".join(lines)
