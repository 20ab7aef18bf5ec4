"""Opening a database, each kind in the way that loses nothing.

SQLite: write-ahead log, a full sync a commit, foreign keys on, what is deleted overwritten, and every transaction takes
the write lock at its start, because two that read first and then write under a deferred BEGIN fail one another.

PostgreSQL: both sides notice within half a minute that the other is gone, so that what a dead worker had locked is free
again, and nobody waits for a lock without end.
"""

from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy import event, pool

BUSY_SECONDS = 10  # how long one process waits for another's transaction; ours take milliseconds

# What a worker has open at once: one unit of work of each loop, and one of each update that comes in at that moment.
POOL_SIZE = 8
MOST_CONNECTIONS = 16

# Of libpq. The address may say otherwise: these stand back behind what its query part names.
CLIENT = {
    "application_name": "ovipost",
    "client_encoding": "utf8",
    "connect_timeout": 5,
    "keepalives_idle": 10,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 20_000,  # milliseconds
    "target_session_attrs": "read-write",
}
# Of the server, for our sessions alone. A worker that is frozen within a unit of work loses it as a dead one does.
SESSION = {
    "tcp_keepalives_idle": "10",
    "tcp_keepalives_interval": "5",
    "tcp_keepalives_count": "3",
    "tcp_user_timeout": "20s",
    "idle_in_transaction_session_timeout": "25s",
    "lock_timeout": f"{BUSY_SECONDS}s",
}


def open_engine(url: str) -> sa.Engine:
    """Make an engine; it connects when it is first used."""
    match sa.make_url(url).get_backend_name():
        case "sqlite":
            return _sqlite(url)
        case "postgresql":
            return _postgresql(sa.make_url(url))
        case _:
            return sa.create_engine(url, hide_parameters=True)


def file_of(url: str) -> Path | None:
    """Name the file of a SQLite database; None for one in memory and for any other kind."""
    parsed = sa.make_url(url)
    if parsed.get_backend_name() != "sqlite" or parsed.database in (None, "", ":memory:"):
        return None
    return Path(str(parsed.database))


def is_in_memory(url: str) -> bool:
    """Tell a database that is gone with its connection."""
    return sa.make_url(url).get_backend_name() == "sqlite" and file_of(url) is None


def _sqlite(url: str) -> sa.Engine:
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


def _prepare(connection: Any, _record: object) -> None:  # noqa: ANN401 - sqlite3 or a driver like it
    connection.isolation_level = None  # BEGIN is ours, not the driver's
    cursor = connection.cursor()
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "secure_delete = ON"):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin(connection: sa.Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _postgresql(url: sa.URL) -> sa.Engine:
    ours = {name: value for name, value in CLIENT.items() if name not in url.query}
    session = " ".join(f"-c {name}={value}" for name, value in SESSION.items())
    given = url.query.get("options", ())
    options = " ".join([session, *((given,) if isinstance(given, str) else given)])  # of two, the later one counts
    engine = sa.create_engine(
        url,
        hide_parameters=True,
        isolation_level="READ COMMITTED",  # whatever the server's own default is
        pool_size=POOL_SIZE,
        max_overflow=MOST_CONNECTIONS - POOL_SIZE,
        pool_timeout=BUSY_SECONDS,
        pool_pre_ping=True,  # a connection that was broken off meanwhile costs nobody their unit of work
        connect_args={**ours, "options": options},
    )
    event.listen(engine, "handle_error", _keep_the_first_line)
    return engine


def _keep_the_first_line(context: sa.ExceptionContext) -> None:
    """Cut off what PostgreSQL adds to an error: the row, which may hold what people wrote."""
    for error in (context.original_exception, context.sqlalchemy_exception):
        if error is not None and error.args:
            error.args = (str(error.args[0]).partition("\n")[0], *error.args[1:])
