"""JSON lines: messages in and what they mean out, timed messages in, recorded events out.

Not for playing the timed ones: that is replay.
"""

import datetime as dt
import json
from collections.abc import Iterable, Iterator
from typing import Any, Protocol

import msgspec

from bot.ports import intents
from bot.ports.messages import DEFAULT_LANGUAGE
from bot.ports.stores import Store
from core.farm.farm import Farm
from core.farm.fold import fold
from core.farm.settings import tzinfo_of
from core.journal import codec
from core.journal.event import Event


class LineError(ValueError):
    """A line cannot be used; the text is one sentence that names it."""

    def __init__(self, number: int, reason: str) -> None:
        super().__init__(f"Line {number}: {reason}.")
        self.number = number


class Reader(Protocol):
    """What reads messages."""

    def read(self, text: str, *, at: dt.datetime, farm: Farm, language: str) -> intents.Understanding:
        """Say what a text means."""
        ...


class Line(msgspec.Struct, frozen=True, kw_only=True):
    """A message or a press at a time."""

    number: int  # from 1
    at: dt.datetime
    sender: str
    text: str = ""
    press: str | None = None  # a button's label
    language: str | None = None  # as a messaging service tells it: en, es-MX


def time_of(text: str, zone: dt.tzinfo) -> dt.datetime:
    """Read an ISO time, of `zone` where it has no offset; raise ValueError where it is none."""
    at = dt.datetime.fromisoformat(text.strip())
    return at if at.tzinfo is not None else at.replace(tzinfo=zone)


def timed_lines(source: Iterable[str], zone: dt.tzinfo) -> list[Line]:
    """Read messages and presses, and put them in order of time; one without an offset is of `zone`.

    Raises
    ------
    LineError
        At the first line that is not of the form.
    """
    return sorted((_timed(number, row, zone) for number, row in _rows(source)), key=lambda line: line.at)


def meanings(source: Iterable[str], reader: Reader, farm: Farm) -> Iterator[dict[str, Any]]:
    """Say of each message what it means.

    Raises
    ------
    LineError
        At the first line that is not of the form.
    """
    zone = tzinfo_of(farm.settings.timezone)
    for number, row in _rows(source):
        if not isinstance(row.get("text"), str):
            raise LineError(number, "`text` has to be text")
        at = _at(number, row, zone).astimezone(zone)
        read = reader.read(row["text"], at=at, farm=farm, language=farm.settings.language or DEFAULT_LANGUAGE)
        yield {"id": row.get("id"), "means": [intents.to_json(intent) for intent in read.intents]}


def journal_rows(store: Store, name: str | None = None) -> Iterator[dict[str, Any]]:
    """Give the recorded events of all farms, or of the farms of that name or number."""
    with store.begin() as work:
        farms = work.farms.ids()
    for number in farms:
        with store.begin() as work:
            events = work.journal.since(number)
        farm = fold(events)
        if name is None or name.casefold() in (farm.name.casefold(), str(number)):
            zone = tzinfo_of(farm.settings.timezone)
            yield from (_journal_row(farm.name, event, zone) for event in events)


def _journal_row(farm: str, event: Event, zone: dt.tzinfo) -> dict[str, Any]:
    return {
        "farm": farm,
        "number": event.number,
        "said_at": event.said_at.astimezone(zone).isoformat(timespec="seconds"),
        "happened_at": event.happened_at.astimezone(zone).isoformat(timespec="seconds"),
        "by": event.by,
        "kind": codec.kind_of(event.body),
        **codec.slots_of(event.body),
    }


def _rows(source: Iterable[str]) -> Iterator[tuple[int, dict[str, Any]]]:
    for number, text in enumerate(source, start=1):
        if not text.strip():
            continue
        try:
            row = json.loads(text)
        except ValueError:
            raise LineError(number, "it is not JSON") from None
        if not isinstance(row, dict):
            raise LineError(number, "it is not a JSON object")
        yield number, row


def _at(number: int, row: dict[str, Any], zone: dt.tzinfo) -> dt.datetime:
    try:
        return time_of(str(row["at"]), zone)
    except (KeyError, ValueError):
        raise LineError(number, "`at` has to be a time such as 2026-07-14T08:10-06:00") from None


def _timed(number: int, row: dict[str, Any], zone: dt.tzinfo) -> Line:
    sender, said, press = row.get("from"), row.get("text"), row.get("press")
    if not isinstance(sender, str) or not sender.strip():
        raise LineError(number, "`from` has to be a name")
    if (said is None) == (press is None) or not isinstance(press if said is None else said, str):
        raise LineError(number, "it has to have either `text` or `press`")
    language = row.get("language")
    if language is not None and not isinstance(language, str):
        raise LineError(number, "`language` has to be a code such as es")
    at = _at(number, row, zone)
    return Line(number=number, at=at, sender=sender.strip(), text=said or "", press=press, language=language)
