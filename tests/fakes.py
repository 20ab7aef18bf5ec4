"""Stand-ins that the tests steer: a clock, a store in memory, a channel that remembers.

MemoryStore passes the same contracts as SqlStore: see tests/contracts.
"""

import copy
import datetime as dt
import threading
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager

import msgspec

from bot.ports.messages import Incoming, Outgoing
from bot.ports.stores import Chat, Invite, Member, NumberTakenError, Received, Waiting
from core.journal import codec
from core.journal.event import Event

SPRING = dt.datetime(2026, 5, 1, 12, tzinfo=dt.UTC)


class FakeClock:
    """A clock that stands still until it is told to move."""

    def __init__(self, at: dt.datetime = SPRING) -> None:
        self._at = at.astimezone(dt.UTC)

    def now(self) -> dt.datetime:
        return self._at

    def set(self, at: dt.datetime) -> None:
        self._at = at.astimezone(dt.UTC)

    def forward(self, *, days: float = 0, hours: float = 0, minutes: float = 0, seconds: float = 0) -> None:
        self._at += dt.timedelta(days=days, hours=hours, minutes=minutes, seconds=seconds)

    async def sleep(self, seconds: float) -> None:
        """Let that time pass at once, where asyncio.sleep would wait."""
        self.forward(seconds=seconds)


class RecordingChannel:
    """A channel that remembers what it was given, and fails where it is told to."""

    def __init__(self) -> None:
        self.sent: list[Outgoing] = []
        self.late: dict[str, dt.datetime] = {}  # by key of the message
        self._failures: dict[str, list[Exception]] = {}

    def fail(self, chat: str, *errors: Exception) -> None:
        """Raise these, one a message, for the next messages to a chat."""
        self._failures.setdefault(chat, []).extend(errors)

    async def send(self, outgoing: Outgoing, *, late_since: dt.datetime | None = None) -> str:
        if self._failures.get(outgoing.chat):
            raise self._failures[outgoing.chat].pop(0)
        self.sent.append(outgoing)
        if late_since is not None:
            self.late[outgoing.key] = late_since
        return f"sent:{len(self.sent)}"

    def keys(self, chat: str | None = None) -> list[str]:
        """Name what was sent, in order: to one chat or to all."""
        return [outgoing.key for outgoing in self.sent if chat in (None, outgoing.chat)]


class MemoryStore:
    """All that a store keeps, in lists and dictionaries; a unit of work that raises leaves no trace."""

    def __init__(self) -> None:
        self._kept = _Kept()
        self._turn = threading.Lock()

    @contextmanager
    def begin(self) -> Iterator["MemoryUnitOfWork"]:
        if not self._turn.acquire(timeout=10):
            raise TimeoutError("a unit of work is open already")
        try:
            changed = self._kept.copy()
            yield MemoryUnitOfWork(changed)
            self._kept = changed
        finally:
            self._turn.release()

    def close(self) -> None:
        """Do nothing: there is no connection to let go of."""


class MemoryUnitOfWork:
    """All roles over one copy of what is kept."""

    def __init__(self, kept: "_Kept") -> None:
        self.farms = MemoryFarms(kept)
        self.journal = MemoryJournal(kept)
        self.inbox = MemoryInbox(kept)
        self.outbox = MemoryOutbox(kept)
        self.people = MemoryPeople(kept)
        self.dialogs = MemoryDialogs(kept)


class _Line(msgspec.Struct, frozen=True, kw_only=True):
    """A message in the inbox or the outbox."""

    id: int
    body: bytes  # as a store keeps it, so that what cannot be kept fails here as well
    post_at: dt.datetime
    leave_at: dt.datetime
    tries: int = 0
    is_done: bool = False


class _Kept:
    """The containers; what is in them is never changed, only replaced."""

    def __init__(self) -> None:
        self.next_due: dict[int, dt.datetime | None] = {}
        self.events: dict[tuple[int, int], tuple[Event, bytes]] = {}
        self.inbox: dict[str, _Line] = {}
        self.outbox: dict[tuple[str, str], _Line] = {}
        self.members: dict[str, Member] = {}
        self.chats: dict[str, Chat] = {}
        self.invites: dict[str, Invite] = {}
        self.dialogs: dict[tuple[str, str], bytes] = {}

    def copy(self) -> "_Kept":
        other = _Kept()
        for name, container in vars(self).items():
            setattr(other, name, copy.copy(container))
        return other


class MemoryFarms:
    def __init__(self, kept: _Kept) -> None:
        self._next_due = kept.next_due

    def found(self, at: dt.datetime) -> int:
        _utc(at)
        farm = len(self._next_due) + 1
        self._next_due[farm] = None
        return farm

    def ids(self) -> list[int]:
        return sorted(self._next_due)

    def set_next_due(self, farm: int, at: dt.datetime | None) -> None:
        if farm in self._next_due:
            self._next_due[farm] = None if at is None else _utc(at)

    def due(self, now: dt.datetime, limit: int = 100) -> list[int]:
        come = [(at, farm) for farm, at in self._next_due.items() if at is not None and at <= now]
        return [farm for _, farm in sorted(come)][:limit]

    def next_due(self) -> dt.datetime | None:
        return min((at for at in self._next_due.values() if at is not None), default=None)


class MemoryJournal:
    def __init__(self, kept: _Kept) -> None:
        self._events = kept.events

    def append(self, farm: int, events: Sequence[Event]) -> None:
        for event in events:
            if (farm, event.number) in self._events:
                raise NumberTakenError(f"farm {farm}: event {event.number}")
            at = {"said_at": _utc(event.said_at), "happened_at": _utc(event.happened_at)}
            self._events[farm, event.number] = (msgspec.structs.replace(event, **at), codec.encode(event.body))

    def since(self, farm: int, number: int = 0) -> list[Event]:
        found = sorted(key for key in self._events if key[0] == farm and key[1] > number)
        return [msgspec.structs.replace(event, body=codec.decode(body)) for event, body in map(self._events.get, found)]


class MemoryInbox:
    def __init__(self, kept: _Kept) -> None:
        self._lines = kept.inbox

    def store(self, incoming: Incoming, at: dt.datetime) -> bool:
        return _add(self._lines, incoming.key, incoming, at)

    def waiting(self, limit: int = 100, *, passing_over: Collection[str] = ()) -> list[Received]:
        lines = sorted((line for line in self._lines.values() if not line.is_done), key=lambda line: line.id)
        found = [Received(id=x.id, incoming=msgspec.json.decode(x.body, type=Incoming), tries=x.tries) for x in lines]
        return [received for received in found if received.incoming.chat not in passing_over][:limit]

    def mark_handled(self, received: int, at: dt.datetime) -> None:
        _utc(at)
        _change(self._lines, received, is_done=True)

    def mark_failed(self, received: int, at: dt.datetime, reason: str, *, give_up: bool) -> None:
        _utc(at)
        _change(self._lines, received, tries=1, is_done=give_up)


class MemoryOutbox:
    def __init__(self, kept: _Kept) -> None:
        self._lines = kept.outbox

    def post(self, outgoing: Outgoing, at: dt.datetime) -> bool:
        return _add(self._lines, (outgoing.chat, outgoing.key), outgoing, at)

    def waiting(self, now: dt.datetime, limit: int = 100) -> list[Waiting]:
        free: list[Waiting] = []
        held: set[str] = set()
        for chat, line in self._in_order():
            if line.leave_at > now:
                held.add(chat)
            elif chat not in held:
                outgoing = msgspec.json.decode(line.body, type=Outgoing)
                free.append(Waiting(id=line.id, outgoing=outgoing, post_at=line.post_at, tries=line.tries))
        return free[:limit]

    def next_at(self) -> dt.datetime | None:
        first: dict[str, dt.datetime] = {}
        for chat, line in self._in_order():
            first.setdefault(chat, line.leave_at)
        return min(first.values(), default=None)

    def mark_sent(self, waiting: int, at: dt.datetime, reference: str) -> None:
        _utc(at)
        _change(self._lines, waiting, is_done=True)

    def retry(self, waiting: int, at: dt.datetime, reason: str) -> None:
        _change(self._lines, waiting, tries=1, leave_at=_utc(at))

    def give_up(self, waiting: int, at: dt.datetime, reason: str) -> None:
        _utc(at)
        _change(self._lines, waiting, tries=1, is_done=True)

    def _in_order(self) -> list[tuple[str, _Line]]:
        lines = [(chat, line) for (chat, _), line in self._lines.items() if not line.is_done]
        return sorted(lines, key=lambda entry: (entry[1].post_at, entry[1].id))


class MemoryPeople:
    def __init__(self, kept: _Kept) -> None:
        self._kept = kept

    def member(self, address: str) -> Member | None:
        return self._kept.members.get(address)

    def members(self, farm: int) -> list[Member]:
        return [kept for _, kept in sorted(self._kept.members.items()) if kept.farm == farm]

    def put(self, member: Member) -> None:
        self._kept.members[member.address] = member

    def remove(self, address: str) -> None:
        self._kept.members.pop(address, None)

    def chat(self, address: str) -> Chat | None:
        return self._kept.chats.get(address)

    def chats(self, farm: int) -> list[Chat]:
        return [kept for _, kept in sorted(self._kept.chats.items()) if kept.farm == farm]

    def put_chat(self, chat: Chat) -> None:
        self._kept.chats[chat.address] = chat

    def remove_chat(self, address: str) -> None:
        self._kept.chats.pop(address, None)

    def put_invite(self, invite: Invite) -> None:
        self._kept.invites[invite.token] = msgspec.structs.replace(invite, expires_at=_utc(invite.expires_at))

    def take_invite(self, token: str, now: dt.datetime) -> Invite | None:
        invite = self._kept.invites.get(token)
        if invite is None or invite.expires_at <= now:
            return None
        return self._kept.invites.pop(token)


class MemoryDialogs:
    def __init__(self, kept: _Kept) -> None:
        self._dialogs = kept.dialogs

    def load(self, chat: str, address: str) -> bytes | None:
        return self._dialogs.get((chat, address))

    def save(self, chat: str, address: str, state: bytes) -> None:
        self._dialogs[chat, address] = state


def _utc(at: dt.datetime) -> dt.datetime:
    if at.tzinfo is None:
        raise ValueError(f"no time zone: {at.isoformat()}")
    return at.astimezone(dt.UTC)


def _add(lines: dict, key: object, message: msgspec.Struct, at: dt.datetime) -> bool:
    if key in lines:
        return False
    at = _utc(at)
    lines[key] = _Line(id=len(lines) + 1, body=msgspec.json.encode(message), post_at=at, leave_at=at)
    return True


def _change(lines: dict, line_id: int, *, tries: int = 0, **changes: object) -> None:
    for key, line in lines.items():
        if line.id == line_id:
            lines[key] = msgspec.structs.replace(line, tries=line.tries + tries, **changes)
            return
