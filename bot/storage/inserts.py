"""Inserts that leave it to the database's unique keys whether a row is new."""

import functools
from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from bot.storage.session import Session

Computed = tuple[tuple[str, sa.ColumnElement[Any]], ...]  # columns that the database works out itself


def insert_once(
    session: Session,
    table: sa.Table,
    keys: tuple[str, ...],
    rows: Sequence[Mapping[str, object]],
    computed: Computed = (),
) -> int:
    """Add rows, but for those with keys that are there already, and give how many were added."""
    return session.execute(_once(session.dialect.name, table, keys, computed), rows).rowcount if rows else 0


def insert_once_later(
    session: Session, table: sa.Table, keys: tuple[str, ...], rows: Sequence[Mapping[str, object]]
) -> None:
    """Add rows as `insert_once` does, together with others of the same unit of work."""
    session.put_off(_once(session.dialect.name, table, keys, ()), rows)


def put(session: Session, table: sa.Table, **values: object) -> None:
    """Add a row, or put its values in place of those under the same primary key."""
    session.execute(_upsert(session.dialect.name, table), values)


def put_later(session: Session, table: sa.Table, **values: object) -> None:
    """Add a row as `put` does, together with others of the same unit of work."""
    session.put_off(_upsert(session.dialect.name, table), [values])


@functools.cache
def _once(dialect: str, table: sa.Table, keys: tuple[str, ...], computed: Computed) -> sa.Insert:
    # No id is asked for, and the count is read in time: PostgreSQL's driver forgets it once the answer was read.
    insert = _insert(dialect)(table).inline().execution_options(preserve_rowcount=True)
    statement: sa.Insert = insert.on_conflict_do_nothing(index_elements=keys)
    return statement.values(dict(computed)) if computed else statement


@functools.cache
def _upsert(dialect: str, table: sa.Table) -> sa.Insert:
    insert = _insert(dialect)(table)
    keys = [column.name for column in table.primary_key]
    rest = {column.name: insert.excluded[column.name] for column in table.columns if column.name not in keys}
    statement: sa.Insert = insert.on_conflict_do_update(index_elements=keys, set_=rest)
    return statement


def _insert(dialect: str) -> Any:  # noqa: ANN401 - both have ON CONFLICT, but no type in common that says so
    if dialect == "sqlite":
        from sqlalchemy.dialects import sqlite

        return sqlite.insert
    from sqlalchemy.dialects import postgresql  # only where it is used: it takes a while to import

    return postgresql.insert
