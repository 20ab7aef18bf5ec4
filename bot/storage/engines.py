"""Opening a database, each kind in the way that loses nothing.

SQLite: write-ahead log, a full sync a commit, foreign keys on, and every transaction takes the write lock at its start,
because two that read first and then write under a deferred BEGIN fail one another.
"""

from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event, pool

BUSY_SECONDS = 10  # how long one process waits for another's transaction; ours take milliseconds


def open_engine(url: str) -> sa.Engine:
    """Make an engine; it connects when it is first used."""
    if sa.make_url(url).get_backend_name() != "sqlite":
        return sa.create_engine(url, hide_parameters=True)
    # One connection, which the threads of this process hand to one another: they queue in memory instead of polling
    # the file's lock, and a database in memory is one and the same for all of them.
    engine = sa.create_engine(
        url,
        hide_parameters=True,  # an error that is logged must not hold what people wrote
        poolclass=pool.QueuePool,
        pool_size=1,
        max_overflow=0,
        pool_timeout=BUSY_SECONDS,
        connect_args={"timeout": BUSY_SECONDS, "check_same_thread": False},
    )
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def file_of(url: str) -> Path | None:
    """Name the file of a SQLite database; None for one in memory and for any other kind."""
    parsed = sa.make_url(url)
    if parsed.get_backend_name() != "sqlite" or parsed.database in (None, "", ":memory:"):
        return None
    return Path(str(parsed.database))


def is_in_memory(url: str) -> bool:
    """Tell a database that is gone with its connection."""
    return sa.make_url(url).get_backend_name() == "sqlite" and file_of(url) is None


def _prepare(connection: Any, _record: object) -> None:  # noqa: ANN401 - sqlite3 or a driver like it
    connection.isolation_level = None  # BEGIN is ours, not the driver's
    cursor = connection.cursor()
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin(connection: sa.Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")
