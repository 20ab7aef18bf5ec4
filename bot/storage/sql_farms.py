"""The list of farms in a database."""

import datetime as dt
from typing import Any

import sqlalchemy as sa

from bot.storage import tables

_FARMS = tables.farms.c
_IDS = sa.select(_FARMS.id).order_by(_FARMS.id)
_SET_NEXT_DUE = (
    sa.update(tables.farms)
    .where(_FARMS.id == sa.bindparam("farm"))
    .values(next_due=sa.bindparam("at", type_=tables.UtcTime))
)
_DUE = (
    sa.select(_FARMS.id)
    .where(_FARMS.next_due <= sa.bindparam("now", type_=tables.UtcTime))
    .order_by(_FARMS.next_due, _FARMS.id)
    .limit(sa.bindparam("most"))
)
_NEXT_DUE = sa.select(sa.func.min(_FARMS.next_due))


class SqlFarms:
    """A row a farm."""

    def __init__(self, connection: sa.Connection) -> None:
        self._connection = connection

    def found(self, at: dt.datetime) -> int:
        """Make a farm and give its id."""
        key: Any = self._connection.execute(sa.insert(tables.farms).values(founded_at=at)).inserted_primary_key
        return int(key[0])

    def ids(self) -> list[int]:
        """Give the ids of all farms."""
        return list(self._connection.scalars(_IDS))

    def set_next_due(self, farm: int, at: dt.datetime | None) -> None:
        """Say when the farm's rules next have something to say; None: not before the next message."""
        self._connection.execute(_SET_NEXT_DUE, {"farm": farm, "at": at})

    def due(self, now: dt.datetime, limit: int = 100) -> list[int]:
        """Give the farms whose time has come, the longest due first."""
        return list(self._connection.scalars(_DUE, {"now": now, "most": limit}))

    def next_due(self) -> dt.datetime | None:
        """Give the earliest time that any farm waits for."""
        at: dt.datetime | None = self._connection.scalar(_NEXT_DUE)
        return at
