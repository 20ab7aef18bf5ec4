"""Names that one process at a time may hold, let go of by the system when their holder dies.

PostgreSQL: an advisory lock on a connection of its own. SQLite: a lock on a file beside the database, by SQLite's own
means, which work wherever it does.
"""

import contextlib
import hashlib
import sqlite3
from pathlib import Path

import sqlalchemy as sa

from bot.ports.stores import Hold, StoreDownError
from bot.storage.engines import file_of


class NameHold:
    """A name in a database that no other process can reach."""

    def __init__(self, name: str, taken: set[str]) -> None:
        self._name = name
        self._taken = taken
        taken.add(name)

    def is_good(self) -> bool:
        """Say whether it is still ours."""
        return True

    def release(self) -> None:
        """Let go of it."""
        self._taken.discard(self._name)


class FileHold:
    """A lock on a file."""

    def __init__(self, locked: sqlite3.Connection) -> None:
        self._locked = locked

    def is_good(self) -> bool:
        """Say whether it is still ours: nothing but our end takes it from us."""
        return True

    def release(self) -> None:
        """Let go of it."""
        self._locked.close()


class SessionHold:
    """A lock that the database keeps for as long as a connection lives."""

    def __init__(self, connection: sa.Connection) -> None:
        self._connection = connection

    def is_good(self) -> bool:
        """Say whether it is still ours: a database that was restarted has forgotten it."""
        try:
            self._connection.execute(sa.select(1))
        except sa.exc.SQLAlchemyError:
            return False
        return True

    def release(self) -> None:
        """Let go of it."""
        with contextlib.suppress(sa.exc.SQLAlchemyError):  # a connection that is lost has let go already
            self._connection.invalidate()  # closed for good: back in the pool it would keep the lock
        self._connection.close()


def take(engine: sa.Engine, name: str, taken: set[str]) -> Hold | None:
    """Take a name; None while another process has it. `taken` are those of a database in memory."""
    if engine.dialect.name != "sqlite":
        return _take_session(engine, name)
    file = file_of(str(engine.url))
    if file is not None:
        return _take_file(file.with_name(f"{file.name}-{name}"))
    return None if name in taken else NameHold(name, taken)


def _take_session(engine: sa.Engine, name: str) -> SessionHold | None:
    connection = engine.connect().execution_options(isolation_level="AUTOCOMMIT")
    if connection.scalar(sa.select(sa.func.pg_try_advisory_lock(_number(name)))):
        return SessionHold(connection)
    connection.close()
    return None


def _take_file(file: Path) -> FileHold | None:
    locked = None
    try:
        locked = sqlite3.connect(file, timeout=0, isolation_level=None, check_same_thread=False)
        locked.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as error:
        if locked is not None:
            locked.close()
        if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY:  # the lower byte is the kind
            raise StoreDownError(f"{file.name}: {error}") from error
        return None
    return FileHold(locked)


def _number(name: str) -> int:
    """Give a name as the 64 bits with a sign that the database takes."""
    return int.from_bytes(hashlib.blake2b(f"ovipost:{name}".encode(), digest_size=8).digest(), signed=True)
