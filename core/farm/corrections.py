"""Undo and fix: which events are in force, and in what form.

Not for what the events then do to the farm: that is fold.
"""

import contextlib
from collections.abc import Iterable, Sequence
from typing import Any

import msgspec
from msgspec.structs import replace

from core.journal import codec, event
from core.journal.event import Event
from core.journal.wants import Fix, Undo


def undone(events: Iterable[Event]) -> frozenset[int]:
    """Give the numbers of the events that were taken back; an undo that was itself taken back takes nothing back."""
    gone: set[int] = set()
    for entry in sorted(events, key=lambda e: e.number, reverse=True):
        if isinstance(entry.body, Undo) and entry.number not in gone:
            gone.update(number for number in entry.body.of if number < entry.number)
    return frozenset(gone)


def in_force(events: Sequence[Event]) -> list[Event]:
    """Give the events that hold, put right and in the order of the fold; undo and fix themselves are left out.

    A fix that leaves no record of its kind is left out too: it may have fitted until another fix was taken back, and
    one misfit must not make the journal unreadable.
    """
    gone = undone(e for e in events if isinstance(e.body, Undo))
    fixes: dict[int, list[Event]] = {}
    for entry in sorted(events, key=lambda e: e.number):
        if isinstance(entry.body, Fix) and entry.number not in gone and entry.body.of < entry.number:
            fixes.setdefault(entry.body.of, []).append(entry)
    kept = (e for e in events if e.number not in gone and not isinstance(e.body, Undo | Fix))
    return sorted((_put_right(e, fixes.get(e.number, ())) for e in kept), key=event.order)


def last_recorded(events: Sequence[Event], by: str) -> tuple[Event, ...]:
    """Give what a person's last message recorded and what still stands of it, fixes included, undos not."""
    gone = undone(e for e in events if isinstance(e.body, Undo))
    return last_message([e for e in events if e.number not in gone and not isinstance(e.body, Undo)], by)


def fixed(entry: Event, fix: Fix) -> Event:
    """Give an event as a fix of it would leave it; a slot that the fix sets to nothing goes.

    Raises
    ------
    core.journal.codec.Incomplete, msgspec.ValidationError
        Where the result would be no record of that kind.
    """
    slots: dict[str, Any] = {**codec.slots_of(entry.body), **fix.slots}
    body = codec.body_of(codec.kind_of(entry.body), {k: v for k, v in slots.items() if v is not None})
    return replace(entry, body=body, happened_at=fix.at or entry.happened_at)


def _put_right(entry: Event, fixes: Iterable[Event]) -> Event:
    for fix in fixes:
        if isinstance(fix.body, Fix):
            with contextlib.suppress(codec.Incomplete, msgspec.ValidationError):
                entry = fixed(entry, fix.body)
    return entry


def last_message(events: Sequence[Event], by: str | None = None) -> tuple[Event, ...]:
    """Give the events in force that the last message brought, of anybody or of one person.

    `events` are in force; what the assistant recorded on its own account does not count.
    """
    said = [e for e in events if e.by and (by is None or e.by == by)]
    if not said:
        return ()
    newest = max(said, key=lambda e: e.number)
    if not newest.message:
        return (newest,)
    return tuple(sorted((e for e in said if e.message == newest.message), key=lambda e: e.number))
