"""The inbox in a database."""

import datetime as dt
from collections.abc import Collection

import msgspec
import sqlalchemy as sa

from bot.ports.messages import Incoming
from bot.ports.stores import Received
from bot.storage import tables
from bot.storage.inserts import insert_once

_INBOX = tables.inbox.c
_WAITING = (
    sa.select(_INBOX.id, _INBOX.body, _INBOX.tries)
    .where(_INBOX.done_at.is_(None))
    .order_by(_INBOX.id)
    .limit(sa.bindparam("most"))
)
_THIS = sa.update(tables.inbox).where(_INBOX.id == sa.bindparam("received"))
# The key alone is kept, so that the message is known should it come again; who wrote what is not.
_HANDLED = _THIS.values(done_at=sa.bindparam("at", type_=tables.UtcTime), failure=None, body="", chat="")
_FAILED = _THIS.values(
    done_at=sa.bindparam("at", type_=tables.UtcTime), tries=_INBOX.tries + 1, failure=sa.bindparam("reason")
)

_ENCODER = msgspec.json.Encoder()
_DECODER = msgspec.json.Decoder(Incoming)


class SqlInbox:
    """A row a message, its key unique."""

    def __init__(self, connection: sa.Connection) -> None:
        self._connection = connection

    def store(self, incoming: Incoming, at: dt.datetime) -> bool:
        """Keep a message; False where its key is known already."""
        return insert_once(
            self._connection,
            tables.inbox,
            ("key",),
            key=incoming.key,
            chat=incoming.chat,
            body=_ENCODER.encode(incoming).decode(),
            stored_at=at,
            tries=0,
        )

    def waiting(self, limit: int = 100, *, passing_over: Collection[str] = ()) -> list[Received]:
        """Give what waits, in order of arrival, but for what came from the chats that are passed over."""
        wanted = _WAITING.where(_INBOX.chat.not_in(passing_over)) if passing_over else _WAITING
        rows = self._connection.execute(wanted, {"most": limit})
        return [Received(id=id_, incoming=_DECODER.decode(body), tries=tries) for id_, body, tries in rows]

    def mark_handled(self, received: int, at: dt.datetime) -> None:
        """Take one off the list of those that wait."""
        self._connection.execute(_HANDLED, {"received": received, "at": at})

    def mark_failed(self, received: int, at: dt.datetime, reason: str, *, give_up: bool) -> None:
        """Count a failed try; `give_up` takes it off the list, kept for the owner to see."""
        self._connection.execute(_FAILED, {"received": received, "at": at if give_up else None, "reason": reason})
