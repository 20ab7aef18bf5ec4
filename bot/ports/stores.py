"""The roles that keep things: journal, inbox, outbox, people, dialogs, all in one unit of work.

Times are aware datetimes. Nothing here knows of a database.
"""

import datetime as dt
from collections.abc import Collection, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Protocol

import msgspec

from bot.logs import PlainError
from bot.ports.messages import Incoming
from bot.ports.outbox import Outbox
from bot.ports.tally import Backlog
from core.journal.event import Event
from core.journal.kinds import Role


class Member(msgspec.Struct, frozen=True, kw_only=True):
    """A person of a farm, by the address that they write from."""

    address: str
    farm: int
    name: str  # as the farm's journal names them, unique within the farm
    role: Role
    language: str = ""  # code as their service gave it first: es; empty where it gave none


class Chat(msgspec.Struct, frozen=True, kw_only=True):
    """A chat that a farm's reminders go to."""

    address: str
    farm: int
    is_group: bool


class Invite(msgspec.Struct, frozen=True, kw_only=True):
    """A way into a farm, good once."""

    token: str
    farm: int
    role: Role
    expires_at: dt.datetime


class Received(msgspec.Struct, frozen=True, kw_only=True):
    """An incoming message that waits to be handled."""

    id: int
    incoming: Incoming
    tries: int


class NumberTakenError(Exception):
    """Another process wrote to the journal in between; the unit of work has to be done again."""


class StoreDownError(PlainError):
    """The store cannot be used for now: locked, full, read-only, not reached. Nothing of the unit of work was kept."""


class Journal(Protocol):
    """Append-only events of all farms; only an erasure that a person asks for rewrites any."""

    def append(self, farm: int, events: Sequence[Event]) -> None:
        """Add events; raise NumberTakenError, at the latest at the end of the unit of work, where a number is taken."""
        ...

    def append_all(self, news: Mapping[int, Sequence[Event]]) -> None:
        """Add events of several farms, as `append` does."""
        ...

    def since(self, farm: int, number: int = 0) -> list[Event]:
        """Give the events with a higher number, by number."""
        ...

    def of(self, farms: Collection[int]) -> dict[int, list[Event]]:
        """Give all events of each farm, by number."""
        ...

    def rewrite(self, farm: int, events: Sequence[Event]) -> None:
        """Put events in the place of those with their numbers and raise the farm's edition; for an erasure alone."""
        ...


class Farms(Protocol):
    """The farms and when their rules next have something to say."""

    def found(self, at: dt.datetime) -> int:
        """Make a farm and give its id."""
        ...

    def ids(self) -> list[int]:
        """Give the ids of all farms."""
        ...

    def lock(self, farm: int) -> int | None:
        """Keep all others from a farm until the unit of work ends, and give its edition; None where it is gone.

        The edition counts how often the past was rewritten, so that whoever keeps a folded farm knows it for outdated.
        """
        ...

    def set_next_due(self, farm: int, at: dt.datetime | None) -> None:
        """Say when the farm's rules next have something to say; None: not before the next message."""
        ...

    def set_next_dues(self, times: Mapping[int, dt.datetime | None]) -> None:
        """Say that of several farms."""
        ...

    def claim_due(self, now: dt.datetime, limit: int = 100) -> dict[int, int]:
        """Lock the farms whose time has come and that nobody has locked, the longest due first; give their editions."""
        ...

    def next_due(self) -> dt.datetime | None:
        """Give the earliest time that any farm waits for."""
        ...

    def erase(self, farm: int, at: dt.datetime) -> None:
        """Delete a farm with its journal, people, chats, invites, dialogs and all messages, waiting or not.

        Of messages that came in only the keys stay. Its id is never given again.
        """
        ...


class Inbox(Protocol):
    """Messages that were taken from a service and wait to be handled, each kept once."""

    def store(self, incoming: Incoming, at: dt.datetime) -> bool:
        """Keep a message; False where its key is known already."""
        ...

    def store_all(self, messages: Sequence[Incoming], at: dt.datetime) -> int:
        """Keep messages, and give how many had keys that were not known already."""
        ...

    def claim(self, limit: int = 16, *, passing_over: Collection[str] = ()) -> list[Received]:
        """Give what waits, in order of arrival, of each chat and of each farm the first, and keep others from it.

        The claim ends with the unit of work, so that what a worker had claimed when it died is free at once. People
        whose addresses are passed over have nothing in the line: neither their messages nor what waits behind them.
        """
        ...

    def mark_handled(self, received: int, at: dt.datetime) -> None:
        """Take one off the list of those that wait; only its key is kept."""
        ...

    def mark_failed(self, received: int, at: dt.datetime, reason: str, *, give_up: bool) -> bool:
        """Count a failed try; `give_up` takes it off the list, kept for the owner to see. False: it waits no more."""
        ...

    def prune(self, before: dt.datetime) -> int:
        """Forget the keys of what was handled before a time, and give how many."""
        ...


class People(Protocol):
    """Who may speak for which farm, and the chats that its reminders go to."""

    def member(self, address: str) -> Member | None:
        """Find the person who writes from an address."""
        ...

    def members(self, farm: int) -> list[Member]:
        """Give the people of a farm."""
        ...

    def members_of(self, farms: Collection[int]) -> dict[int, list[Member]]:
        """Give the people of each farm."""
        ...

    def put(self, member: Member) -> None:
        """Add a person or change what is kept of them."""
        ...

    def remove(self, address: str) -> None:
        """Take a person out."""
        ...

    def erase(self, address: str, at: dt.datetime) -> None:
        """Take a person out with their own chat, all dialogs that hold their words, and messages from and to them."""
        ...

    def chat(self, address: str) -> Chat | None:
        """Find a chat."""
        ...

    def chats(self, farm: int) -> list[Chat]:
        """Give the chats that a farm's reminders go to."""
        ...

    def chats_of(self, farms: Collection[int]) -> dict[int, list[Chat]]:
        """Give the chats that each farm's reminders go to."""
        ...

    def put_chat(self, chat: Chat) -> None:
        """Add a chat."""
        ...

    def remove_chat(self, address: str) -> None:
        """Take a chat out: it was deleted, or the assistant was blocked there."""
        ...

    def move_chat(self, old: str, new: str) -> None:
        """Give a chat another address, where it is known; one that is known by both is kept once."""
        ...

    def put_invite(self, invite: Invite) -> None:
        """Keep an invite."""
        ...

    def take_invite(self, token: str, now: dt.datetime) -> Invite | None:
        """Give an invite that is still good and use it up."""
        ...

    def revoke_invites(self, farm: int) -> None:
        """Make all open invites to a farm useless."""
        ...

    def prune_invites(self, before: dt.datetime) -> int:
        """Forget the invites that were good until a time gone by, and give how many."""
        ...


class Dialogs(Protocol):
    """What is open between the assistant and one person in one chat, as bytes that the assistant reads and writes."""

    def load(self, chat: str, address: str) -> bytes | None:
        """Give what was saved last."""
        ...

    def save(self, chat: str, address: str, state: bytes) -> None:
        """Keep it in place of what was saved before."""
        ...

    def move_chat(self, old: str, new: str) -> None:
        """Give a chat another address; where something is open under the new one, that stays."""
        ...


class UnitOfWork(Protocol):
    """All stores within one transaction."""

    @property
    def farms(self) -> Farms: ...  # noqa: D102 - the name says it
    @property
    def journal(self) -> Journal: ...  # noqa: D102
    @property
    def inbox(self) -> Inbox: ...  # noqa: D102
    @property
    def outbox(self) -> Outbox: ...  # noqa: D102
    @property
    def people(self) -> People: ...  # noqa: D102
    @property
    def dialogs(self) -> Dialogs: ...  # noqa: D102


class Hold(Protocol):
    """A name that one process has to itself, until it lets go of it or dies."""

    def is_good(self) -> bool:
        """Say whether it is still ours: a database that was restarted has forgotten it."""
        ...

    def release(self) -> None:
        """Let go of it."""
        ...


class Store(Protocol):
    """Where units of work come from."""

    def begin(self) -> AbstractContextManager[UnitOfWork]:
        """Open a unit of work: committed at the end of the block, rolled back where it raises.

        What ails the store itself comes out as StoreDownError.
        """
        ...

    def backlog(self, now: dt.datetime) -> Backlog:
        """Say how much waits, for whoever watches."""
        ...

    def hold(self, name: str) -> Hold | None:
        """Take a name for this process alone; None while another one has it."""
        ...
