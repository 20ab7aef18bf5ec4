"""Backups of a database that is being written to, and the way back from them, on each kind of database."""

import os
import re
import shlex
import subprocess

import pytest
import sqlalchemy as sa

from bot.storage import migrate
from bot.storage.backup import BackupError, backup, restore
from bot.storage.sql_store import SqlStore
from tests.bot.storage import schemas
from tests.bot.storage.hammer import hammering, journals, prepare, trouble
from tests.contracts.records import NOON

ROUNDS = 4


@pytest.fixture
def url(tmp_path):
    made = f"sqlite:///{tmp_path / 'ovipost.db'}"
    migrate.upgrade(made)
    prepare(made)
    return made


def is_the_start_of(part, whole):
    return part.keys() == whole.keys() and all(whole[farm][: len(part[farm])] == part[farm] for farm in part)


def test_each_backup_of_a_database_that_is_written_to_is_of_one_moment(url, tmp_path):
    with hammering(url):
        for number in range(ROUNDS):
            backup(url, tmp_path / f"copy{number}.db")

    seen = []
    for number in range(ROUNDS):
        place = f"sqlite:///{tmp_path / str(number) / 'ovipost.db'}"
        restore(tmp_path / f"copy{number}.db", place, overwrite=False)
        assert trouble(place) == []
        assert is_the_start_of(journals(place), journals(url))
        seen.append(len(journals(place)[1]))
    assert seen == sorted(seen)
    assert 0 < seen[0] < len(journals(url)[1])
    assert trouble(url) == []


def test_a_restored_database_equals_the_old_one_row_by_row(url, tmp_path):
    with hammering(url):
        pass
    before = schemas.rows_of(url), journals(url)
    backup(url, tmp_path / "copy.db")
    store = SqlStore(url)
    with store.begin() as work:
        work.farms.found(NOON)
    store.close()

    restore(tmp_path / "copy.db", url, overwrite=True)

    assert (schemas.rows_of(url), journals(url)) == before


def test_a_database_that_a_program_has_open_is_not_overwritten(url, tmp_path):
    backup(url, tmp_path / "copy.db")
    with hammering(url), pytest.raises(BackupError, match="stop it first"):
        restore(tmp_path / "copy.db", url, overwrite=True)

    assert trouble(url) == []
    assert len(journals(url)[1]) > 0
    restore(tmp_path / "copy.db", url, overwrite=True)  # now that it is stopped
    assert journals(url) == {1: [], 2: [], 3: []}


def test_a_database_that_a_program_has_open_and_leaves_alone_is_not_overwritten_either(url, tmp_path):
    backup(url, tmp_path / "copy.db")
    store = SqlStore(url)
    with store.begin() as work:
        work.farms.found(NOON)

    with pytest.raises(BackupError, match="stop it first"):
        restore(tmp_path / "copy.db", url, overwrite=True)

    with store.begin() as work:
        assert len(work.farms.ids()) == 4
    store.close()


# PostgreSQL, by its own tools, as the messages say


def run_as_told(told, binaries, url):
    """Run the command that a message ends with, the password beside it."""
    command = shlex.split(re.search(r"(pg_dump|pg_restore) .*", str(told.value)).group(0))
    password = sa.make_url(url).password or ""
    assert password
    assert password not in str(told.value)
    environment = {**os.environ, "PGPASSWORD": password}  # noqa: TID251 - for a program of its own
    ran = subprocess.run(  # noqa: S603 - what we say ourselves
        [binaries / command[0], *command[1:]], env=environment, capture_output=True, text=True, check=False
    )
    assert (ran.returncode, ran.stderr) == (0, "")


@pytest.fixture
def postgresql(own_postgres):
    url = own_postgres.over_network(own_postgres.new())
    prepare(url)
    yield url
    own_postgres.drop(url)


def test_what_is_said_for_postgresql_makes_a_backup_while_the_program_writes_and_restores_it(
    postgresql, own_postgres, tmp_path
):
    file = tmp_path / "a copy.dump"
    with hammering(postgresql):
        with pytest.raises(BackupError) as told:
            backup(postgresql, file)
        run_as_told(told, own_postgres.binaries, postgresql)
    written = journals(postgresql)

    with pytest.raises(BackupError, match="stop the program") as told:
        restore(file, postgresql, overwrite=True)
    run_as_told(told, own_postgres.binaries, postgresql)

    assert trouble(postgresql) == []
    assert is_the_start_of(journals(postgresql), written)
    assert 0 < len(journals(postgresql)[1]) < len(written[1])
    assert migrate.is_current(postgresql)
    store = SqlStore(postgresql)
    with store.begin() as work:  # its counters go on from where they were
        assert work.farms.found(NOON) == 4
    store.close()


def test_a_restored_postgresql_database_equals_the_old_one_row_by_row(postgresql, own_postgres, tmp_path):
    with hammering(postgresql):
        pass
    before = schemas.rows_of(postgresql), schemas.shape(postgresql)
    empty = own_postgres.over_network(own_postgres.new(is_empty=True))
    for ask, url in (
        (lambda url: backup(url, tmp_path / "copy.dump"), postgresql),
        (lambda url: restore(tmp_path / "copy.dump", url, overwrite=False), empty),
    ):
        with pytest.raises(BackupError) as told:
            ask(url)
        run_as_told(told, own_postgres.binaries, url)

    assert (schemas.rows_of(empty), schemas.shape(empty)) == before
    own_postgres.drop(empty)
