"""How long to wait after a message could not be sent, by what was the matter, and when not to try others either.

Not for what is waiting: bot.delivery.
"""

import datetime as dt
import logging
import random

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


def pause(error: SendError, tries: int, chance: random.Random) -> float:
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
        self._is_trying = False

    @property
    def is_on(self) -> bool:
        """Say whether the service is out."""
        return self._until is not None

    def lets_through(self, now: dt.datetime) -> int | None:
        """Tell how many messages may leave now; None for as many as there are."""
        if self._until is None:
            return None
        left = self._until - now
        has_to_wait = dt.timedelta() < left <= self._pause  # longer than that: the clock was set back
        return 0 if self._is_trying or has_to_wait else 1

    def again_at(self) -> dt.datetime | None:
        """Give the time of the next try, where the service is out."""
        return self._until

    def try_out(self) -> None:
        """Take note that a message leaves to find out."""
        self._is_trying = self.is_on

    def worked(self) -> None:
        """Take note that the service answered, be it that it refused a message."""
        if self.is_on:
            _LOG.info("%s works again", self._name)
        self._failed.clear()
        self._tries = 0
        self._until = None
        self._is_trying = False

    def failed(self, chat: str, error: SendError, now: dt.datetime) -> None:
        """Take note that a message could not be sent."""
        if error.trouble is Trouble.MESSAGE:
            return
        self._failed.add(chat)
        was_trying, self._is_trying = self._is_trying, False
        is_new = self._until is None and len(self._failed) >= CHATS_IN_A_ROW
        if not is_new and not was_trying:
            return
        seconds = pause(error, self._tries, self._chance)
        self._tries += 1
        self._pause = dt.timedelta(seconds=seconds)
        self._until = now + self._pause
        if is_new:
            _LOG.warning(
                "%s is out (%s); one message at a time tries whether it is back", self._name, error.trouble.value
            )
