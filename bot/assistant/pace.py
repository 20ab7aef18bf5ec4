"""How many messages of one person are handled a minute; what comes on top waits in the inbox and is not lost.

Not for how fast messages are sent: the channel sees to that.
"""

import datetime as dt
from collections import OrderedDict, deque

MINUTE = dt.timedelta(minutes=1)
AT_ONCE = dt.timedelta()


class Pace:
    """The times of the last minute's messages by person, and who was told to be patient; older ones are forgotten."""

    def __init__(self, a_minute: float) -> None:
        """Let through so many a minute; 0 for no bound."""
        self._a_minute = a_minute
        self._handled: OrderedDict[str, deque[dt.datetime]] = OrderedDict()  # who was last let through comes last
        self._told: OrderedDict[str, dt.datetime] = OrderedDict()

    def lets_through(self, person: str, now: dt.datetime) -> bool:
        """Say whether one more message of a person may be handled now, and count it if so."""
        if not self._a_minute:
            return True
        self._forget(now)
        times = self._handled.setdefault(person, deque())
        while times and _is_over(times[0], now):
            times.popleft()
        if len(times) >= self._a_minute:
            return False
        times.append(now)
        self._handled.move_to_end(person)
        return True

    def tells(self, person: str, now: dt.datetime) -> bool:
        """Say whether a person who has to wait is to be told so, once a minute at most."""
        self._forget(now)
        is_told = person in self._told
        self._told.setdefault(person, now)
        return not is_told

    def __len__(self) -> int:
        """Give of how many people something is remembered."""
        return len(self._handled.keys() | self._told.keys())

    def _forget(self, now: dt.datetime) -> None:
        while self._handled and _is_over(next(iter(self._handled.values()))[-1], now):
            self._handled.popitem(last=False)
        while self._told and _is_over(next(iter(self._told.values())), now):
            self._told.popitem(last=False)


def _is_over(at: dt.datetime, now: dt.datetime) -> bool:
    """Say whether a minute has gone by; a time to come is over as well: the clock was set back."""
    return not AT_ONCE <= now - at < MINUTE
