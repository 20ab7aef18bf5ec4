"""Making a database and bringing it up to date."""

import re
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
import sqlalchemy as sa
from alembic import autogenerate, command, script
from alembic.runtime import migration

from bot.storage import migrate, tables
from bot.storage.engines import open_engine
from bot.storage.sql_store import SqlStore
from tests.bot.storage.schemas import settings_for
from tests.fakes import SPRING


@pytest.fixture
def url(tmp_path):
    return f"sqlite:///{tmp_path / 'farm' / 'ovipost.db'}"


def made_by_migrations(url):
    engine = open_engine(url)
    with engine.begin() as connection:
        command.upgrade(settings_for(connection), "head")
    return engine


def shape(connection):
    rows = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    words = {name: " ".join(re.sub(r"([(),])", r" \1 ", sql).split()) for name, sql in rows}
    return {name: sorted(sql.removesuffix(" )").split(" , ")) for name, sql in words.items()}


def test_a_new_database_is_made_with_its_folder(url):
    assert migrate.current(url) is None
    assert not migrate.is_current(url)

    migrate.upgrade(url)

    assert migrate.current(url) == migrate.head()
    assert migrate.is_current(url)


def test_asking_for_the_revision_makes_no_file(url, tmp_path):
    migrate.current(url)

    assert list(tmp_path.iterdir()) == []


def test_an_upgrade_of_a_current_database_leaves_it_as_it_is(url):
    migrate.upgrade(url)
    store = SqlStore(url)
    with store.begin() as work:
        farm = work.farms.found(SPRING)
    store.close()

    migrate.upgrade(url)

    store = SqlStore(url)
    with store.begin() as work:
        assert work.farms.ids() == [farm]
    store.close()


def test_head_is_the_newest_migration():
    assert script.ScriptDirectory.from_config(settings_for(None)).get_current_head() == migrate.head()


def test_the_migrations_make_the_tables_that_the_program_works_with(tmp_path):
    engine = made_by_migrations(f"sqlite:///{tmp_path / 'migrated.db'}")
    with engine.connect() as connection:
        context = migration.MigrationContext.configure(connection, opts={"compare_type": True})
        assert autogenerate.compare_metadata(context, tables.METADATA) == []
    engine.dispose()


def test_migrated_and_new_databases_are_alike_to_the_letter(url, tmp_path):
    migrate.upgrade(url)
    new, migrated = open_engine(url), made_by_migrations(f"sqlite:///{tmp_path / 'migrated.db'}")

    with new.connect() as one, migrated.connect() as other:
        assert shape(one) == shape(other)
        assert len(shape(one)) >= 15
    new.dispose()
    migrated.dispose()


def test_the_first_tables_can_be_taken_back(tmp_path):
    engine = made_by_migrations(f"sqlite:///{tmp_path / 'migrated.db'}")
    with engine.begin() as connection:
        command.downgrade(settings_for(connection), "base")
        assert set(sa.inspect(connection).get_table_names()) == {"alembic_version"}
    engine.dispose()


def test_a_database_that_is_not_at_the_newest_revision_goes_through_alembic(url, monkeypatch):
    migrate.upgrade(url)
    monkeypatch.setattr(migrate, "HEAD", "9999")  # as if there were one more

    migrate.upgrade(url)  # Alembic is asked, and has nothing to do

    assert migrate.current(url) == "0002"


def test_a_database_from_the_future_is_refused(url):
    migrate.upgrade(url)
    engine = open_engine(url)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '9999'")
    engine.dispose()

    with pytest.raises(migrate.UnknownSchemaError, match="9999"):
        migrate.upgrade(url)
    assert not migrate.is_current(url)


def test_a_database_at_a_revision_of_another_program_is_refused(url):
    migrate.upgrade(url)
    engine = open_engine(url)
    with engine.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0000a'")
    engine.dispose()

    with pytest.raises(migrate.UnknownSchemaError, match="another program"):
        migrate.upgrade(url)


def test_a_database_of_another_program_is_left_alone(url, tmp_path):
    (tmp_path / "farm").mkdir()
    with closing(sqlite3.connect(tmp_path / "farm" / "ovipost.db")) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")

    with pytest.raises(migrate.UnknownSchemaError):
        migrate.upgrade(url)


def test_a_start_on_a_current_database_does_not_import_alembic(url):
    program = f"import sys; from bot.storage import migrate; migrate.upgrade({url!r}); print('alembic' in sys.modules)"

    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)  # noqa: S603

    assert ran.stdout == "False\n"
