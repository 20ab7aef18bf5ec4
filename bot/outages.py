"""How long to wait after a message could not be sent, by what was the matter, and when not to try others either.

Not for what is waiting: bot.delivery.
"""

import datetime as dt
import logging
import random

from bot.logs import fields
from bot.ports.sending import SendError, Trouble

FIRST_PAUSE = {  # seconds; doubled with each try
    Trouble.MESSAGE: 2.0,
    Trouble.NETWORK: 1.0,
    Trouble.SERVER: 2.0,
    Trouble.FLOOD: 1.0,
}
LONGEST_PAUSE = {  # seconds
    Trouble.MESSAGE: 300.0,
    Trouble.NETWORK: 60.0,  # for as long messages are late after an outage
    Trouble.SERVER: 60.0,
    Trouble.FLOOD: 60.0,
}
CHATS_IN_A_ROW = 5  # that fail with nothing sent in between: then it is not the chats

_LOG = logging.getLogger(__name__)


def pause_after(error: SendError, tries: int, chance: random.Random) -> float:
    """Give the seconds until the next try; `tries` is how often it was tried before."""
    if error.retry_after is not None:
        return max(error.retry_after, 0.0) + chance.uniform(0.1, 1.0)
    longest = min(FIRST_PAUSE[error.trouble] * 2.0 ** min(tries, 16), LONGEST_PAUSE[error.trouble])
    return longest * chance.uniform(0.5, 1.0)


class Outage:
    """Whether a service is out.

    While it is, one message at a time tries whether it is back, at growing intervals, and all others wait: thousands
    of chats that each tried on its own would not find out sooner, and would be late by the longest of their pauses.
    """

    def __init__(self, name: str, chance: random.Random) -> None:
        """Begin with a service that works."""
        self._name = name
        self._chance = chance
        self._failed: set[str] = set()  # chats, since a message was last sent
        self._tries = 0  # whether it is back
        self._until: dt.datetime | None = None  # while it is out: when to try again
        self._pause = dt.timedelta()

    @property
    def again_at(self) -> dt.datetime | None:
        """The time of the next try, while the service is out."""
        return self._until

    def lets_through(self, now: dt.datetime, under_way: int) -> int | None:
        """Tell how many messages may leave now, beside those under way; None for as many as there are."""
        if self._until is None:
            return None
        left = self._until - now
        has_to_wait = dt.timedelta() < left <= self._pause  # longer than that: the clock was set back
        return 0 if under_way or has_to_wait else 1

    def worked(self) -> None:
        """Take note that the service answered, be it that it refused a message."""
        if self._until is not None:
            _LOG.info("the service works again", extra=fields(service=self._name))
        self._failed.clear()
        self._tries = 0
        self._until = None

    def failed(self, chat: str, error: SendError, now: dt.datetime) -> None:
        """Take note that a message could not be sent."""
        if error.trouble is Trouble.MESSAGE:
            return
        self._failed.add(chat)
        is_new = self._until is None
        if is_new and len(self._failed) < CHATS_IN_A_ROW:
            return
        if self.lets_through(now, 0) == 0:
            return  # one of those that were under way when it began
        seconds = pause_after(error, self._tries, self._chance)
        self._tries += 1
        self._pause = dt.timedelta(seconds=seconds)
        self._until = now + self._pause
        if is_new:
            told = fields(service=self._name, trouble=error.trouble.value)
            _LOG.warning("the service is out; one message at a time tries whether it is back", extra=told)
