"""A file of timed messages, played against a simulated clock; what is said comes back as values, a line each.

Not for how a farm answers: that is the desk's business. Not for the store either, which is handed in and is scratch.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Protocol

from bot.channels.json_lines import Line, LineError
from bot.ports.cleaning import clean
from bot.ports.messages import Incoming, Outgoing, Sender, plain
from bot.ports.outbox import Waiting
from bot.ports.stores import Chat, Member, Store, UnitOfWork
from core.farm.fold import FarmFold
from core.farm.settings import tzinfo_of
from core.journal.event import Event
from core.journal.kinds import Role
from core.journal.wants import Joined

SCHEME = "replay"
MOST_AT_ONCE = 1000  # reminders at one moment; more than that is a rule that does not move on


class StuckError(RuntimeError):
    """A farm goes on having something to say at the same moment."""


class Desk(Protocol):
    """What answers."""

    def take(self, *messages: Incoming) -> int: ...  # noqa: D102 - see bot.assistant.desk
    def work(self) -> int: ...  # noqa: D102
    def remind(self) -> int: ...  # noqa: D102


class SimulatedClock:
    """A clock that is told where to go, and never goes back."""

    def __init__(self, at: dt.datetime) -> None:
        self._at = at.astimezone(dt.UTC)

    def now(self) -> dt.datetime:
        """Give the time, aware, in UTC."""
        return self._at

    def move_to(self, at: dt.datetime) -> None:
        """Go on to a time; an earlier one leaves the clock where it is."""
        self._at = max(self._at, at.astimezone(dt.UTC))


def address(name: str) -> str:
    """Name a person, and the chat with them."""
    return f"{SCHEME}:{name}"


def people_of(description: Mapping[str, Any], address: Callable[[str], str], *, farm: int = 0) -> list[Member]:
    """Give the people of a described farm."""
    return [
        Member(address=address(row["name"]), farm=farm, name=row["name"], role=Role(row["role"]))
        for row in description.get("people", ())
    ]


def chats_of(people: Sequence[Member]) -> list[Chat]:
    """Give each of them a chat of their own."""
    return [Chat(address=person.address, farm=person.farm, is_group=False) for person in people]


class Player:
    """Lets messages come in at their times, and reminders go out at theirs."""

    def __init__(
        self,
        store: Store,
        desk: Desk,
        clock: SimulatedClock,
        *,
        farm: int | None = None,
        address: Callable[[str], str] = address,
    ) -> None:
        """Play on a farm, or let the first message found one; `address` makes a person's address of the name."""
        self._store = store
        self._desk = desk
        self._clock = clock
        self._farm = farm
        self._address = address
        self._names: dict[str, str] = {}  # by address
        self._buttons: dict[tuple[str, str], str] = {}  # chat and label in small letters, to the newest one's data
        self._fold = FarmFold()
        if farm is not None:
            self._learn_names(farm)

    def join(self, name: str) -> None:
        """Let somebody be of the farm, as a hand where nobody knows them."""
        if self._farm is not None:
            self._join(self._farm, self._address_of(name), name)

    def play(self, lines: Sequence[Line], until: dt.datetime | None = None) -> Iterator[dict[str, Any]]:
        """Play lines in their order, and go on with what is pushed until a time; give all that is said.

        Raises
        ------
        LineError
            At a press of a button that its person was not shown.
        """
        for line in lines:
            yield from self._pass_time(line.at)
            self._clock.move_to(line.at)
            self._desk.take(self._incoming(line))
            self._desk.work()
            if self._farm is None:
                self._farm = self._farm_of(line)
            yield from self._said()
        if until is not None:
            yield from self._pass_time(until)
            self._clock.move_to(until)

    def _pass_time(self, until: dt.datetime) -> Iterator[dict[str, Any]]:
        moment, times = self._clock.now(), 0
        while (due := self._next_moment()) is not None and due <= until:
            times = times + 1 if due <= moment else 0
            if times > MOST_AT_ONCE:
                raise StuckError(f"reminders do not move on from {moment.isoformat()}")
            self._clock.move_to(due)
            moment = self._clock.now()
            self._desk.remind()
            yield from self._said()

    def _next_moment(self) -> dt.datetime | None:
        with self._store.begin() as work:
            times = (work.farms.next_due(), work.outbox.next_at())
        return min((at for at in times if at is not None), default=None)

    def _incoming(self, line: Line) -> Incoming:
        who = self._address_of(line.sender)
        if self._farm is not None:
            self._join(self._farm, who, line.sender)
        press = None
        if line.press is not None:
            press = self._buttons.get((who, line.press.casefold()))
            if press is None:
                raise LineError(line.number, f"{line.sender} was shown no button {line.press!r}")
        key = f"{SCHEME}:line:{line.number}"
        return Incoming(
            key=key,
            chat=who,
            sender=Sender(address=who, name=self._names[who], language=line.language),
            sent_at=line.at,
            text=clean(line.text),
            press=press,
            message=key,
        )

    def _address_of(self, sender: str) -> str:
        for known, name in self._names.items():
            if name.casefold() == sender.casefold():
                return known
        who = self._address(sender)
        self._names[who] = sender
        return who

    def _join(self, farm: int, who: str, name: str) -> None:
        """Make a hand of somebody who writes for the first time: a file is one farm's."""
        with self._store.begin() as work:
            if work.people.member(who) is not None:
                return
            number = self._farm_now(work, farm).farm.last_number + 1
            now = self._clock.now()
            body = Joined(name=name, role=Role.HAND)
            work.journal.append(farm, [Event(number=number, said_at=now, happened_at=now, by="", body=body)])
            work.people.put(Member(address=who, farm=farm, name=name, role=Role.HAND))
            work.people.put_chat(Chat(address=who, farm=farm, is_group=False))

    def _learn_names(self, farm: int) -> None:
        with self._store.begin() as work:
            self._names.update({member.address: member.name for member in work.people.members(farm)})

    def _farm_of(self, line: Line) -> int | None:
        with self._store.begin() as work:
            member = work.people.member(self._address_of(line.sender))
        return None if member is None else member.farm

    def _farm_now(self, work: UnitOfWork, farm: int) -> FarmFold:
        self._fold.add(work.journal.since(farm, self._fold.farm.last_number))
        return self._fold

    def _zone(self, work: UnitOfWork) -> dt.tzinfo:
        if self._farm is None:
            return dt.UTC
        return tzinfo_of(self._farm_now(work, self._farm).farm.settings.timezone)

    def _said(self) -> Iterator[dict[str, Any]]:
        """Take all out of the outbox; the same message to several people is one line."""
        now = self._clock.now()
        lines: dict[tuple[str, str], dict[str, Any]] = {}
        with self._store.begin() as work:
            zone = self._zone(work)
            while waiting := work.outbox.waiting(now):
                for one in waiting:
                    work.outbox.mark_sent(one.id, now, f"{SCHEME}:{one.id}")
                    self._note(one, lines, now.astimezone(zone))
        yield from lines.values()

    def _note(self, one: Waiting, lines: dict[tuple[str, str], dict[str, Any]], at: dt.datetime) -> None:
        out = one.outgoing
        for button in (button for row in out.buttons for button in row):
            self._buttons[out.chat, button.label.casefold()] = button.data
        name = self._names.get(out.chat, out.chat)
        same = lines.get((out.key, out.text))
        if same is None:
            lines[out.key, out.text] = _as_line(out, name, at)
        else:
            same["to"].append(name)


def _as_line(out: Outgoing, name: str, at: dt.datetime) -> dict[str, Any]:
    fields: dict[str, Any] = {
        "at": at.isoformat(timespec="seconds" if at.second else "minutes"),
        "to": [name],
        "type": "push" if out.is_push else "reply",
        "text": plain(out.text),
        "buttons": [button.label for row in out.buttons for button in row],
        "events": out.about.events,
        "chores": out.about.chores,
        "forecast": out.about.forecast,
        "file": out.file.name if out.file is not None else "",
    }
    return {field: value for field, value in fields.items() if value not in ([], "")}
