"""Undo and fix: which events are in force, and in what form.

Not for what the events then do to the farm: that is fold.
"""

import contextlib
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from heapq import heappop, heappush
from typing import Any

import msgspec
from msgspec.structs import replace

from core.journal import codec
from core.journal.event import Event
from core.journal.wants import Fix, Undo


class Standing:
    """A journal, and what stands of it. News cost what they change, however much has been written."""

    def __init__(self) -> None:
        self.events: list[Event] = []  # by number
        self._gone: set[int] = set()  # taken back
        self._undone_by: dict[int, list[int]] = {}  # the undos that name an event, in force or not
        self._fixes: dict[int, list[Event]] = {}  # of an event, in force or not, by number
        self._told: list[int] = []  # what people told; no undo, no fix
        self._told_by: dict[str, list[int]] = {}  # the same by person, with their fixes
        self._first_of: dict[str, int] = {}  # by message, most of which bring one
        self._others_of: dict[str, list[int]] = {}

    @property
    def last_number(self) -> int:
        """The highest number; 0 where nothing is written."""
        return self.events[-1].number if self.events else 0

    def take(self, news: Iterable[Event]) -> dict[int, Event | None]:
        """Take events with higher numbers than any before, by number.

        Gives the numbers of what is in force in another form than before, each with its form before.
        """
        before: dict[int, Event | None] = {}
        for entry in news:
            self.events.append(entry)
            self._list(entry)
            match entry.body:
                case Undo(of=numbers):
                    self._take_back(entry, numbers, before)
                case Fix(of=number):
                    if number < entry.number:
                        before.setdefault(number, self.in_force(number))
                        self._fixes.setdefault(number, []).append(entry)
                case _:
                    before[entry.number] = None
        return before

    def event(self, number: int) -> Event | None:
        """Give an event as it was written."""
        at = number - 1  # mostly none is missing
        if not 0 <= at < len(self.events) or self.events[at].number != number:
            at = bisect_left(self.events, number, key=lambda e: e.number)
        return self.events[at] if at < len(self.events) and self.events[at].number == number else None

    def is_gone(self, number: int) -> bool:
        """Tell whether an event was taken back; an undo that was itself taken back takes nothing back."""
        return number in self._gone

    def was_named_by_an_undo(self, number: int) -> bool:
        """Tell whether an event was ever taken back, be it that the undo was taken back since."""
        return number in self._undone_by

    def in_force(self, number: int) -> Event | None:
        """Give an event as it was put right, where it is in force; undo and fix themselves never are."""
        found = self.event(number)
        return None if found is None else self.form(found)

    def form(self, entry: Event) -> Event | None:
        """Give one of the events as it was put right, where it is in force.

        A fix that leaves no record of its kind is left out: it may have fitted until another fix was taken back, and
        one misfit must not make the journal unreadable.
        """
        if entry.number in self._gone or isinstance(entry.body, Undo | Fix):
            return None
        fixes = self._fixes.get(entry.number, ())
        return _put_right(entry, (fix for fix in fixes if fix.number not in self._gone)) if fixes else entry

    def last_said(self) -> tuple[Event, ...]:
        """Give the events in force that the last message of a person brought; the assistant's own do not count."""
        newest = next((number for number in reversed(self._told) if number not in self._gone), None)
        message = [] if newest is None else self._message_of(newest)
        found = (self.form(e) for e in message)
        return tuple(e for e in found if e is not None and e.by)

    def last_recorded(self, by: str) -> tuple[Event, ...]:
        """Give what a person's last message recorded and what still stands of it, fixes included, undos not."""
        newest = next((number for number in reversed(self._told_by.get(by, ())) if number not in self._gone), None)
        message = [] if newest is None else self._message_of(newest)
        return tuple(e for e in message if e.by == by and not isinstance(e.body, Undo) and not self.is_gone(e.number))

    def of_message(self, message: str) -> list[Event]:
        """Give the events in force that a message of a person brought, by number."""
        found = map(self.in_force, self._numbers_of(message))
        return [e for e in found if e is not None and e.by]

    def _list(self, entry: Event) -> None:
        if entry.message and self._first_of.setdefault(entry.message, entry.number) != entry.number:
            self._others_of.setdefault(entry.message, []).append(entry.number)
        if entry.by and not isinstance(entry.body, Undo):
            self._told_by.setdefault(entry.by, []).append(entry.number)
            if not isinstance(entry.body, Fix):
                self._told.append(entry.number)

    def _message_of(self, number: int) -> list[Event]:
        """Give the events that came with one, by number; one without a message stands alone."""
        found = self.event(number)
        if found is None:
            return []
        others = map(self.event, self._numbers_of(found.message)) if found.message else (found,)
        return [e for e in others if e is not None]

    def _numbers_of(self, message: str) -> list[int]:
        first = self._first_of.get(message)
        return [] if first is None else [first, *self._others_of.get(message, ())]

    def _take_back(self, undo: Event, numbers: Iterable[int], before: dict[int, Event | None]) -> None:
        """Let an undo count. What it takes back may be an undo, and so on down: the higher numbers settle first."""
        waiting: list[int] = []
        for number in numbers:
            if number < undo.number:
                self._undone_by.setdefault(number, []).append(undo.number)
                heappush(waiting, -number)
        while waiting:
            number = -heappop(waiting)
            entry = self.event(number)
            is_gone = any(by not in self._gone for by in self._undone_by[number])
            if entry is None or is_gone == (number in self._gone):
                continue
            for changed in _changed_with(entry):
                before.setdefault(changed, self.in_force(changed))
            (self._gone.add if is_gone else self._gone.discard)(number)
            for other in _undone_with(entry):
                heappush(waiting, -other)


def _changed_with(entry: Event) -> Iterator[int]:
    """Name the event whose form hangs on whether another one is taken back."""
    match entry.body:
        case Undo():
            return
        case Fix(of=number):
            if number < entry.number:
                yield number
        case _:
            yield entry.number


def _undone_with(entry: Event) -> Iterator[int]:
    if isinstance(entry.body, Undo):
        yield from (number for number in entry.body.of if number < entry.number)


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
