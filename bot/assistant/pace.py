"""How many messages of one chat are handled a minute; what comes on top waits in the inbox and is not lost.

Not for how fast messages are sent: the channel sees to that.
"""

import datetime as dt
from collections import deque

MINUTE = dt.timedelta(minutes=1)


class Pace:
    """The times of the last minute's messages, by chat."""

    def __init__(self, a_minute: float) -> None:
        """Let through so many a minute; 0 for no bound."""
        self._a_minute = a_minute
        self._handled: dict[str, deque[dt.datetime]] = {}

    def lets_through(self, chat: str, now: dt.datetime) -> bool:
        """Say whether one more message of a chat may be handled now, and count it if so."""
        if not self._a_minute:
            return True
        times = self._handled.setdefault(chat, deque())
        while times and now - times[0] >= MINUTE:
            times.popleft()
        if len(times) >= self._a_minute:
            return False
        times.append(now)
        return True
