"""From Telegram's wire into the inbox: what long polling and the webhook have in common."""

from collections.abc import Sequence
from typing import Protocol

from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.request import Json
from bot.channels.telegram.updates import Taken, taken
from bot.ports.clock import Clock
from bot.ports.messages import Incoming


class Take(Protocol):
    """What stores messages for good before it returns, all or none; gives how many were not known already."""

    def __call__(self, *messages: Incoming) -> int: ...  # noqa: D102 - the class says it


class Intake:
    """Stores updates; blocks, so that it is called in a thread."""

    def __init__(self, account: TelegramAccount, take: Take, clock: Clock) -> None:
        """Store nothing yet; the account has to be signed in when `store` is called."""
        self._account = account
        self._take = take
        self._clock = clock

    def store(self, updates: Sequence[Json]) -> list[Taken]:
        """Store updates, all or none, and give those that hold something for us; what `take` raises passes through."""
        now, name = self._clock.now(), self._account.username
        read = [found for raw in updates if (found := taken(raw, name, now)) is not None]
        if read:
            self._take(*(found.incoming for found in read))
        return read
