"""A farm that begins in mid-season: a short description into the events that would have made it.

The description is a JSON object: name, timezone, units, now, people, places, bins, tubs, orders, stock,
last_chore_asked, last_note; each may be missing but `now`. Not for a farm that grows from messages.
"""

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any

from core.farm.settings import tzinfo_of
from core.journal import codec
from core.journal.event import Body, Event


class OpeningError(ValueError):
    """The description lacks something or has something of the wrong form."""


_Entry = tuple[Body, dt.datetime]


def opening_events(description: Mapping[str, Any]) -> tuple[Event, ...]:
    """Give the events of a described farm, numbered from 1, all said at its `now`.

    Raises
    ------
    OpeningError
        Where the description is not of its form.
    """
    try:
        now = dt.datetime.fromisoformat(description["now"]).astimezone(tzinfo_of(description.get("timezone", "UTC")))
        entries = list(_entries(description, now))
    except (KeyError, TypeError, ValueError) as error:
        raise OpeningError(f"the farm's description cannot be read: {error!r}") from error
    return tuple(
        Event(number=number, said_at=now, happened_at=at, by="", message="opening", body=body)
        for number, (body, at) in enumerate(entries, start=1)
    )


def _entries(farm: Mapping[str, Any], now: dt.datetime) -> Iterator[_Entry]:
    yield from _founding(farm, now)
    for row in farm.get("bins", ()):
        yield from _bin(row, now)
    for row in farm.get("tubs", ()):
        yield from _tub(row, now)
    for row in farm.get("orders", ()):
        yield codec.body_of("order", row), now
    for row in farm.get("stock", ()):
        yield codec.body_of("bought", row), now
    yield from _latest(farm, now)


def _founding(farm: Mapping[str, Any], now: dt.datetime) -> Iterator[_Entry]:
    start = now - dt.timedelta(days=365)  # before all else that the description tells
    for what in ("name", "timezone", "units"):
        if what in farm:
            yield codec.body_of("set", {"what": what, "to": farm[what]}), start
    for row in farm.get("people", ()):
        yield codec.body_of("joined", row), start
    for row in farm.get("places", ()):
        yield codec.body_of("add", {"what": "place", **row}), start


def _bin(row: Mapping[str, Any], now: dt.datetime) -> Iterator[_Entry]:
    name, zone = row["name"], now.tzinfo
    yield codec.body_of("add", {"what": "bin", "name": name}), now - dt.timedelta(days=364)
    if "hatched" in row:
        stocked = {"bin": name, "tubs": row.get("from"), "count": row.get("count")}
        at = dt.datetime.fromisoformat(row["hatched"]).replace(hour=12, tzinfo=zone)
        yield codec.body_of("stocked", {k: v for k, v in stocked.items() if v is not None}), at
    if row.get("holds") == "adults":
        at = dt.datetime.fromisoformat(row["chirp"]) if "chirp" in row else now
        yield codec.body_of("adults", {"bin": name}), at
    for kind in ("chirp", "tray_in"):
        if kind in row:
            yield codec.body_of(kind, {"bin": name}), dt.datetime.fromisoformat(row[kind])


def _tub(row: Mapping[str, Any], now: dt.datetime) -> Iterator[_Entry]:
    pulled_at = dt.datetime.fromisoformat(row["pulled"]) if "pulled" in row else now
    if "from" not in row:
        yield codec.body_of("add", {"what": "tub", "name": row["name"]}), pulled_at
        return
    slots = {"bin": row["from"], "tub": row["name"], "place": row.get("place"), "cover": row.get("covered")}
    yield codec.body_of("tray_out", {k: v for k, v in slots.items() if v is not None}), pulled_at


def _latest(farm: Mapping[str, Any], now: dt.datetime) -> Iterator[_Entry]:
    note = farm.get("last_note")
    at = dt.datetime.fromisoformat(note["at"]) if note and "at" in note else now
    if "last_chore_asked" in farm:
        place = note.get("place") if note else None
        tubs = [t["name"] for t in farm.get("tubs", ()) if t.get("place") == place and not t.get("covered")]
        asked = {"chore": farm["last_chore_asked"], "due": at.isoformat(), "place": place, "tubs": tubs}
        yield codec.body_of("asked", {k: v for k, v in asked.items() if v is not None}), at
    if note:
        slots = {k: v for k, v in note.items() if k not in {"kind", "at"}}
        yield codec.body_of(note["kind"], slots), at
