"""What is counted of the work done, and how much still waits, for whoever watches the program."""

import datetime as dt
import enum
from typing import Protocol

import msgspec


class Counted(enum.StrEnum):
    """What is worth counting."""

    HANDLED = "handled"  # a message from the inbox
    FAILED = "failed"  # a try to handle one
    SENT = "sent"  # a message from the outbox
    RETRIED = "retried"  # one that could not be sent and is tried again
    GIVEN_UP = "given_up"  # one that never can be sent
    REMINDED = "reminded"  # a reminder posted


class Tally(Protocol):
    """Counts what was done, from any thread."""

    def count(self, what: Counted, many: int = 1) -> None:
        """Add to what was done since the program started."""
        ...


class NoTally:
    """Counts nothing, where nobody watches."""

    def count(self, what: Counted, many: int = 1) -> None:
        """Do nothing."""


UNCOUNTED = NoTally()


class Backlog(msgspec.Struct, frozen=True, kw_only=True):
    """What waits at one moment; of what does not wait there is no oldest."""

    inbox_waiting: int = 0  # messages stored and not handled
    inbox_oldest: dt.datetime | None = None  # when the first of them was stored
    outbox_waiting: int = 0  # messages that should have left by now
    outbox_oldest: dt.datetime | None = None  # when the first of them should have left
    farms_due: int = 0  # whose rules have something to say by now
