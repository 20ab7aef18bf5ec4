"""A copy of the whole database in one file, taken while the program runs, and the way back."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import sqlalchemy as sa

from bot.storage.engines import BUSY_SECONDS, file_of


class BackupError(Exception):
    """A backup or its restoring was refused; the message says what to do."""


def backup(url: str, file: Path) -> None:
    """Copy a SQLite database into a file, complete or not at all.

    Raises
    ------
    BackupError
        For a database of another kind, one that is not there, or where the file is the database itself.
    """
    source = _database(url, "pg_dump --format=custom --file={file} {url}", file)
    if not source.exists():
        raise BackupError(f"there is no database at {source}")
    if file.exists() and file.samefile(source):
        raise BackupError(f"{file} is the database itself; name another file")
    unfinished = file.with_name(f"{file.name}.part")
    unfinished.unlink(missing_ok=True)
    unfinished.touch(mode=0o600)  # it holds what people wrote
    _copy(source, unfinished)
    with closing(sqlite3.connect(unfinished, isolation_level=None)) as made:
        made.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
    unfinished.replace(file)
    _sync_folder(file)


def restore(file: Path, url: str, *, overwrite: bool) -> None:
    """Put a backup in the place of a SQLite database.

    Raises
    ------
    BackupError
        Where there is a database already and `overwrite` is not given, where the file is no sound backup, or for a
        database of another kind.
    """
    target = _database(url, "pg_restore --clean --if-exists --dbname={url} {file}", file)
    _check(file)
    if target.exists() and file.samefile(target):
        raise BackupError(f"{file} is the database itself; name the backup")
    if target.exists() and not overwrite:
        raise BackupError(f"there is a database at {target}; stop the program and say --overwrite to replace it")
    target.parent.mkdir(parents=True, exist_ok=True)
    _copy(file, target)


def _database(url: str, otherwise: str, file: Path) -> Path:
    path = file_of(url)
    if path is not None:
        return path
    parsed = sa.make_url(url)
    if parsed.get_backend_name() == "sqlite":
        raise BackupError("a database in memory has no backup")
    # neither the driver's name, which those tools do not know, nor the password, which is for no screen
    plain = sa.URL.create(parsed.get_backend_name(), parsed.username, None, parsed.host, parsed.port, parsed.database)
    raise BackupError(f"for this database use its own tools: {otherwise.format(file=file, url=plain)}")


def _check(file: Path) -> None:
    if not file.exists():
        raise BackupError(f"there is no file {file}")
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            found = connection.execute("PRAGMA integrity_check").fetchone()[0]
            connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.DatabaseError as error:
        raise BackupError(f"{file} is no backup of Ovipost: {error}") from error
    if found != "ok":
        raise BackupError(f"{file} is damaged: {found}")


def _copy(source: Path, target: Path) -> None:
    """Copy by SQLite's own means, which see to the locks and logs of both."""
    with (
        closing(sqlite3.connect(source, timeout=BUSY_SECONDS)) as taken,
        closing(sqlite3.connect(target, timeout=BUSY_SECONDS)) as made,
    ):
        taken.backup(made)


def _sync_folder(file: Path) -> None:
    folder = os.open(file.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
