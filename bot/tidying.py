"""Once an hour, what nobody needs any more leaves the store: keys of handled messages, sent messages, old invites.

Keys are kept for longer than a service keeps an update that it may send again (Telegram: a day), and for less than it
takes to begin its numbers anew (Telegram: after a week without updates, at random), so that no message is taken for one
that was handled long ago. Not for the journal, which is kept for good.
"""

import asyncio
import contextlib
import datetime as dt
import logging

from bot.logs import fields
from bot.ports.clock import Clock
from bot.ports.stores import Store

EVERY = 3600.0  # seconds
HANDLED_FOR = dt.timedelta(days=3)
SENT_FOR = dt.timedelta(days=3)
GIVEN_UP_FOR = dt.timedelta(days=30)  # for the owner to see

_LOG = logging.getLogger(__name__)


class Tidying:
    """Takes out of a store what is old."""

    def __init__(self, store: Store, clock: Clock) -> None:
        self._store = store
        self._clock = clock

    async def run(self, stop: asyncio.Event) -> None:
        """Tidy at the start and every hour, until told to stop."""
        while not stop.is_set():
            try:
                gone = await asyncio.to_thread(self.tidy)
            except Exception as error:  # noqa: BLE001 - whatever ails the store, it is tidied an hour later
                _LOG.warning("the store cannot be tidied", extra=fields(error=error))
            else:
                _LOG.debug("the store is tidied", extra=fields(rows=gone))
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(EVERY):
                    await stop.wait()

    def tidy(self) -> int:
        """Take out what is old and give how many rows that was."""
        now = self._clock.now()
        with self._store.begin() as work:
            gone = work.inbox.prune(now - HANDLED_FOR)
            gone += work.outbox.prune(now - SENT_FOR, now - GIVEN_UP_FOR)
            return gone + work.people.prune_invites(now)
