"""From Telegram's wire into the inbox: what long polling and the webhook have in common."""

from collections.abc import Callable

from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.request import Json
from bot.channels.telegram.updates import Taken, taken
from bot.ports.clock import Clock
from bot.ports.messages import Incoming

Take = Callable[[Incoming], bool]  # stores a message for good before it returns; False where it was known already


class Intake:
    """Stores updates; blocks, so that it is called in a thread."""

    def __init__(self, account: TelegramAccount, take: Take, clock: Clock) -> None:
        """Store nothing yet; the account has to be signed in when `store` is called."""
        self._account = account
        self._take = take
        self._clock = clock

    def store(self, raw: Json) -> Taken | None:
        """Store an update, whatever `take` raises passes through; None where it holds nothing for us."""
        read = taken(raw, self._account.username, self._clock.now())
        if read is not None:
            self._take(read.incoming)
        return read
