"""Units of work on a database.

Bringing a database's tables up to date is not done here: see migrate.
"""

import contextlib
import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa

from bot.ports.stores import Hold, StoreDownError, UnitOfWork
from bot.ports.tally import Backlog
from bot.storage import holds, sql_backlog, tables, troubles
from bot.storage.engines import is_in_memory, open_engine
from bot.storage.session import Session
from bot.storage.sql_dialogs import SqlDialogs
from bot.storage.sql_farms import SqlFarms
from bot.storage.sql_inbox import SqlInbox
from bot.storage.sql_journal import SqlJournal
from bot.storage.sql_outbox import SqlOutbox
from bot.storage.sql_people import SqlPeople


class SqlUnitOfWork:
    """All roles over one transaction."""

    def __init__(self, session: Session) -> None:
        self.farms = SqlFarms(session)
        self.journal = SqlJournal(session)
        self.inbox = SqlInbox(session)
        self.outbox = SqlOutbox(session)
        self.people = SqlPeople(session)
        self.dialogs = SqlDialogs(session)


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
        with self._transaction() as connection:
            session = Session(connection)
            yield SqlUnitOfWork(session)
            session.flush()

    def backlog(self, now: dt.datetime) -> Backlog:
        """Say how much waits, for whoever watches."""
        with self._transaction() as connection:
            return sql_backlog.backlog(connection, now)

    def server_time(self) -> dt.datetime | None:
        """Give the time by the clock of the database's server; None where there is no server."""
        with self._transaction() as connection:
            if connection.dialect.name == "sqlite":
                return None
            return connection.scalar(sa.select(sa.func.clock_timestamp(type_=sa.DateTime(timezone=True))))

    def hold(self, name: str) -> Hold | None:
        """Take a name for this process alone; None while another one has it."""
        with _ailments_told():
            return holds.take(self._engine, name, self._names)

    @contextmanager
    def _transaction(self) -> Iterator[sa.Connection]:
        if self._is_closed:
            raise ClosedStoreError
        with _ailments_told(), self._engine.begin() as connection:
            yield connection

    def close(self) -> None:
        """Let go of the connections, once the unit of work that another thread may be in has ended."""
        self._is_closed = True
        pool = self._engine.pool
        if isinstance(pool, sa.pool.QueuePool) and pool.size() == 1 and pool.checkedout():
            with contextlib.suppress(sa.exc.TimeoutError), self._engine.connect():
                pass  # it is ours again: whoever had it is done
        self._engine.dispose()


@contextmanager
def _ailments_told() -> Iterator[None]:
    try:
        yield
    except sa.exc.SQLAlchemyError as error:
        if not troubles.is_ailment(error):
            raise
        raise StoreDownError(troubles.first_line(error)) from error
