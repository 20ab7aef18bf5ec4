"""The journal in a database."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from bot.ports.stores import NumberTakenError
from bot.storage import tables
from bot.storage.session import Row, Session
from core.journal import codec
from core.journal.event import Event

_EVENTS = tables.events.c
_APPEND = sa.insert(tables.events)
# A journal is read by the thousand rows: its times come as they are kept, and event_of makes them moments.
_SAID_AT, _HAPPENED_AT = (sa.type_coerce(at, sa.BigInteger) for at in (_EVENTS.said_at, _EVENTS.happened_at))
OF_EVENT = (_EVENTS.number, _SAID_AT, _HAPPENED_AT, _EVENTS.by, _EVENTS.message, _EVENTS.body)
_SINCE = (
    sa.select(*OF_EVENT)
    .where(_EVENTS.farm == sa.bindparam("of_farm"), _EVENTS.number > sa.bindparam("after"))
    .order_by(_EVENTS.number)
)
_OF = (
    sa.select(_EVENTS.farm, *OF_EVENT)
    .where(_EVENTS.farm.in_(sa.bindparam("farms", expanding=True)))
    .order_by(_EVENTS.farm, _EVENTS.number)
)
_REWRITE = (
    sa.update(tables.events)
    .where(_EVENTS.farm == sa.bindparam("of_farm"), _EVENTS.number == sa.bindparam("of_number"))
    .values({name: sa.bindparam(f"new_{name}") for name in ("by", "message", "body")})
)
_NEW_EDITION = (
    sa.update(tables.farms)
    .where(tables.farms.c.id == sa.bindparam("of_farm"))
    .values(edition=tables.farms.c.edition + 1)
)  # fmt: skip
# How the drivers of PostgreSQL and of SQLite say that a unique key is there already.
_UNIQUE_VIOLATIONS = {"23505", "SQLITE_CONSTRAINT_PRIMARYKEY", "SQLITE_CONSTRAINT_UNIQUE"}


class SqlJournal:
    """Events as rows, a farm's by number."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def append(self, farm: int, events: Sequence[Event]) -> None:
        """Add events; raise NumberTakenError where one of their numbers is taken."""
        self.append_all({farm: events})

    def append_all(self, news: Mapping[int, Sequence[Event]]) -> None:
        """Add events of several farms, as `append` does."""
        rows = [
            {
                "farm": farm,
                "number": event.number,
                "said_at": event.said_at,
                "happened_at": event.happened_at,
                "by": event.by,
                "message": event.message,
                "body": codec.encode(event.body).decode(),
            }
            for farm, events in news.items()
            for event in events
        ]
        for farm in news:
            self._session.ahead.last.pop(farm, None)
        if rows:
            self._session.put_off_to(_APPEND, _append, rows)

    def since(self, farm: int, number: int = 0) -> list[Event]:
        """Give the events with a higher number, by number."""
        last = self._session.ahead.last.get(farm)
        if last is not None and number >= last.number - 1:
            return [last] if last.number > number else []
        return [event_of(row) for row in self._session.execute(_SINCE, {"of_farm": farm, "after": number})]

    def of(self, farms: Collection[int]) -> dict[int, list[Event]]:
        """Give all events of each farm, by number."""
        found: dict[int, list[Event]] = {farm: [] for farm in farms}
        for farm, *row in self._session.execute(_OF, {"farms": list(farms)}).all() if farms else ():
            found[farm].append(event_of(row))
        return found

    def rewrite(self, farm: int, events: Sequence[Event]) -> None:
        """Put events in the place of those with their numbers and raise the farm's edition; for an erasure alone."""
        rows = [
            {
                "of_farm": farm,
                "of_number": event.number,
                "new_by": event.by,
                "new_message": event.message,
                "new_body": codec.encode(event.body).decode(),
            }
            for event in events
        ]
        if rows:
            self._session.execute(_REWRITE, rows)
        self._session.execute(_NEW_EDITION, {"of_farm": farm})


def _append(connection: sa.Connection, rows: Sequence[Row]) -> None:
    try:
        connection.execute(_APPEND, rows)
    except sa.exc.IntegrityError as error:
        if not _is_taken(error):
            raise
        numbers = [(row["farm"], row["number"]) for row in rows]
        raise NumberTakenError(f"one of these (farm, number): {numbers}") from error


def event_of(row: Sequence[Any]) -> Event:
    """Read a row of the columns of an event."""
    number, said_at, happened_at, by, message, body = row
    said = tables.moment(said_at)
    return Event(
        number=number,
        said_at=said,
        happened_at=said if happened_at == said_at else tables.moment(happened_at),
        by=by,
        message=message,
        body=codec.decode(body),
    )


def _is_taken(error: sa.exc.IntegrityError) -> bool:
    codes = (getattr(error.orig, name, None) for name in ("sqlstate", "sqlite_errorname"))
    return not _UNIQUE_VIOLATIONS.isdisjoint(codes)
