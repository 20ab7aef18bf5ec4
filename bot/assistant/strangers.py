"""People who were turned away lately: each is told a reason once a day, and may try only so many invites an hour.

What is remembered is bounded, and gone with the process. Not for who is turned away: membership.
"""

import datetime as dt
from collections import OrderedDict

TOLD_FOR = dt.timedelta(days=1)
TRIES = 5  # invites that are no good, from one person
TRIED_FOR = dt.timedelta(hours=1)
MOST = 10_000  # of each kind; what was noted longest ago is forgotten first


class Strangers:
    """Whom the assistant need not answer again."""

    def __init__(self) -> None:
        self._told: OrderedDict[tuple[str, str], dt.datetime] = OrderedDict()
        self._tries: OrderedDict[str, tuple[dt.datetime, int]] = OrderedDict()  # since when, and how many

    def may_try(self, address: str, now: dt.datetime) -> bool:
        """Say whether one more invite of a person is looked up."""
        return self._tries_of(address, now)[1] < TRIES

    def note_try(self, address: str, now: dt.datetime) -> None:
        """Count an invite that was no good."""
        since, tries = self._tries_of(address, now)
        self._tries.pop(address, None)
        self._tries[address] = since, tries + 1
        if len(self._tries) > MOST:
            self._tries.popitem(last=False)

    def tells(self, address: str, reason: str, now: dt.datetime) -> bool:
        """Say whether a person is to be told why they are turned away, and note that they were."""
        at = self._told.get((address, reason))
        if at is not None and _is_within(TOLD_FOR, at, now):
            return False
        self._told.pop((address, reason), None)
        self._told[address, reason] = now
        if len(self._told) > MOST:
            self._told.popitem(last=False)
        return True

    def forget_told(self) -> None:
        """Tell everybody anew: what was said may not have left."""
        self._told.clear()

    def __len__(self) -> int:
        """Give how much is remembered."""
        return len(self._told) + len(self._tries)

    def _tries_of(self, address: str, now: dt.datetime) -> tuple[dt.datetime, int]:
        since, tries = self._tries.get(address, (now, 0))
        return (since, tries) if _is_within(TRIED_FOR, since, now) else (now, 0)


def _is_within(span: dt.timedelta, at: dt.datetime, now: dt.datetime) -> bool:
    return dt.timedelta() <= now - at < span
