"""Bringing a database's tables to what this version of the program needs.

A new database is made from the tables as they are; one of an earlier version goes through the migrations. Alembic is
imported for the second only, since that takes longer than all the rest of a start.
"""

from pathlib import Path

import sqlalchemy as sa

from bot.storage import tables
from bot.storage.engines import file_of, is_in_memory, open_engine

HEAD = "0002"  # the newest revision in migrations/versions

# Alembic's own table, in its own metadata: it is no part of what migrations compare.
_VERSION = sa.Table(
    "alembic_version",
    sa.MetaData(),
    sa.Column("version_num", sa.String(32), nullable=False),
    sa.PrimaryKeyConstraint("version_num", name="alembic_version_pkc"),
)


# On PostgreSQL, what one process takes while the others that start at the same time wait.
_TURN = int.from_bytes(b"ovipost")


class UnknownSchemaError(Exception):
    """The database was made by a later version of the program, or by another one; the message says what to do."""


def head() -> str:
    """Name the revision that this version of the program needs."""
    return HEAD


def current(url: str) -> str | None:
    """Name the revision that a database is at; None where it has no tables yet."""
    file = file_of(url)
    if is_in_memory(url) or (file is not None and not file.exists()):
        return None  # asking would make the file
    engine = open_engine(url)
    try:
        with engine.begin() as connection:
            return _revision(connection)
    finally:
        engine.dispose()


def is_current(url: str) -> bool:
    """Say whether a database is at the revision that the program needs."""
    return current(url) == HEAD


def refuse_later(revision: str) -> None:
    """Raise UnknownSchemaError for a revision that only a later version of the program can have made."""
    if revision > HEAD:  # they are numbered
        raise UnknownSchemaError(f"revision {revision} is a later version's, this one knows {HEAD}; run the later one")


def upgrade(url: str) -> None:
    """Make a database's tables, or bring them up to date, in one transaction.

    Raises
    ------
    UnknownSchemaError
        Where the database is at a revision that this version of the program does not know.
    """
    if is_in_memory(url):
        return  # SqlStore makes those
    file = file_of(url)
    if file is not None:
        file.parent.mkdir(parents=True, exist_ok=True)
    engine = open_engine(url)
    try:
        with engine.begin() as connection:
            if _revision(connection) != HEAD:
                _take_turn(connection)
                _bring_up(connection)
    finally:
        engine.dispose()


def _take_turn(connection: sa.Connection) -> None:
    """Wait until nobody else brings this database up; SQLite's transactions are such turns by themselves."""
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql("SET LOCAL lock_timeout = 0")
        connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_TURN)))


def _bring_up(connection: sa.Connection) -> None:
    revision = _revision(connection)
    if revision == HEAD:
        return
    if revision is not None:
        refuse_later(revision)
        _migrate(connection, revision)
        return
    if sa.inspect(connection).get_table_names():
        raise UnknownSchemaError("it has tables of another program; name another database in OVIPOST_DB")
    tables.METADATA.create_all(connection)
    _VERSION.create(connection)
    connection.execute(_VERSION.insert().values(version_num=HEAD))


def _revision(connection: sa.Connection) -> str | None:
    if not sa.inspect(connection).has_table(_VERSION.name):
        return None
    return connection.scalar(sa.select(_VERSION.c.version_num))


def _migrate(connection: sa.Connection, revision: str) -> None:
    from alembic import command, config, script, util

    settings = config.Config()
    settings.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    settings.attributes["connection"] = connection
    try:
        script.ScriptDirectory.from_config(settings).get_revision(revision)
    except util.CommandError as error:
        raise UnknownSchemaError(f"revision {revision} is another program's; name another database") from error
    command.upgrade(settings, "head")
