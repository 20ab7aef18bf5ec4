"""The role of a way out to people, and how it says that a message could not be sent."""

import datetime as dt
import enum
from typing import Protocol

from bot.logs import PlainError
from bot.ports.messages import Outgoing


class Channel(Protocol):
    """A way out to people. `send` raises SendError where it could not."""

    async def send(self, outgoing: Outgoing, *, late_since: dt.datetime | None = None) -> str:
        """Send a message and give the service's own name for it."""
        ...


class Trouble(enum.Enum):
    """What a message that could not be sent suffers from."""

    MESSAGE = "message"  # something about itself or its chat
    NETWORK = "network"  # the service is not reached, or breaks off
    SERVER = "server"  # the service says that it cannot answer
    FLOOD = "flood"  # the service wants to be left alone for a while


class SendError(PlainError):
    """A message could not be sent; the text holds nothing of the message."""

    def __init__(
        self,
        reason: str,
        *,
        trouble: Trouble = Trouble.MESSAGE,
        retry_after: float | None = None,
        is_final: bool = False,
        chat_gone: bool = False,
        moved_to: str | None = None,
    ) -> None:
        """Keep how to go on: seconds to wait, never again, never again to that chat, or to its new address."""
        super().__init__(reason)
        self.trouble = trouble
        self.retry_after = retry_after
        self.is_final = is_final
        self.chat_gone = chat_gone
        self.moved_to = moved_to

    @property
    def is_passing(self) -> bool:
        """Whether the message may get there if it is tried again as it is."""
        return not (self.is_final or self.chat_gone or self.moved_to)
