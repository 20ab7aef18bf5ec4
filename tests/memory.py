"""A store in memory, which passes the same contracts as SqlStore: see tests/contracts."""

import copy
import datetime as dt
import threading
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

import msgspec

from bot.ports.messages import Incoming, Outgoing
from bot.ports.outbox import Waiting
from bot.ports.stores import Chat, Invite, Member, NumberTakenError, Received
from bot.ports.tally import Backlog
from core.journal import codec
from core.journal.event import Event


class MemoryStore:
    """All that a store keeps, in lists and dictionaries; a unit of work that raises leaves no trace."""

    def __init__(self) -> None:
        self._kept = _Kept()
        self._turn = threading.Lock()
        self._held: dict[str, MemoryHold] = {}

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

    def backlog(self, now: dt.datetime) -> Backlog:
        stored = [line.post_at for line in self._kept.inbox.values() if line.done_at is None]
        meant = [x.post_at for x in self._kept.outbox.values() if x.done_at is None and x.post_at <= now]
        return Backlog(
            inbox_waiting=len(stored),
            inbox_oldest=min(stored, default=None),
            outbox_waiting=len(meant),
            outbox_oldest=min(meant, default=None),
            farms_due=sum(at is not None and at <= now for at in self._kept.next_due.values()),
        )

    def hold(self, name: str) -> "MemoryHold | None":
        if name in self._held:
            return None
        self._held[name] = MemoryHold(name, self._held)
        return self._held[name]

    def close(self) -> None:
        """Do nothing: there is no connection to let go of."""


class MemoryHold:
    def __init__(self, name: str, held: dict[str, "MemoryHold"]) -> None:
        self._name = name
        self._held = held

    def is_good(self) -> bool:
        return self._held.get(self._name) is self

    def release(self) -> None:
        if self.is_good():
            del self._held[self._name]


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
    done_at: dt.datetime | None = None
    is_given_up: bool = False
    farm: int | None = None  # of one in the inbox


class _Kept:
    """The containers; what is in them is never changed, only replaced."""

    def __init__(self) -> None:
        self.next_due: dict[int, dt.datetime | None] = {}
        self.editions: dict[int, int] = {}
        self.founded: list[int] = []
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
        self._kept = kept
        self._next_due = kept.next_due
        self._editions = kept.editions

    def found(self, at: dt.datetime) -> int:
        _utc(at)
        farm = len(self._kept.founded) + 1
        self._kept.founded.append(farm)
        self._next_due[farm] = None
        self._editions[farm] = 0
        return farm

    def ids(self) -> list[int]:
        return sorted(self._next_due)

    def lock(self, farm: int) -> int | None:
        return self._editions.get(farm)

    def set_next_due(self, farm: int, at: dt.datetime | None) -> None:
        if farm in self._next_due:
            self._next_due[farm] = None if at is None else _utc(at)

    def set_next_dues(self, times: Mapping[int, dt.datetime | None]) -> None:
        for farm, at in times.items():
            self.set_next_due(farm, at)

    def claim_due(self, now: dt.datetime, limit: int = 100) -> dict[int, int]:
        come = [(at, farm) for farm, at in self._next_due.items() if at is not None and at <= now]
        return {farm: self._editions[farm] for _, farm in sorted(come)[:limit]}

    def next_due(self) -> dt.datetime | None:
        return min((at for at in self._next_due.values() if at is not None), default=None)

    def erase(self, farm: int, at: dt.datetime) -> None:
        kept = self._kept
        people = {m.address for m in kept.members.values() if m.farm == farm}
        chats = people | {c.address for c in kept.chats.values() if c.farm == farm}
        _empty(kept, lambda line, said: line.farm == farm or said.sender.address in people or said.chat in chats, at)
        _drop(kept.outbox, lambda key, _: key[0] in chats)
        _drop(kept.dialogs, lambda key, _: key[0] in chats or key[1] in people)
        for rows in (kept.invites, kept.chats, kept.members):
            _drop(rows, lambda _, row: row.farm == farm)
        _drop(kept.events, lambda key, _: key[0] == farm)
        _drop(self._next_due, lambda key, _: key == farm)
        _drop(self._editions, lambda key, _: key == farm)


class MemoryJournal:
    def __init__(self, kept: _Kept) -> None:
        self._events = kept.events
        self._editions = kept.editions

    def append(self, farm: int, events: Sequence[Event]) -> None:
        for event in events:
            if (farm, event.number) in self._events:
                raise NumberTakenError(f"farm {farm}: event {event.number}")
            at = {"said_at": _utc(event.said_at), "happened_at": _utc(event.happened_at)}
            self._events[farm, event.number] = (msgspec.structs.replace(event, **at), codec.encode(event.body))

    def append_all(self, news: Mapping[int, Sequence[Event]]) -> None:
        for farm, events in news.items():
            self.append(farm, events)

    def since(self, farm: int, number: int = 0) -> list[Event]:
        found = sorted(key for key in self._events if key[0] == farm and key[1] > number)
        return [msgspec.structs.replace(event, body=codec.decode(body)) for event, body in map(self._events.get, found)]

    def of(self, farms: Collection[int]) -> dict[int, list[Event]]:
        return {farm: self.since(farm) for farm in farms}

    def rewrite(self, farm: int, events: Sequence[Event]) -> None:
        for event in events:
            kept, _ = self._events[farm, event.number]
            anew = msgspec.structs.replace(kept, by=event.by, message=event.message, body=event.body)
            self._events[farm, event.number] = (anew, codec.encode(event.body))
        self._editions[farm] += 1


class MemoryInbox:
    def __init__(self, kept: _Kept) -> None:
        self._kept = kept
        self._lines = kept.inbox

    def store(self, incoming: Incoming, at: dt.datetime) -> bool:
        whose = self._kept.members.get(incoming.sender.address) or self._kept.chats.get(incoming.chat)
        return _add(self._lines, incoming.key, incoming, at, farm=whose.farm if whose else None)

    def store_all(self, messages: Sequence[Incoming], at: dt.datetime) -> int:
        return sum(self.store(incoming, at) for incoming in messages)

    def claim(self, limit: int = 16, *, passing_over: Collection[str] = ()) -> list[Received]:
        found: list[Received] = []
        seen: set[object] = set()
        for line in sorted((line for line in self._lines.values() if line.done_at is None), key=lambda line: line.id):
            incoming = msgspec.json.decode(line.body, type=Incoming)
            if incoming.sender.address in passing_over:
                continue
            stands_behind = incoming.chat in seen or line.farm in seen
            seen |= {incoming.chat, line.farm} - {None}
            if not stands_behind:
                found.append(Received(id=line.id, incoming=incoming, tries=line.tries))
        return found[:limit]

    def mark_handled(self, received: int, at: dt.datetime) -> None:
        _change(self._lines, received, done_at=_utc(at))

    def mark_failed(self, received: int, at: dt.datetime, reason: str, *, give_up: bool) -> bool:
        return _change(
            self._lines, received, tries=1, is_given_up=give_up, done_at=_utc(at) if give_up else None
        )  # fmt: skip

    def prune(self, before: dt.datetime) -> int:
        return _forget(self._lines, lambda line: line.done_at < before and not line.is_given_up)


class MemoryOutbox:
    def __init__(self, kept: _Kept) -> None:
        self._lines = kept.outbox

    def post(self, outgoing: Outgoing, at: dt.datetime) -> bool:
        return _add(self._lines, (outgoing.chat, outgoing.key), outgoing, at)

    def post_all(self, messages: Iterable[Outgoing], at: dt.datetime) -> None:
        for outgoing in messages:
            self.post(outgoing, at)

    def claim(
        self, now: dt.datetime, limit: int, *, until: dt.datetime, channels: Collection[str], pushes: bool
    ) -> list[Waiting]:
        first = [line for line in self._first_of(channels) if line.leave_at <= now]
        come = [line for line in first if _waiting(line).outgoing.is_push is pushes]
        claimed = sorted(come, key=lambda line: (line.post_at, line.id))[:limit]
        for line in claimed:
            _change(self._lines, line.id, leave_at=_utc(until))
        return [_waiting(line) for line in claimed]

    def waiting(self, now: dt.datetime, limit: int = 100) -> list[Waiting]:
        free: list[Waiting] = []
        held: set[str] = set()
        for chat, line in self._in_order():
            if line.leave_at > now:
                held.add(chat)
            elif chat not in held:
                free.append(_waiting(line))
        return free[:limit]

    def next_at(self, channels: Collection[str] = ()) -> dt.datetime | None:
        return min((line.leave_at for line in self._first_of(channels)), default=None)

    def mark_sent(self, waiting: int, at: dt.datetime, reference: str) -> None:
        _change(self._lines, waiting, done_at=_utc(at))

    def retry(self, waiting: int, at: dt.datetime, reason: str) -> None:
        _change(self._lines, waiting, tries=1, leave_at=_utc(at))

    def give_up(self, waiting: int, at: dt.datetime, reason: str) -> None:
        _change(self._lines, waiting, tries=1, is_given_up=True, done_at=_utc(at))

    def redirect(self, chat: str, at: dt.datetime, changed: Callable[[Outgoing], Outgoing]) -> None:
        for line in [line for where, line in self._in_order() if where == chat]:
            old = msgspec.json.decode(line.body, type=Outgoing)
            new = changed(old)
            del self._lines[chat, old.key]
            moved = msgspec.structs.replace(line, body=msgspec.json.encode(new), leave_at=_utc(at))
            self._lines.setdefault((new.chat, new.key), moved)

    def prune(self, sent_before: dt.datetime, given_up_before: dt.datetime) -> int:
        def is_old(line: _Line) -> bool:
            return line.done_at < (given_up_before if line.is_given_up else sent_before)

        return _forget(self._lines, is_old)

    def _first_of(self, channels: Collection[str]) -> list[_Line]:
        first: dict[str, _Line] = {}
        for chat, line in self._in_order():
            if not channels or chat.partition(":")[0] in channels:
                first.setdefault(chat, line)
        return list(first.values())

    def _in_order(self) -> list[tuple[str, _Line]]:
        lines = [(chat, line) for (chat, _), line in self._lines.items() if line.done_at is None]
        return sorted(lines, key=lambda entry: (entry[1].post_at, entry[1].id))


class MemoryPeople:
    def __init__(self, kept: _Kept) -> None:
        self._kept = kept

    def member(self, address: str) -> Member | None:
        return self._kept.members.get(address)

    def members(self, farm: int) -> list[Member]:
        return [kept for _, kept in sorted(self._kept.members.items()) if kept.farm == farm]

    def members_of(self, farms: Collection[int]) -> dict[int, list[Member]]:
        return {farm: self.members(farm) for farm in farms}

    def put(self, member: Member) -> None:
        self._kept.members[member.address] = member

    def remove(self, address: str) -> None:
        self._kept.members.pop(address, None)

    def erase(self, address: str, at: dt.datetime) -> None:
        kept = self._kept
        farm = kept.members[address].farm if address in kept.members else None
        words_in = {address} | {c.address for c in kept.chats.values() if c.is_group and c.farm == farm}
        _empty(kept, lambda _, said: address in {said.sender.address, said.chat}, at)
        _drop(kept.outbox, lambda key, _: key[0] == address)
        _drop(kept.dialogs, lambda key, _: key[1] == address or key[0] in words_in)
        kept.chats.pop(address, None)
        kept.members.pop(address, None)

    def chat(self, address: str) -> Chat | None:
        return self._kept.chats.get(address)

    def chats(self, farm: int) -> list[Chat]:
        return [kept for _, kept in sorted(self._kept.chats.items()) if kept.farm == farm]

    def chats_of(self, farms: Collection[int]) -> dict[int, list[Chat]]:
        return {farm: self.chats(farm) for farm in farms}

    def put_chat(self, chat: Chat) -> None:
        self._kept.chats[chat.address] = chat

    def remove_chat(self, address: str) -> None:
        self._kept.chats.pop(address, None)

    def move_chat(self, old: str, new: str) -> None:
        known = self._kept.chats.pop(old, None)
        if known is not None:
            self._kept.chats.setdefault(new, msgspec.structs.replace(known, address=new))

    def put_invite(self, invite: Invite) -> None:
        self._kept.invites[invite.token] = msgspec.structs.replace(invite, expires_at=_utc(invite.expires_at))

    def take_invite(self, token: str, now: dt.datetime) -> Invite | None:
        invite = self._kept.invites.get(token)
        if invite is None or invite.expires_at <= now:
            return None
        return self._kept.invites.pop(token)

    def revoke_invites(self, farm: int) -> None:
        _drop(self._kept.invites, lambda _, invite: invite.farm == farm)

    def prune_invites(self, before: dt.datetime) -> int:
        old = [token for token, invite in self._kept.invites.items() if invite.expires_at <= before]
        for token in old:
            del self._kept.invites[token]
        return len(old)


class MemoryDialogs:
    def __init__(self, kept: _Kept) -> None:
        self._dialogs = kept.dialogs

    def load(self, chat: str, address: str) -> bytes | None:
        return self._dialogs.get((chat, address))

    def save(self, chat: str, address: str, state: bytes) -> None:
        self._dialogs[chat, address] = state

    def move_chat(self, old: str, new: str) -> None:
        for chat, address in [key for key in self._dialogs if key[0] == old]:
            state = self._dialogs.pop((chat, address))
            self._dialogs.setdefault((new, new if address == old else address), state)


def _utc(at: dt.datetime) -> dt.datetime:
    if at.tzinfo is None:
        raise ValueError(f"no time zone: {at.isoformat()}")
    return at.astimezone(dt.UTC)


def _drop(rows: dict, is_meant: Callable[[Any, Any], bool]) -> None:
    for key in [key for key, row in rows.items() if is_meant(key, row)]:
        del rows[key]


def _empty(kept: _Kept, is_meant: Callable[[_Line, Incoming], bool], at: dt.datetime) -> None:
    """Keep of messages that came in the keys alone."""
    for key, line in kept.inbox.items():
        if line.body and is_meant(line, msgspec.json.decode(line.body, type=Incoming)):
            done_at = line.done_at or _utc(at)
            kept.inbox[key] = msgspec.structs.replace(line, body=b"", farm=None, is_given_up=False, done_at=done_at)


def _add(lines: dict, key: object, message: msgspec.Struct, at: dt.datetime, farm: int | None = None) -> bool:
    if key in lines:
        return False
    at = _utc(at)
    number = max((line.id for line in lines.values()), default=0) + 1
    lines[key] = _Line(id=number, body=msgspec.json.encode(message), post_at=at, leave_at=at, farm=farm)
    return True


def _waiting(line: _Line) -> Waiting:
    outgoing = msgspec.json.decode(line.body, type=Outgoing)
    return Waiting(id=line.id, outgoing=outgoing, post_at=line.post_at, tries=line.tries)


def _change(lines: dict, line_id: int, *, tries: int = 0, **changes: object) -> bool:
    for key, line in lines.items():
        if line.id == line_id and line.done_at is None:
            lines[key] = msgspec.structs.replace(line, tries=line.tries + tries, **changes)
            return True
    return False


def _forget(lines: dict, is_old: Callable[[_Line], bool]) -> int:
    old = [key for key, line in lines.items() if line.done_at is not None and is_old(line)]
    for key in old:
        del lines[key]
    return len(old)
