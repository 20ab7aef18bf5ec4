"""The role of a way out to people, and how it says that a message could not be sent."""

import datetime as dt
from typing import Protocol

from bot.ports.messages import Outgoing


class Channel(Protocol):
    """A way out to people. `send` raises SendError where it could not."""

    async def send(self, outgoing: Outgoing, *, late_since: dt.datetime | None = None) -> str:
        """Send a message and give the service's own name for it."""
        ...


class SendError(Exception):
    """A message could not be sent."""

    def __init__(
        self, reason: str, *, retry_after: float | None = None, is_final: bool = False, chat_gone: bool = False
    ) -> None:
        """Keep how to go on: seconds to wait, never again, or never again to that chat."""
        super().__init__(reason)
        self.retry_after = retry_after
        self.is_final = is_final
        self.chat_gone = chat_gone
