"""Answers from the journal: when something was last done, and who did it.

Not for the state that it led to: status.
"""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from itertools import dropwhile, islice, takewhile
from typing import Any

from msgspec.structs import replace

from bot.replies.recorded import recorded_line
from bot.replies.voice import Voice
from core.farm.fold import FarmFold
from core.journal import codec
from core.journal.event import Body, Event
from core.journal.record import Record
from core.journal.wants import Done
from core.rules import hours

MOST_ROWS = 5
MOST_OF_A_DAY = 500  # records that are counted

# A chore that was done is a fact of this kind, too.
_DONE_AS = {
    "water": "watered",
    "mold_check": "mold",
    "hatch_check": "hatch",
    "feed": "fed",
    "bin_water": "watered",
    "clean": "cleaned",
}


def last_time(voice: Voice, fold: FarmFold, slots: Mapping[str, Any]) -> str:
    """Say when something was last done, by whom."""
    subject = {n: slots[n] for n in ("bin", "tub", "place") if n in slots}
    found = (e for e in _of_kind(fold, slots.get("of")) if _is_about(voice, e.body, subject))
    return _told(voice, list(islice(found, 1)))


def who(voice: Voice, fold: FarmFold, slots: Mapping[str, Any]) -> str:
    """Say who did something, on a day or at the last."""
    found = _of_kind(fold, slots.get("of"))
    day = slots.get("day")
    if not isinstance(day, dt.date):
        return _told(voice, list(islice(found, 1)))
    since = hours.at_time(voice.farm, day, dt.time())
    until = hours.at_time(voice.farm, day + dt.timedelta(days=1), dt.time())
    of_day = takewhile(lambda e: e.happened_at >= since, dropwhile(lambda e: e.happened_at >= until, found))
    told = list(islice(of_day, MOST_OF_A_DAY))
    before = voice.say("people.before", n=len(told) - MOST_ROWS) + "\n" if len(told) > MOST_ROWS else ""
    return before + _told(voice, told[:MOST_ROWS][::-1])


def _of_kind(fold: FarmFold, kind: str | None) -> Iterator[Event]:
    """Give what people told of a kind, or of any, the last first."""
    records: list[type[Record]] = [codec.RECORDS[kind]] if kind is not None else []
    if kind in _DONE_AS.values():
        records.append(Done)
    for entry in fold.newest_first(*records):
        done_as = _DONE_AS.get(entry.body.chore) if isinstance(entry.body, Done) else None
        if entry.by and kind in {None, codec.kind_of(entry.body), done_as}:
            yield entry


def _is_about(voice: Voice, body: Body, subject: Mapping[str, str]) -> bool:
    if getattr(body, "all", False):
        return True
    tub = voice.farm.tubs.find(subject.get("tub", ""))
    if tub is not None and tub.place is not None and getattr(body, "place", None) == tub.place:
        return True
    return all(
        value == getattr(body, name, None) or value in getattr(body, f"{name}s", ()) for name, value in subject.items()
    )


def _told(voice: Voice, found: Sequence[Event]) -> str:
    if not found:
        return voice.say("recall.none")
    return "\n".join(_line(voice, entry) for entry in found)


def _line(voice: Voice, entry: Event) -> str:
    at_once = replace(entry, said_at=entry.happened_at)  # its time is told once, at the end
    told = recorded_line(voice, voice.farm, at_once).rstrip(".")
    return voice.say("recall.told", line=told, who=entry.by, when=voice.when(entry.happened_at))
