"""How a SQLite database is opened."""

import sqlite3
import threading
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa

from bot.ports.stores import StoreDownError
from bot.storage import engines, migrate
from bot.storage.sql_store import ClosedStoreError, SqlStore
from tests.contracts.records import NOON, an_event


@pytest.fixture
def url(tmp_path):
    made = f"sqlite:///{tmp_path / 'ovipost.db'}"
    migrate.upgrade(made)
    return made


@pytest.mark.parametrize(("pragma", "value"), [("journal_mode", "wal"), ("synchronous", 2), ("foreign_keys", 1)])
def test_a_file_is_opened_so_that_a_commit_survives_a_power_cut(url, pragma, value):
    engine = engines.open_engine(url)
    with engine.connect() as connection:
        assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value
    engine.dispose()


def test_a_transaction_takes_the_write_lock_at_its_start(url, tmp_path):
    store = SqlStore(url)
    with closing(sqlite3.connect(tmp_path / "ovipost.db", timeout=0)) as other:
        with store.begin(), pytest.raises(sqlite3.OperationalError, match="locked"):
            other.execute("BEGIN IMMEDIATE")
        other.execute("BEGIN IMMEDIATE")
        other.execute("ROLLBACK")
    store.close()


def test_two_stores_on_one_file_do_not_lose_one_another(url):
    stores = [SqlStore(url), SqlStore(url)]
    with stores[0].begin() as work:
        farm = work.farms.found(NOON)

    def write_twenty(store):
        for _ in range(20):
            with store.begin() as work:
                work.journal.append(farm, [an_event(len(work.journal.since(farm)) + 1)])

    threads = [threading.Thread(target=write_twenty, args=(store,)) for store in stores]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    with stores[0].begin() as work:
        assert [event.number for event in work.journal.since(farm)] == list(range(1, 41))
    for store in stores:
        store.close()


def test_a_unit_of_work_within_another_is_refused_and_does_not_hang(monkeypatch):
    monkeypatch.setattr(engines, "BUSY_SECONDS", 0.01)
    store = SqlStore("sqlite://")
    with store.begin(), pytest.raises(StoreDownError), store.begin():
        pass
    store.close()


def test_an_event_of_no_farm_is_refused(url):
    store = SqlStore(url)
    with pytest.raises(sa.exc.IntegrityError), store.begin() as work:
        work.journal.append(99, [an_event(1)])
    store.close()


def test_an_engine_does_not_connect_before_it_is_used(tmp_path):
    SqlStore(f"sqlite:///{tmp_path / 'ovipost.db'}").close()

    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("url", "file"),
    [
        ("sqlite:////var/lib/ovipost/ovipost.db", Path("/var/lib/ovipost/ovipost.db")),
        ("sqlite:///ovipost.db", Path("ovipost.db")),
        ("sqlite://", None),
        ("sqlite:///:memory:", None),
        ("postgresql+psycopg://localhost/ovipost", None),
    ],
)
def test_the_file_of_a_url(url, file):
    assert engines.file_of(url) == file


def test_a_closed_store_gives_no_more_units_of_work(tmp_path):
    store = SqlStore(f"sqlite:///{tmp_path / 'ovipost.db'}")
    store.close()

    with pytest.raises(ClosedStoreError), store.begin():
        pass


def test_a_name_is_held_by_one_process_at_a_time_and_its_place_has_to_be_there(tmp_path):
    one, other = (SqlStore(f"sqlite:///{tmp_path / 'ovipost.db'}") for _ in range(2))
    hold = one.hold("polling")
    assert other.hold("polling") is None
    hold.release()
    again = other.hold("polling")
    assert again.is_good()
    again.release()

    nowhere = SqlStore(f"sqlite:///{tmp_path / 'not there' / 'ovipost.db'}")
    with pytest.raises(StoreDownError):
        nowhere.hold("polling")
    for store in (one, other, nowhere):
        store.close()
