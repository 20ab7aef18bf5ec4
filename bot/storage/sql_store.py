"""Units of work on a database.

Bringing a database's tables up to date is not done here: see migrate.
"""

import contextlib
from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa

from bot.ports.stores import Hold, StoreDownError, UnitOfWork
from bot.storage import holds, tables
from bot.storage.engines import is_in_memory, open_engine
from bot.storage.sql_dialogs import SqlDialogs
from bot.storage.sql_farms import SqlFarms
from bot.storage.sql_inbox import SqlInbox
from bot.storage.sql_journal import SqlJournal
from bot.storage.sql_outbox import SqlOutbox
from bot.storage.sql_people import SqlPeople

# What ails the database or the way to it, and no statement of ours.
_AILMENTS = (sa.exc.OperationalError, sa.exc.InternalError, sa.exc.InterfaceError, sa.exc.TimeoutError)


class SqlUnitOfWork:
    """All roles over one transaction."""

    def __init__(self, connection: sa.Connection) -> None:
        self.farms = SqlFarms(connection)
        self.journal = SqlJournal(connection)
        self.inbox = SqlInbox(connection)
        self.outbox = SqlOutbox(connection)
        self.people = SqlPeople(connection)
        self.dialogs = SqlDialogs(connection)


class ClosedStoreError(RuntimeError):
    """A unit of work was asked for after the store was closed."""


class SqlStore:
    """A database by its URL; `sqlite://` is one in memory, for scratch, with its tables made at once."""

    def __init__(self, url: str) -> None:
        self._engine = open_engine(url)
        self._is_closed = False
        self._names: set[str] = set()  # that are held, of a database in memory
        if is_in_memory(url):
            tables.METADATA.create_all(self._engine)

    @contextmanager
    def begin(self) -> Iterator[UnitOfWork]:
        """Open a unit of work: committed at the end of the block, rolled back where it raises.

        What ails the store itself comes out as StoreDownError.
        """
        if self._is_closed:
            raise ClosedStoreError
        try:
            with self._engine.begin() as connection:
                yield SqlUnitOfWork(connection)
        except _AILMENTS as ailment:
            raise StoreDownError(_first_line(ailment)) from ailment

    def hold(self, name: str) -> Hold | None:
        """Take a name for this process alone; None while another one has it."""
        try:
            return holds.take(self._engine, name, self._names)
        except _AILMENTS as ailment:
            raise StoreDownError(_first_line(ailment)) from ailment

    def close(self) -> None:
        """Let go of the connections, once the unit of work that another thread may be in has ended."""
        self._is_closed = True
        pool = self._engine.pool
        if isinstance(pool, sa.pool.QueuePool) and pool.checkedout():
            with contextlib.suppress(sa.exc.TimeoutError), self._engine.connect():
                pass  # it is ours again: whoever had it is done
        self._engine.dispose()


def _first_line(ailment: sa.exc.SQLAlchemyError) -> str:
    """Give the database's own words without the statement, which may hold what people wrote."""
    return str(getattr(ailment, "orig", None) or type(ailment).__name__).strip().splitlines()[0]
