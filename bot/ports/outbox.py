"""The role of the outbox: messages that wait to be sent, each claimed by one worker at a time."""

import datetime as dt
from collections.abc import Callable, Collection, Iterable, Sequence
from typing import Protocol

import msgspec

from bot.ports.messages import Outgoing


class Waiting(msgspec.Struct, frozen=True, kw_only=True):
    """An outgoing message that waits to be sent, and how often it was tried."""

    id: int
    outgoing: Outgoing
    post_at: dt.datetime  # when it was meant to leave
    tries: int


class Outbox(Protocol):
    """Messages that wait to be sent, each key once a chat."""

    def post(self, outgoing: Outgoing, at: dt.datetime) -> bool:
        """Put a message out; False where its key was posted to that chat before."""
        ...

    def post_all(self, messages: Iterable[Outgoing], at: dt.datetime) -> None:
        """Put messages out, each unless its key was posted to that chat before."""
        ...

    def claim(
        self, now: dt.datetime, limit: int, *, until: dt.datetime, channels: Collection[str], pushes: bool
    ) -> list[Waiting]:
        """Give of each chat the first message, if it may leave now, and keep it from others until a time.

        `channels` are what stands before the colon in the chats' addresses; `pushes` is for those that are pushes, else
        for those that are not. Whoever dies with a claim, or marks nothing
        until then, leaves the message to the next.
        """
        ...

    def waiting(self, now: dt.datetime, limit: int = 100) -> list[Waiting]:
        """Give what may leave now, in order; of a chat only as far as nothing before it is held back."""
        ...

    def next_at(self, channels: Collection[str] = ()) -> dt.datetime | None:
        """Give the earliest time that a message of these channels, of any where none is named, may leave."""
        ...

    def mark_sent(self, waiting: int, at: dt.datetime, reference: str) -> None:
        """Say that a message left; `reference` is the service's own name for it."""
        ...

    def retry(self, waiting: int, at: dt.datetime, reason: str) -> None:
        """Try again at a later time."""
        ...

    def give_up(self, waiting: int, at: dt.datetime, reason: str) -> None:
        """Stop trying; kept for the owner to see."""
        ...

    def redirect(self, chat: str, at: dt.datetime, changed: Callable[[Outgoing], Outgoing]) -> None:
        """Let what waits for a chat leave from a time on as it is changed, to whatever chat it then names.

        What has been posted there already is not posted twice.
        """
        ...

    def prune(self, sent_before: dt.datetime, given_up_before: dt.datetime) -> int:
        """Forget what was sent, and what was given up, before a time, and give how many."""
        ...


class Within(Protocol):
    """A unit of work, as far as the outbox goes."""

    @property
    def outbox(self) -> Outbox: ...  # noqa: D102 - the name says it


class Outlet(Protocol):
    """The way out for answers, which need not wait until somebody looks into the outbox."""

    def claim_within(self, work: Within) -> list[Waiting]:
        """Claim, in a unit of work that posted messages, what may leave once it has ended."""
        ...

    def begin(self, claimed: Sequence[Waiting]) -> None:
        """Send what was claimed within a unit of work that has ended, and take note that it has."""
        ...


class NoOutlet:
    """None: whoever sends looks into the outbox."""

    def claim_within(self, _work: Within) -> list[Waiting]:
        """Claim nothing."""
        return []

    def begin(self, _claimed: Sequence[Waiting]) -> None:
        """Do nothing."""


NO_OUTLET = NoOutlet()
