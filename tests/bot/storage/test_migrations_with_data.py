"""Migrations with data in the tables, forward and back, on each kind of database."""

import subprocess
import sys

import pytest
from alembic import autogenerate
from alembic.runtime import migration

from bot.storage import migrate, tables
from bot.storage.engines import open_engine
from bot.storage.sql_store import SqlStore
from tests.bot.storage import schemas
from tests.contracts.records import ADDRESS, CHAT, NOON, an_event, an_incoming, an_outgoing

TOGETHER = 3


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request, tmp_path):
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'ovipost.db'}"
        return
    server = request.getfixturevalue("postgres_server")
    made = server.new(is_empty=True)
    yield made
    server.drop(made)


def compared(url):
    engine = open_engine(url)
    with engine.begin() as connection:
        context = migration.MigrationContext.configure(connection, opts={"compare_type": True})
        found = autogenerate.compare_metadata(context, tables.METADATA)
    engine.dispose()
    return found


def write_as_the_program_does(url):
    store = SqlStore(url)
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.farms.set_next_due(farm, NOON)
        work.journal.append(farm, [an_event(1), an_event(2)])
        work.inbox.store(an_incoming("telegram:update:90"), NOON)
        work.outbox.post(an_outgoing("reply:90"), NOON)
        work.dialogs.save(CHAT, ADDRESS, b"open")
    store.close()


def test_the_first_data_has_something_in_every_column_of_every_table(url):
    schemas.go_to(url, "0001")

    engine = open_engine(url)
    with engine.begin() as connection:
        inspector = migration.MigrationContext.configure(connection)
        assert inspector.get_current_revision() == "0001"
    engine.dispose()
    assert set(schemas.rows_of(url)) == set(schemas.FIRST)
    schemas.fill(url, schemas.FIRST)
    for name, rows in schemas.rows_of(url).items():
        assert len(rows) == len(schemas.FIRST[name])
        assert all(any(row[column] not in (None, "") for row in rows) for column in rows[0]), name


def test_step_by_step_up_and_down_again_not_a_row_is_lost_or_changed(url):
    first, *later = schemas.revisions()
    schemas.go_to(url, first)
    schemas.fill(url, schemas.FIRST)
    seen = {first: (schemas.rows_of(url), schemas.shape(url))}
    for revision in later:
        schemas.go_to(url, revision)
        rows = schemas.rows_of(url)
        assert schemas.only(rows, like=schemas.FIRST) == seen[first][0], revision
        seen[revision] = rows, schemas.shape(url)

    for revision in list(seen)[-2::-1]:
        schemas.go_to(url, revision)
        assert (schemas.rows_of(url), schemas.shape(url)) == seen[revision]

    schemas.go_to(url, migrate.head())
    assert (schemas.rows_of(url), schemas.shape(url)) == seen[migrate.head()]


def test_the_program_brings_up_the_first_schema_with_its_data_and_goes_on_from_there(url):
    schemas.go_to(url, "0001")
    schemas.fill(url, schemas.FIRST)
    before = schemas.rows_of(url)

    migrate.upgrade(url)

    assert migrate.is_current(url)
    assert schemas.only(schemas.rows_of(url), like=before) == before
    write_as_the_program_does(url)
    store = SqlStore(url)
    with store.begin() as work:
        assert work.farms.ids() == [1, 2, 3]
        assert [event.number for event in work.journal.since(3)] == [1, 2]
    store.close()


def test_what_the_program_wrote_at_the_newest_revision_goes_down_to_the_first_and_back(url):
    migrate.upgrade(url)
    write_as_the_program_does(url)
    at_head = schemas.rows_of(url)

    schemas.go_to(url, "0001")
    at_first = schemas.rows_of(url)
    assert schemas.only(at_head, like={name: rows for name, rows in at_first.items() if rows}) == {
        name: rows for name, rows in at_first.items() if rows
    }
    migrate.upgrade(url)

    assert schemas.rows_of(url) == at_head


def test_the_first_migration_can_be_taken_back_with_data_in_the_tables(url):
    schemas.go_to(url, "0001")
    schemas.fill(url, schemas.FIRST)

    schemas.go_to(url, "base")

    assert schemas.rows_of(url) == {}


@pytest.mark.parametrize("way", ["made new", "migrated"])
def test_the_tables_are_those_that_the_program_works_with(url, way):
    if way == "migrated":
        schemas.go_to(url, migrate.head())
    migrate.upgrade(url)

    assert compared(url) == []


def test_a_new_database_and_a_migrated_one_have_the_same_shape(url, tmp_path, request):
    migrate.upgrade(url)
    new = schemas.shape(url)
    schemas.go_to(url, "base")
    schemas.go_to(url, migrate.head())

    assert schemas.shape(url) == new
    assert len(new) >= len(schemas.FIRST)


@pytest.mark.parametrize("revision", [None, "0001"])
def test_processes_that_start_at_once_bring_a_database_up_together(url, revision):
    if revision is not None:
        schemas.go_to(url, revision)
        schemas.fill(url, schemas.FIRST)
    program = "import sys; from bot.storage import migrate; sys.stdin.readline(); migrate.upgrade(sys.argv[1])"
    command = [sys.executable, "-c", program, url]
    started = [
        subprocess.Popen(command, stdin=subprocess.PIPE, stderr=subprocess.PIPE, text=True)  # noqa: S603 - our own
        for _ in range(TOGETHER)
    ]
    errors = []
    for one in started:
        one.stdin.write("go\n")
        one.stdin.flush()
    for one in started:
        errors.append(one.communicate(timeout=60)[1])

    assert errors == [""] * TOGETHER
    assert [one.returncode for one in started] == [0] * TOGETHER
    assert migrate.is_current(url)
