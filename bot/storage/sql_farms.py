"""The list of farms in a database."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa

from bot.storage import erasing, tables
from bot.storage.session import Session

_FARMS = tables.farms.c
_IDS = sa.select(_FARMS.id).order_by(_FARMS.id)
_LOCK = sa.select(_FARMS.edition).where(_FARMS.id == sa.bindparam("farm")).with_for_update()
_CLAIM_DUE = (
    sa.select(_FARMS.id, _FARMS.edition)
    .where(_FARMS.next_due <= sa.bindparam("now", type_=tables.UtcTime))
    .order_by(_FARMS.next_due, _FARMS.id)
    .limit(sa.bindparam("most"))
    .with_for_update(skip_locked=True)
)
_SET_NEXT_DUE = (
    sa.update(tables.farms)
    .where(_FARMS.id == sa.bindparam("farm"))
    .values(next_due=sa.bindparam("at", type_=tables.UtcTime))
)
_NEXT_DUE = sa.select(sa.func.min(_FARMS.next_due))


class SqlFarms:
    """A row a farm."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def found(self, at: dt.datetime) -> int:
        """Make a farm and give its id."""
        key: Any = self._session.execute(sa.insert(tables.farms).values(founded_at=at)).inserted_primary_key
        return int(key[0])

    def ids(self) -> list[int]:
        """Give the ids of all farms."""
        return list(self._session.scalars(_IDS))

    def lock(self, farm: int) -> int | None:
        """Keep all others from a farm until the unit of work ends, and give its edition; None where it is gone."""
        if farm in self._session.ahead.editions:
            return self._session.ahead.editions[farm]
        edition: int | None = self._session.scalar(_LOCK, {"farm": farm})
        return edition

    def set_next_due(self, farm: int, at: dt.datetime | None) -> None:
        """Say when the farm's rules next have something to say; None: not before the next message."""
        self.set_next_dues({farm: at})

    def set_next_dues(self, times: Mapping[int, dt.datetime | None]) -> None:
        """Say that of several farms."""
        self._session.put_off(_SET_NEXT_DUE, [{"farm": farm, "at": at} for farm, at in times.items()])

    def claim_due(self, now: dt.datetime, limit: int = 100) -> dict[int, int]:
        """Lock the farms whose time has come and that nobody has locked, the longest due first; give their editions."""
        rows = self._session.execute(_CLAIM_DUE, {"now": now, "most": limit})
        return {row.id: row.edition for row in rows}

    def next_due(self) -> dt.datetime | None:
        """Give the earliest time that any farm waits for."""
        at: dt.datetime | None = self._session.scalar(_NEXT_DUE)
        return at

    def erase(self, farm: int, at: dt.datetime) -> None:
        """Delete a farm with its journal, people, chats, invites, dialogs and all messages, waiting or not."""
        erasing.erase_farm(self._session, farm, at)
