"""From Telegram's wire into the inbox: what long polling and the webhook have in common."""

import logging
from collections.abc import Sequence
from typing import Protocol

from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.updates import Taken, taken
from bot.logs import fields
from bot.ports.clock import Clock
from bot.ports.messages import Incoming
from bot.ports.stores import StoreDownError

_log = logging.getLogger(__name__)


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

    def store(self, updates: Sequence[object]) -> list[Taken]:
        """Store updates and give those that hold something for us; where it raises, they are to be brought again.

        One that cannot be stored although others can is passed over: it would stand in the way of all behind it.
        """
        now, name = self._clock.now(), self._account.username
        read = [found for raw in updates if (found := taken(raw, name, now)) is not None]
        if not read:
            return []
        try:
            self._take(*(found.incoming for found in read))
        except StoreDownError:
            raise
        except Exception:
            if len(read) == 1:
                raise
            return self._store_each(read)
        return read

    def _store_each(self, read: Sequence[Taken]) -> list[Taken]:
        stored: list[Taken] = []
        failures: list[tuple[str, Exception]] = []
        for found in read:
            try:
                self._take(found.incoming)
            except StoreDownError:
                raise
            except Exception as failure:  # noqa: BLE001 - whatever it was, the others may fare better
                failures.append((found.incoming.key, failure))
            else:
                stored.append(found)
        if failures and not stored:
            raise failures[0][1]
        for key, odd in failures:
            _log.error("an update cannot be stored and is passed over", extra=fields(key=key, error=odd))
        return stored
