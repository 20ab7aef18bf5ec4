"""A copy of the whole database in one file, taken while the program runs, and the way back, while it does not."""

import contextlib
import os
import shlex
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import sqlalchemy as sa

from bot.storage import migrate
from bot.storage.engines import BUSY_SECONDS, file_of

_PATIENCE = 2.0  # seconds for whoever is just about to close the database
_BESIDE = ("-wal", "-shm", "-journal")  # SQLite's own files beside a database
_SECRET = ("password", "sslpassword")  # of libpq's options, those that are for no screen
_DUMP = "pg_dump --format=custom --no-owner --file={file} {url}"
_UNDUMP = "pg_restore --clean --if-exists --no-owner --single-transaction --dbname={url} {file}"


class BackupError(Exception):
    """A backup or its restoring was refused or failed; the message says what to do."""


def backup(url: str, file: Path) -> None:
    """Copy a SQLite database into a file, complete or not at all.

    Raises
    ------
    BackupError
        For a database of another kind, one that is not there, or where the file is the database itself or cannot be
        written.
    """
    source = _database(url, f"use its own tools, while the program runs or not: {_DUMP}", file)
    if not source.exists():
        raise BackupError(f"there is no database at {source}")
    if file.exists() and file.samefile(source):
        raise BackupError(f"{file} is the database itself; name another file")
    unfinished = file.with_name(f"{file.name}.part")
    with _told(f"{source} cannot be copied to {file}"):
        _make(source, unfinished)
        unfinished.replace(file)
        _sync_folder(file)


def restore(file: Path, url: str, *, overwrite: bool) -> None:
    """Put a backup in the place of a SQLite database, which nobody may have open.

    Raises
    ------
    BackupError
        Where there is a database already and `overwrite` is not given, where a program has it open, where the file is
        no sound backup or a later version's, or for a database of another kind.
    """
    target = _database(url, f"stop the program, all of its workers, and use its own tools: {_UNDUMP}", file)
    _check(file)
    if target.exists() and file.samefile(target):
        raise BackupError(f"{file} is the database itself; name the backup")
    if target.exists() and not overwrite:
        raise BackupError(f"there is a database at {target}; stop the program and say --overwrite to replace it")
    with _told(f"{file} cannot be copied to {target}"):
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        if not target.exists() or not _put_into(file, target):
            _put_in_place_of(file, target)


def _database(url: str, otherwise: str, file: Path) -> Path:
    path = file_of(url)
    if path is not None:
        return path
    parsed = sa.make_url(url)
    if parsed.get_backend_name() == "sqlite":
        raise BackupError("a database in memory has no backup")
    # neither the driver's name, which those tools do not know, nor a password, which they ask for
    plain = sa.URL.create(
        parsed.get_backend_name(),
        parsed.username,
        None,
        parsed.host,
        parsed.port,
        parsed.database,
        {name: value for name, value in parsed.query.items() if name not in _SECRET},
    )
    quoted = {"file": shlex.quote(str(file)), "url": shlex.quote(plain.render_as_string())}
    raise BackupError(f"for this database, {otherwise.format(**quoted)}")


def _check(file: Path) -> None:
    if not file.exists():
        raise BackupError(f"there is no file {file}")
    try:
        with closing(sqlite3.connect(f"{file.absolute().as_uri()}?mode=ro", uri=True)) as connection:
            found = connection.execute("PRAGMA integrity_check").fetchone()[0]
            revision = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    except sqlite3.DatabaseError as error:
        raise BackupError(f"{file} is no backup of Ovipost: {error}") from error
    if found != "ok":
        raise BackupError(f"{file} is damaged: {found}")
    try:
        migrate.refuse_later(*revision or ("",))
    except migrate.UnknownSchemaError as error:
        raise BackupError(f"{file} cannot be used: {error}") from error


@contextlib.contextmanager
def _told(what: str) -> Iterator[None]:
    try:
        yield
    except (sqlite3.Error, OSError) as error:
        raise BackupError(f"{what}: {error}") from error


def _make(source: Path, unfinished: Path) -> None:
    unfinished.unlink(missing_ok=True)
    unfinished.touch(mode=0o600)  # it holds what people wrote
    try:
        with closing(sqlite3.connect(unfinished, isolation_level=None)) as made:
            _copy(source, made)
            made.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
    except BaseException:
        unfinished.unlink()
        raise


def _copy(source: Path, made: sqlite3.Connection) -> None:
    """Copy by SQLite's own means, which see to the locks and logs of both."""
    with closing(sqlite3.connect(source, timeout=BUSY_SECONDS)) as taken:
        taken.backup(made)


def _put_into(file: Path, target: Path) -> bool:
    """Write a backup into a database in one transaction, which a power cut leaves undone; False where it is none.

    Whoever has a database open in the mode that the program uses keeps others from leaving that mode. Under a program
    that runs, another past would not do: it has farms in memory, as they were.
    """
    try:
        with closing(sqlite3.connect(target, timeout=_PATIENCE, isolation_level=None)) as made:
            made.execute("PRAGMA locking_mode = EXCLUSIVE")  # nobody comes in until this is closed
            made.execute("PRAGMA journal_mode = DELETE")
            made.execute("BEGIN EXCLUSIVE")
            made.execute("COMMIT")
            _copy(file, made)
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorname.startswith("SQLITE_BUSY"):
            raise BackupError(f"a program has {target} open; stop it first") from error
        if error.sqlite_errorname.startswith(("SQLITE_NOTADB", "SQLITE_CORRUPT")):
            return False
        raise
    return True


def _put_in_place_of(file: Path, target: Path) -> None:
    unfinished = target.with_name(f"{target.name}.part")
    _make(file, unfinished)
    for ending in _BESIDE:
        target.with_name(f"{target.name}{ending}").unlink(missing_ok=True)
    unfinished.replace(target)
    _sync_folder(target)


def _sync_folder(file: Path) -> None:
    folder = os.open(file.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
