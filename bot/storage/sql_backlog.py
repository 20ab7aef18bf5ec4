"""How much waits in a database, in three statements over its indexes."""

import datetime as dt

import sqlalchemy as sa

from bot.ports.tally import Backlog
from bot.storage import tables

_NOW = sa.bindparam("now", type_=tables.UtcTime)
_COUNT = sa.func.count()
_INBOX = sa.select(_COUNT, sa.func.min(tables.inbox.c.stored_at)).where(tables.inbox.c.done_at.is_(None))
# By the time that each was meant to leave: one that is claimed, or tried again later, waits all the same.
_OUTBOX = sa.select(_COUNT, sa.func.min(tables.outbox.c.post_at)).where(
    tables.outbox.c.done_at.is_(None), tables.outbox.c.post_at <= _NOW
)
_FARMS = sa.select(_COUNT).where(tables.farms.c.next_due <= _NOW)


def backlog(connection: sa.Connection, now: dt.datetime) -> Backlog:
    """Say how much waits."""
    inbox_waiting, inbox_oldest = connection.execute(_INBOX).one()
    outbox_waiting, outbox_oldest = connection.execute(_OUTBOX, {"now": now}).one()
    return Backlog(
        inbox_waiting=inbox_waiting,
        inbox_oldest=inbox_oldest,
        outbox_waiting=outbox_waiting,
        outbox_oldest=outbox_oldest,
        farms_due=connection.scalar(_FARMS, {"now": now}) or 0,
    )
