"""The fold: a farm is what its events have made of it.

Events are taken in the order of when they happened, so that what is told late or put right later lands where it
belongs. `FarmFold` keeps what it has folded, and marks to go back to, so that news cost what lies after them; `fold` is
the same in one go.
"""

from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Sequence
from heapq import merge
from typing import assert_never

import msgspec
from msgspec.structs import replace

from core.farm import bin_facts, tub_facts, wishes
from core.farm.corrections import Standing
from core.farm.farm import AskedChore, Farm
from core.farm.ledger import Ledger
from core.farm.names import Names
from core.journal import event, facts, notices, wants
from core.journal.event import Event
from core.journal.record import Record

APART = 32  # events between the newest marks; to fold so few again takes a fifth of a millisecond
THINNED = 4  # a mark so many times further back than its neighbors are apart makes room


def fold(events: Sequence[Event]) -> Farm:
    """Give the farm that these events, in any order, have made."""
    return FarmFold(events).farm


class _Mark(msgspec.Struct, frozen=True):
    """How far the fold had come, and what it was then."""

    at: int  # so many events in force
    farm: Farm  # without its reminders, whose mapping is the most of it
    asked: tuple[AskedChore, ...]
    names: Names

    @classmethod
    def of(cls, at: int, farm: Farm, names: Names) -> "_Mark":
        return cls(at, replace(farm, asked={}, last_said=()), tuple(farm.asked.values()), names)

    def ledger(self) -> Ledger:
        """Give a ledger that goes on from here."""
        return Ledger(self.names.copy(), replace(self.farm, asked={chore.number: chore for chore in self.asked}))


class FarmFold:
    """A farm with the journal that it comes from.

    What is told late, put right or taken back folds those events again that happened later. A name that is given or
    taken back folds all of them: it may mean any.
    """

    def __init__(self, events: Iterable[Event] = ()) -> None:
        self.standing = Standing()
        self.in_force: list[Event] = []  # by order of the fold, put right
        self.farm = Farm()
        self._of_kind: dict[type, list[Event]] = {}  # the same by their records
        self._begin_anew(sorted(events, key=lambda e: e.number))

    @property
    def events(self) -> Sequence[Event]:
        """The journal, by number."""
        return self.standing.events

    def add(self, news: Sequence[Event]) -> Farm:
        """Take new events and give the farm that they make."""
        if not news:
            return self.farm
        ordered = sorted(news, key=lambda e: e.number)
        if ordered[0].number <= self.standing.last_number:  # told out of turn
            self._begin_anew(sorted([*self.events, *ordered], key=lambda e: e.number))
            return self.farm
        before = self.standing.take(ordered)
        old = [entry for entry in before.values() if entry is not None]
        new = [entry for entry in map(self.standing.in_force, before) if entry is not None]
        if _gives_name(old) or _gives_name(new):
            self._begin_anew(self.events)
        else:
            self._put(old, new)
        return self.farm

    def instead(self, numbers: Collection[int], entries: Sequence[Event]) -> Farm:
        """Give the farm as it would be with other events in the place of some."""
        old = [entry for entry in map(self.standing.in_force, numbers) if entry is not None]
        if _gives_name(old) or _gives_name(entries):
            kept = [entry for entry in self.in_force if entry.number not in numbers]
            return fold([*kept, *entries])
        at = self._place_of([*old, *entries])
        mark = self._mark_before(at)
        ledger = mark.ledger()
        for entry in self.in_force[mark.at : at] + self._changed_from(at, old, entries):
            apply(ledger, entry)
        known = self.farm
        return ledger.farm(last_said=known.last_said, known_since=known.known_since, last_number=known.last_number)

    def newest_first(self, *records: type[Record]) -> Iterator[Event]:
        """Give the events in force of some kinds, the last of the fold first; of all where none is named."""
        if not records:
            return reversed(self.in_force)
        several = (reversed(self._of_kind.get(record, ())) for record in records)
        return merge(*several, key=event.order, reverse=True)

    def _begin_anew(self, events: Sequence[Event]) -> None:
        self.standing = Standing()
        self.standing.take(events)
        standing = (self.standing.form(entry) for entry in self.standing.events)
        entries = sorted((entry for entry in standing if entry is not None), key=event.order)
        self._marks = [_Mark.of(0, Farm(), Names.of(entries))]
        self.in_force, self._of_kind = [], {}
        self._ledger = self._marks[0].ledger()
        self._go_on(entries)

    def _put(self, old: Sequence[Event], new: Sequence[Event]) -> None:
        """Put other forms in the place of old ones, from the last mark before the first of them."""
        at = self._place_of([*old, *new])
        coming = self._changed_from(at, old, new)
        if at < len(self.in_force):
            mark = self._mark_before(at)
            self._marks = [known for known in self._marks if known.at <= mark.at]
            coming = self.in_force[mark.at : at] + coming
            for entry in self.in_force[mark.at :]:
                self._of_kind[type(entry.body)].pop()
            del self.in_force[mark.at :]
            self._ledger = mark.ledger()
        self._go_on(coming)

    def _place_of(self, changed: Sequence[Event]) -> int:
        """Give the place of the first of changed events in the order of the fold."""
        if not changed:
            return len(self.in_force)
        first = min(event.order(entry) for entry in changed)
        if not self.in_force or event.order(self.in_force[-1]) < first:
            return len(self.in_force)
        return bisect_left(self.in_force, first, key=event.order)

    def _mark_before(self, at: int) -> _Mark:
        return next(mark for mark in reversed(self._marks) if mark.at <= at)

    def _changed_from(self, at: int, old: Sequence[Event], new: Sequence[Event]) -> list[Event]:
        """Give the events from a place on as they are now, in the order of the fold."""
        gone = {entry.number for entry in old}
        return sorted([*(e for e in self.in_force[at:] if e.number not in gone), *new], key=event.order)

    def _go_on(self, coming: Sequence[Event]) -> None:
        """Fold the next events; of many, with marks on the way that are the closer the nearer the end is."""
        done = 0
        while done < len(coming):
            reach = done + max(APART, (len(coming) - done) // THINNED)
            for entry in coming[done:reach]:
                apply(self._ledger, entry)
                self._of_kind.setdefault(type(entry.body), []).append(entry)
            self.in_force.extend(coming[done:reach])
            done = reach
            if done < len(coming):
                self._mark(self._frozen())
        self.farm = self._frozen()
        self._mark(self.farm)

    def _frozen(self) -> Farm:
        return self._ledger.farm(
            last_said=self.standing.last_said(),
            known_since=self.events[0].said_at if self.events else None,
            last_number=self.standing.last_number,
        )

    def _mark(self, farm: Farm) -> None:
        """Keep how far the fold has come, and thin the marks out that lie far back."""
        at = len(self.in_force)
        if at - self._marks[-1].at < APART:
            return
        kept: list[_Mark] = self._marks[:1]
        for mark, after in zip(self._marks[1:], self._marks[2:], strict=False):
            if after.at - kept[-1].at > max(APART, (at - after.at) // THINNED):
                kept.append(mark)
        self._marks = [*kept, *self._marks[1:][-1:], _Mark.of(at, farm, self._ledger.names.copy())]


def _gives_name(entries: Iterable[Event]) -> bool:
    return any(isinstance(entry.body, wants.Rename) for entry in entries)


def apply(ledger: Ledger, entry: Event) -> None:
    """Put one event into the ledger."""
    body = entry.body
    match body:
        case notices.Asked() | wants.Done():  # first, as half of a journal is of these
            wishes.apply(ledger, entry, body)
        case (
            facts.TrayOut() | facts.Placed() | facts.Covered() | facts.Reading() | facts.Watered() | facts.Mold()
            | facts.Dry() | facts.Hatch() | facts.Discarded()
        ):  # fmt: skip
            tub_facts.apply(ledger, entry, body)
        case (
            facts.Chirp() | facts.TrayIn() | facts.Stocked() | facts.Fed() | facts.Dead() | facts.Moved()
            | facts.Sized() | facts.Adults() | facts.Cleaned() | facts.Harvested() | facts.Sold() | facts.Bought()
            | facts.Counted() | facts.Problem() | facts.Cleared() | facts.Remark()
        ):  # fmt: skip
            bin_facts.apply(ledger, entry, body)
        case (
            wants.Order() | wants.Cancel() | wants.Plan() | wants.Remind() | wants.Add() | wants.Rename() | wants.Set()
            | wants.Pause() | wants.Resume() | wants.Skip() | wants.Snooze() | wants.Joined() | wants.Left()
            | wants.Duty() | wants.Away() | wants.Undo() | wants.Fix() | notices.Cautioned()
            | notices.Summed()
        ):  # fmt: skip
            wishes.apply(ledger, entry, body)
        case _:
            assert_never(body)
