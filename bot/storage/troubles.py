"""What ails a database or the way to it: told from what is wrong with a statement, and with what to do about it."""

import sqlalchemy as sa

# By what SQLite's names for its errors begin with.
_SQLITE = {
    "SQLITE_READONLY": "the file, its folder and the files beside it have to belong to whoever runs the program",
    "SQLITE_CANTOPEN": "its folder has to be there, and has to belong to whoever runs the program",
    "SQLITE_FULL": "make room on its disk and start again",
    "SQLITE_IOERR": "check its disk",
    "SQLITE_BUSY": "another program keeps it locked; end that one and start again",
    "SQLITE_NOTADB": "put a backup in its place with `ovipost restore --overwrite`",
    "SQLITE_CORRUPT": "put a backup in its place with `ovipost restore --overwrite`",
}
# By PostgreSQL's codes, and, since a connection that was refused has none, by what its answer says.
_POSTGRESQL = {
    "42501": "make the user of OVIPOST_DB the owner of the database",
    "53100": "make room on the server's disk",
    "25006": "OVIPOST_DB has to name a server that may be written to, and no copy that follows one",
    "read-only": "OVIPOST_DB has to name a server that may be written to, and no copy that follows one",
    "authentication": "check the user and the password in OVIPOST_DB",
    "password": "check the user and the password in OVIPOST_DB",
    "role": "check the user in OVIPOST_DB",
    "pg_hba": "pg_hba.conf on the server has to let this user in",
    "database": "make the database with createdb, or check its name in OVIPOST_DB",
    "too many": "let the server take more connections (max_connections), or run fewer workers",
    "connection slots": "let the server take more connections (max_connections), or run fewer workers",
    "": "check that the server runs and can be reached from here, and its address in OVIPOST_DB",
}

# SQLite's names for what is no fault of a statement, by their beginnings, and what it says of one for other tables.
_SQLITE_AILS = (*_SQLITE, "SQLITE_LOCKED", "SQLITE_PROTOCOL", "SQLITE_PERM", "SQLITE_NOMEM", "SQLITE_AUTH")
_OTHER_TABLES = ("no such table", "no such column", "has no column")
# PostgreSQL's classes: the connection, its rights, a state that lets nothing be done, a transaction that lost against
# another, room, locks, an operator, the system, the server itself; and the codes for tables of another version.
_POSTGRESQL_AILS = ("08", "25", "28", "3D", "40", "53", "55", "57", "58", "XX", "42501", "42703", "42P01", "0A000")
_OURS = "25P02"  # a statement after one that failed


def is_ailment(error: sa.exc.SQLAlchemyError) -> bool:
    """Say whether the unit of work may do well once the database does; else it never will."""
    if isinstance(error, (sa.exc.TimeoutError, sa.exc.PendingRollbackError)):
        return True  # no connection is free, or the one that it had is lost
    if not isinstance(error, sa.exc.DBAPIError):
        return False
    name = getattr(error.orig, "sqlite_errorname", None)
    if name is not None:
        return name.startswith(_SQLITE_AILS) or any(words in str(error.orig) for words in _OTHER_TABLES)
    code = getattr(error.orig, "sqlstate", None)
    if code is None:
        return error.connection_invalidated or isinstance(error, (sa.exc.OperationalError, sa.exc.InterfaceError))
    return bool(code.startswith(_POSTGRESQL_AILS)) and code != _OURS


def first_line(error: Exception) -> str:
    """Give the database's own words, without the statement or the row, which may hold what people wrote."""
    said = str(getattr(error, "orig", None) or error).strip().splitlines() or [type(error).__name__]
    return said[0]


def sentence(error: Exception) -> str:
    """Say what an error means, without the statement that met it, which may hold what people wrote."""
    words = _words(error)
    advice = _advice(error, words)
    return f"The database cannot be opened: {words}{f'; {advice}' if advice else ''}."


def _words(error: Exception) -> str:
    if isinstance(error, OSError):
        return ": ".join(str(part) for part in (error.filename, error.strerror) if part) or str(error)
    return first_line(error).removeprefix("connection failed: ").removeprefix("connection is bad: ").rstrip(".")


def _advice(error: Exception, words: str) -> str:
    if not isinstance(error, sa.exc.DBAPIError):
        return ""
    name = getattr(error.orig, "sqlite_errorname", None)
    if name is not None:
        return next((advice for start, advice in _SQLITE.items() if name.startswith(start)), "")
    code = getattr(error.orig, "sqlstate", None)
    if code is not None:
        return _POSTGRESQL.get(code, "")
    answer = words.rpartition("failed: ")[2]  # before it stands the address, which could say anything
    return next(advice for part, advice in _POSTGRESQL.items() if part in answer)
