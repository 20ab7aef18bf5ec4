"""A farm that begins in mid-season: a short description into the events that would have made it.

The description is a JSON object: name, timezone, units, now, people, places, bins, tubs, orders, stock,
last_chore_asked, last_note; each may be missing but `now`. Not for a farm that grows from messages.
"""

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

from core.farm.farm import Settings
from core.farm.settings import tzinfo_of, with_setting
from core.journal import codec
from core.journal.event import Body, Event
from core.journal.kinds import Setting

SOMEBODY = "somebody"  # who said what was noted last, where the description names no people


class OpeningError(ValueError):
    """The description lacks something or has something of the wrong form."""


_Dated = tuple[Body, dt.datetime]
_Entry = tuple[Body, dt.datetime, str]  # what, when, by whom; by nobody: known from the description


def opening_events(description: Mapping[str, Any]) -> tuple[Event, ...]:
    """Give the events of a described farm, numbered from 1, all said at its `now`.

    Raises
    ------
    OpeningError
        Where the description is not of its form.
    """
    try:
        zone = tzinfo_of(description.get("timezone", "UTC"))
        now = _time(description["now"], zone).astimezone(zone)
        entries = list(_entries(description, now))
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError, msgspec.ValidationError) as error:
        raise OpeningError(f"the farm's description cannot be read: {error!r}") from error
    return tuple(
        Event(number=number, said_at=now, happened_at=at, by=by, message="opening", body=body)
        for number, (body, at, by) in enumerate(entries, start=1)
    )


def _time(text: str, zone: dt.tzinfo | None) -> dt.datetime:
    """Read a time; one without an offset is on the farm's clocks."""
    at = dt.datetime.fromisoformat(text)
    return at if at.tzinfo is not None else at.replace(tzinfo=zone)


def _entries(farm: Mapping[str, Any], now: dt.datetime) -> Iterator[_Entry]:
    for body, at in _state(farm, now):
        yield body, at, ""
    if farm.get("last_note"):
        yield _note(farm, farm["last_note"], now)


def _state(farm: Mapping[str, Any], now: dt.datetime) -> Iterator[_Dated]:
    yield from _founding(farm, now)
    for row in farm.get("bins", ()):
        yield from _bin(row, now)
    for row in farm.get("tubs", ()):
        yield from _tub(row, now)
    for row in farm.get("orders", ()):
        yield codec.body_of("order", row), now
    for row in farm.get("stock", ()):
        yield codec.body_of("bought", row), now
    if "last_chore_asked" in farm:
        yield _asked(farm, farm.get("last_note") or {}, now)


def _founding(farm: Mapping[str, Any], now: dt.datetime) -> Iterator[_Dated]:
    start = now - dt.timedelta(days=365)  # before all else that the description tells
    for what in ("name", "timezone", "units"):
        if what in farm:
            wanted = codec.body_of("set", {"what": what, "to": farm[what]})
            with_setting(Settings(), Setting(what), farm[what])  # to refuse what it cannot be
            yield wanted, start
    for row in farm.get("people", ()):
        yield codec.body_of("joined", row), start
    for row in farm.get("places", ()):
        yield codec.body_of("add", {"what": "place", **row}), start


def _bin(row: Mapping[str, Any], now: dt.datetime) -> Iterator[_Dated]:
    name, zone = row["name"], now.tzinfo
    yield codec.body_of("add", {"what": "bin", "name": name}), now - dt.timedelta(days=364)
    if "hatched" in row:
        stocked = {"bin": name, "tubs": row.get("from"), "count": row.get("count")}
        at = dt.datetime.fromisoformat(row["hatched"]).replace(hour=12, tzinfo=zone)
        yield codec.body_of("stocked", {k: v for k, v in stocked.items() if v is not None}), at
    if row.get("holds") == "adults":
        at = _time(row["chirp"], zone) if "chirp" in row else now
        yield codec.body_of("adults", {"bin": name}), at
    for kind in ("chirp", "tray_in"):
        if kind in row:
            yield codec.body_of(kind, {"bin": name}), _time(row[kind], zone)


def _tub(row: Mapping[str, Any], now: dt.datetime) -> Iterator[_Dated]:
    pulled_at = _time(row["pulled"], now.tzinfo) if "pulled" in row else now
    if "from" not in row:
        yield codec.body_of("add", {"what": "tub", "name": row["name"]}), pulled_at
        if "place" in row:
            yield codec.body_of("placed", {"tubs": [row["name"]], "place": row["place"]}), pulled_at
        if "covered" in row:
            yield codec.body_of("covered", {"tubs": [row["name"]], "on": row["covered"]}), pulled_at
        return
    slots = {"bin": row["from"], "tub": row["name"], "place": row.get("place"), "cover": row.get("covered")}
    yield codec.body_of("tray_out", {k: v for k, v in slots.items() if v is not None}), pulled_at


def _asked(farm: Mapping[str, Any], note: Mapping[str, Any], now: dt.datetime) -> _Dated:
    """Give the reminder that went out last, for what the last note is about where there is one."""
    at, place = _time(note["at"], now.tzinfo) if "at" in note else now, note.get("place")
    tubs = [t["name"] for t in farm.get("tubs", ()) if t.get("place") == place and not t.get("covered")]
    asked = {"chore": farm["last_chore_asked"], "due": at.isoformat(), "place": place, "tubs": tubs}
    return codec.body_of("asked", {k: v for k, v in asked.items() if v is not None}), at


def _note(farm: Mapping[str, Any], note: Mapping[str, Any], now: dt.datetime) -> _Entry:
    """Give what was noted last; a person said it, so that a correction can mean it."""
    people = [row["name"] for row in farm.get("people", ())]
    at = _time(note["at"], now.tzinfo) if "at" in note else now
    slots = {k: v for k, v in note.items() if k not in {"kind", "at", "by"}}
    return codec.body_of(note["kind"], slots), at, note.get("by") or next(iter(people), SOMEBODY)
