"""A desk with a clock that is moved, and people who talk to it: what they say goes in, what they are told comes out.

Reminders go out at their own times whenever time passes, as `ovipost replay` has it.
"""

import datetime as dt

import msgspec

from bot.assistant.desk import Desk
from bot.ports.messages import Incoming, Outgoing, Sender, plain
from bot.ports.stores import Chat, Member
from core.farm.fold import FarmFold
from core.farm.settings import tzinfo_of
from core.journal import codec, event, wants
from core.journal.kinds import Role, Setting
from tests.fakes import FakeClock
from tests.memory import MemoryStore

GROUP = "the group"
MOST_AT_ONCE = 100  # reminders at one moment; more than that is a rule that does not move on


class Told(msgspec.Struct, frozen=True, kw_only=True):
    """One message of the assistant, to one chat or to several."""

    at: dt.datetime
    to: tuple[str, ...]  # people, or the group
    text: str
    labels: tuple[str, ...]
    outgoing: Outgoing  # the first of them
    buttons: dict[str, dict[str, str]]  # by person, what the buttons carry by label

    @property
    def lines(self):
        return self.text.split("\n")

    @property
    def is_push(self):
        return self.outgoing.is_push


class Stage:
    """One farm's desk, the people around it, and all that they were told."""

    def __init__(self, reader, start, *, store=None, owners=frozenset()):
        self.store = store or MemoryStore()
        self.clock = FakeClock(start)
        self.reader = reader
        self.owners = owners
        self.told = []
        self.languages = {}  # by person: what their messaging service says
        self.farm_id = None
        self._fold = FarmFold()
        self._count = 0
        self._last_message = {}  # by person: key and text
        self.restart()

    def restart(self):
        """Begin a new desk on the same store, as a new process does."""
        self.desk = Desk(store=self.store, reader=self.reader, clock=self.clock, owners=self.owners)

    def open_farm(self, *bodies, zone="America/Denver", people=(("Noor", Role.OWNER), ("Tomas", Role.HAND))):
        """Open a farm that these bodies have made, with its people and a chat of each."""
        known = [wants.Set(what=Setting.TIMEZONE, to=zone), *(wants.Joined(name=n, role=r) for n, r in people), *bodies]
        now = self.clock.now()
        events = [
            event.Event(number=number, said_at=now, happened_at=now, by="", message="opening", body=body)
            for number, body in enumerate(known, start=1)
        ]
        members = [
            Member(address=_address(name), farm=0, name=name, role=role, language=self.languages.get(name, ""))
            for name, role in people
        ]
        chats = [Chat(address=member.address, farm=0, is_group=False) for member in members]
        self.farm_id = self.desk.open_farm(events, members, chats)

    # -- what people do; each gives what they are answered

    def says(self, who, text, *, group=False, addressed=True, **fields):
        self._count += 1
        message = f"chat:message:{self._count}"
        if text:
            self._last_message[who] = message
        said = {"message": message, "is_addressed": addressed} | fields
        return self._in(who, group=group, text=text, **said)

    def edits(self, who, text, *, group=False, addressed=True):
        """Change the last message that somebody wrote."""
        message = self._last_message[who]
        return self._in(who, group=group, text=text, message=message, is_edit=True, is_addressed=addressed)

    def shares(self, who, latitude, longitude):
        return self._in(who, location=(latitude, longitude))

    def presses(self, who, label, *, group=False, at=None):
        """Press the newest button with that label that was shown, or the one of a message of a certain time."""
        return self.presses_data(who, self.button(who, label, group=group, at=at), group=group)

    def presses_data(self, who, data, *, group=False):
        return self._in(who, group=group, press=data)

    def button(self, who, label, *, group=False, at=None):
        """Find what a button that was shown carries."""
        chat = GROUP if group else who
        for told in reversed(self.told):
            if at in (None, told.at) and label in told.buttons.get(chat, {}):
                return told.buttons[chat][label]
        raise LookupError(f"{chat} was shown no button {label!r}")

    def _in(self, who, *, group=False, **fields):
        self._count += 1
        chat = _address(GROUP if group else who)
        incoming = Incoming(
            key=f"chat:update:{self._count}",
            sender=Sender(address=_address(who), name=who, language=self.languages.get(who)),
            **({"chat": chat, "sent_at": self.clock.now(), "is_group": group} | fields),
        )
        self.desk.take(incoming)
        self.desk.work()
        return self._drain()

    # -- time

    def pass_until(self, at):
        """Let time pass, with all reminders at their times; give what was pushed."""
        pushed, times, moment = [], 0, self.clock.now()
        while (due := self.next_due) is not None and due <= at:
            times = times + 1 if due <= moment else 0
            assert times <= MOST_AT_ONCE, f"reminders do not move on from {moment.isoformat()}"
            self.clock.set(max(due, self.clock.now()))
            moment = self.clock.now()
            self.desk.remind()
            pushed += self._drain()
        self.clock.set(at)
        return pushed

    @property
    def next_due(self):
        with self.store.begin() as work:
            return work.farms.next_due()

    # -- how things stand

    @property
    def fold(self):
        farm = self.farm_id or 1
        with self.store.begin() as work:
            self._fold.add(work.journal.since(farm, self._fold.farm.last_number))
        return self._fold

    @property
    def farm(self):
        return self.fold.farm

    @property
    def zone(self):
        return tzinfo_of(self.farm.settings.timezone)

    def kinds_since(self, number):
        """Name the kinds that people recorded after an event."""
        return [codec.kind_of(e.body) for e in self.fold.events if e.number > number and e.by]

    def _drain(self):
        now = self.clock.now()
        found = {}
        with self.store.begin() as work:
            while waiting := work.outbox.waiting(now):
                for one in waiting:
                    work.outbox.mark_sent(one.id, now, f"chat:{one.id}")
                    out = one.outgoing
                    found.setdefault((out.key, out.text), []).append(out)
        told = [
            Told(
                at=now,
                to=tuple(_name(out.chat) for out in outs),
                text=plain(outs[0].text),
                labels=tuple(button.label for row in outs[0].buttons for button in row),
                outgoing=outs[0],
                buttons={
                    _name(out.chat): {plain(button.label): button.data for row in out.buttons for button in row}
                    for out in outs
                },
            )
            for outs in found.values()
        ]
        self.told += told
        return told


def _address(name):
    return f"chat:{name}"


def _name(address):
    return address.removeprefix("chat:")
