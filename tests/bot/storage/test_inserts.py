"""Inserts that the database's unique keys decide on."""

import pytest
import sqlalchemy as sa
from sqlalchemy.dialects import postgresql

from bot.storage import inserts, tables
from bot.storage.engines import open_engine
from bot.storage.inserts import insert_once, put
from bot.storage.session import Session


@pytest.fixture
def session():
    engine = open_engine("sqlite://")
    tables.METADATA.create_all(engine)
    with engine.begin() as made:
        yield Session(made)
    engine.dispose()


def dialog(state):
    return {"chat": "telegram:1", "address": "telegram:1", "state": state}


def states(session):
    return list(session.scalars(sa.select(tables.dialogs.c.state)))


def test_a_row_is_added_once(session):
    keys = ("chat", "address")

    assert insert_once(session, tables.dialogs, keys, [dialog(b"first")]) == 1
    assert insert_once(session, tables.dialogs, keys, [dialog(b"second")]) == 0
    assert states(session) == [b"first"]


def test_a_row_that_lacks_a_value_is_an_error_and_not_a_known_one(session):
    with pytest.raises(sa.exc.IntegrityError):
        insert_once(session, tables.dialogs, ("chat", "address"), [dialog(None)])


def test_the_values_put_last_are_kept(session):
    put(session, tables.dialogs, **dialog(b"first"))
    put(session, tables.dialogs, **dialog(b"second"))

    assert states(session) == [b"second"]


@pytest.mark.parametrize("table", [tables.members, tables.chats, tables.dialogs], ids=str)
def test_postgresql_can_do_the_same(table):
    keys = tuple(column.name for column in table.primary_key)

    assert "DO NOTHING" in str(inserts._once("postgresql", table, keys, ()).compile(dialect=postgresql.dialect()))
    assert "DO UPDATE SET" in str(inserts._upsert("postgresql", table).compile(dialect=postgresql.dialect()))
