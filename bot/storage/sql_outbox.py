"""The outbox in a database."""

import datetime as dt

import msgspec
import sqlalchemy as sa

from bot.ports.messages import Outgoing
from bot.ports.stores import Waiting
from bot.storage import tables
from bot.storage.inserts import insert_once

_OUTBOX = tables.outbox.c
_EARLIER = tables.outbox.alias("earlier").c
_NOW = sa.bindparam("now", type_=tables.UtcTime)

# Messages of the same chat that stand before this one in line. A chat's line is by the time that each was meant to
# leave, so that one posted for tonight does not hold back an answer given now.
_BEFORE = sa.and_(
    _EARLIER.chat == _OUTBOX.chat,
    _EARLIER.done_at.is_(None),
    sa.tuple_(_EARLIER.post_at, _EARLIER.id) < sa.tuple_(_OUTBOX.post_at, _OUTBOX.id),
)
_WAITING = (
    sa.select(_OUTBOX.id, _OUTBOX.body, _OUTBOX.post_at, _OUTBOX.tries)
    .where(_OUTBOX.done_at.is_(None), _OUTBOX.leave_at <= _NOW)
    .where(~sa.exists().where(_BEFORE, _EARLIER.leave_at > _NOW))
    .order_by(_OUTBOX.post_at, _OUTBOX.id)
    .limit(sa.bindparam("most"))
)
# The first in line of each chat says when the chat goes on.
_NEXT_AT = (
    sa.select(_OUTBOX.leave_at)
    .where(_OUTBOX.done_at.is_(None))
    .where(~sa.exists().where(_BEFORE))
    .order_by(_OUTBOX.leave_at)
    .limit(1)
)
_THIS = sa.update(tables.outbox).where(_OUTBOX.id == sa.bindparam("waiting"))
_AT = sa.bindparam("at", type_=tables.UtcTime)
# What was said stays in the chat and what was recorded in the journal; here it is needed no longer.
_SENT = _THIS.values(
    done_at=_AT,
    reference=sa.bindparam("name"),
    failure=None,
    body="",
    chat=sa.case((_OUTBOX.is_kept, _OUTBOX.chat), else_=""),
)
_RETRY = _THIS.values(leave_at=_AT, tries=_OUTBOX.tries + 1, failure=sa.bindparam("reason"))
_GIVE_UP = _THIS.values(done_at=_AT, tries=_OUTBOX.tries + 1, failure=sa.bindparam("reason"))

_ENCODER = msgspec.json.Encoder()
_DECODER = msgspec.json.Decoder(Outgoing)


class SqlOutbox:
    """A row a message, its key unique within the chat."""

    def __init__(self, connection: sa.Connection) -> None:
        self._connection = connection

    def post(self, outgoing: Outgoing, at: dt.datetime) -> bool:
        """Put a message out; False where its key was posted to that chat before."""
        return insert_once(
            self._connection,
            tables.outbox,
            ("chat", "key"),
            key=outgoing.key,
            chat=outgoing.chat,
            body=_ENCODER.encode(outgoing).decode(),
            post_at=at,
            leave_at=at,
            tries=0,
            is_kept=outgoing.is_kept,
        )

    def waiting(self, now: dt.datetime, limit: int = 100) -> list[Waiting]:
        """Give what may leave now, in order; of a chat only as far as nothing before it is held back."""
        rows = self._connection.execute(_WAITING, {"now": now, "most": limit})
        return [
            Waiting(id=id_, outgoing=_DECODER.decode(body), post_at=post_at, tries=tries)
            for id_, body, post_at, tries in rows
        ]

    def next_at(self) -> dt.datetime | None:
        """Give the earliest time that a message may leave."""
        return self._connection.scalar(_NEXT_AT)

    def mark_sent(self, waiting: int, at: dt.datetime, reference: str) -> None:
        """Say that a message left; `reference` is the service's own name for it."""
        self._connection.execute(_SENT, {"waiting": waiting, "at": at, "name": reference})

    def retry(self, waiting: int, at: dt.datetime, reason: str) -> None:
        """Try again at a later time."""
        self._connection.execute(_RETRY, {"waiting": waiting, "at": at, "reason": reason})

    def give_up(self, waiting: int, at: dt.datetime, reason: str) -> None:
        """Stop trying; kept for the owner to see."""
        self._connection.execute(_GIVE_UP, {"waiting": waiting, "at": at, "reason": reason})
