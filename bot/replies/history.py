"""Answers from the journal: when something was last done, and who did it.

Not for the state that it led to: status.
"""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from bot.replies.recorded import recorded_line
from bot.replies.voice import Voice
from core.journal import codec
from core.journal.event import Event
from core.journal.wants import Done
from core.rules import hours

MOST_ROWS = 5

# A chore that was done is a fact of this kind, too.
_DONE_AS = {"water": "watered", "mold_check": "mold", "hatch_check": "hatch"}


def last_time(voice: Voice, in_force: Sequence[Event], slots: Mapping[str, Any]) -> str:
    """Say when something was last done, by whom."""
    subject = {n: slots[n] for n in ("bin", "tub", "place") if n in slots}
    found = [e for e in _of_kind(in_force, slots.get("of")) if _is_about(voice, e, subject)]
    return _told(voice, found[-1:])


def who(voice: Voice, in_force: Sequence[Event], slots: Mapping[str, Any]) -> str:
    """Say who did something, on a day or at the last."""
    found = list(_of_kind(in_force, slots.get("of")))
    day = slots.get("day")
    if isinstance(day, dt.date):
        return _told(voice, [e for e in found if hours.local(voice.farm, e.happened_at).date() == day])
    return _told(voice, found[-1:])


def _of_kind(in_force: Sequence[Event], kind: str | None) -> Iterator[Event]:
    for entry in in_force:
        body = entry.body
        done_as = _DONE_AS.get(body.chore) if isinstance(body, Done) else None
        if entry.by and kind in {None, codec.kind_of(body), done_as}:
            yield entry


def _is_about(voice: Voice, entry: Event, subject: Mapping[str, str]) -> bool:
    slots = codec.slots_of(entry.body)
    tub = voice.farm.tubs.get(subject.get("tub", ""))
    for name, value in subject.items():
        named = {slots.get(name), *(slots.get(f"{name}s") or ())}
        is_there = tub is not None and tub.place is not None and slots.get("place") == tub.place
        if value not in named and not slots.get("all") and not is_there:
            return False
    return True


def _told(voice: Voice, found: Sequence[Event]) -> str:
    if not found:
        return voice.say("later.history_none")
    return "\n".join(_line(voice, entry) for entry in found[-MOST_ROWS:])


def _line(voice: Voice, entry: Event) -> str:
    at_once = replace(entry, said_at=entry.happened_at)  # its time is told once, at the end
    told = recorded_line(voice, voice.farm, at_once).rstrip(".")
    return voice.say("later.history", line=told, who=entry.by, when=voice.when(entry.happened_at))
