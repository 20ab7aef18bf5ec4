"""The fold: a farm is what its events have made of it.

Events are taken in the order of when they happened, so that what is told late or put right later lands where it
belongs. `FarmFold` keeps what it has folded and takes news quickly; `fold` is the same in one go.
"""

from collections.abc import Sequence
from typing import assert_never

from core.farm import bin_facts, tub_facts, wishes
from core.farm.corrections import in_force, last_message
from core.farm.farm import Farm
from core.farm.ledger import Ledger
from core.farm.names import Names
from core.journal import event, facts, notices, wants
from core.journal.event import Event


def fold(events: Sequence[Event]) -> Farm:
    """Give the farm that these events, in any order, have made."""
    return FarmFold(events).farm


class FarmFold:
    """A farm with the journal that it comes from."""

    def __init__(self, events: Sequence[Event] = ()) -> None:
        self.events = list(events)
        self.farm = Farm()
        self._first: Event | None = None  # by number
        self._last_number = 0
        self._count(self.events)
        self._rebuild()

    def add(self, news: Sequence[Event]) -> Farm:
        """Take new events and give the farm that they make."""
        if not news:
            return self.farm
        self.events.extend(news)
        self._count(news)
        ordered = sorted(news, key=event.order)
        if any(isinstance(e.body, wants.Undo | wants.Fix | wants.Rename) for e in news) or (
            self.in_force and event.order(ordered[0]) < event.order(self.in_force[-1])
        ):
            self._rebuild()
            return self.farm
        self.in_force.extend(ordered)
        self._take(ordered, self._last_said(news))
        return self.farm

    def _last_said(self, news: Sequence[Event]) -> tuple[Event, ...]:
        """Give what the last message of a person brought, the news included."""
        for entry in news:
            self._by_message.setdefault(entry.message, []).append(entry)
        newest = last_message(news)
        if not newest or not newest[-1].message:
            return newest or self.farm.last_said
        return last_message(self._by_message[newest[-1].message])

    def _count(self, news: Sequence[Event]) -> None:
        known = [*news, self._first] if self._first else news
        self._first = min(known, key=lambda e: e.number, default=None)
        self._last_number = max(self._last_number, *(e.number for e in news), 0)

    def _rebuild(self) -> None:
        self.in_force = in_force(self.events)  # by order of the fold, put right
        self._ledger = Ledger(Names.of(self.in_force))
        self._by_message: dict[str, list[Event]] = {}
        for entry in self.in_force:
            self._by_message.setdefault(entry.message, []).append(entry)
        self._take(self.in_force, last_message(self.in_force))

    def _take(self, ordered: Sequence[Event], last_said: tuple[Event, ...]) -> None:
        for entry in ordered:
            apply(self._ledger, entry)
        self.farm = self._ledger.farm(
            last_said=last_said,
            known_since=self._first.said_at if self._first else None,
            last_number=self._last_number,
        )


def apply(ledger: Ledger, entry: Event) -> None:
    """Put one event into the ledger."""
    body = entry.body
    match body:
        case (
            facts.TrayOut() | facts.Placed() | facts.Covered() | facts.Reading() | facts.Watered() | facts.Mold()
            | facts.Dry() | facts.Hatch() | facts.Discarded()
        ):  # fmt: skip
            tub_facts.apply(ledger, entry, body)
        case (
            facts.Chirp() | facts.TrayIn() | facts.Stocked() | facts.Fed() | facts.Dead() | facts.Moved()
            | facts.Sized() | facts.Adults() | facts.Cleaned() | facts.Harvested() | facts.Sold() | facts.Bought()
            | facts.Problem() | facts.Remark()
        ):  # fmt: skip
            bin_facts.apply(ledger, entry, body)
        case (
            wants.Order() | wants.Remind() | wants.Add() | wants.Rename() | wants.Set() | wants.Pause()
            | wants.Resume() | wants.Done() | wants.Skip() | wants.Snooze() | wants.Joined() | wants.Left()
            | wants.Undo() | wants.Fix() | notices.Asked() | notices.Cautioned()
        ):  # fmt: skip
            wishes.apply(ledger, entry, body)
        case _:
            assert_never(body)
