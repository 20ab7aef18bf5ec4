"""A database that cannot be used for now says so, keeps nothing by halves, and goes on when the cause is gone."""

import contextlib
import errno
import resource
import signal
import sqlite3
import threading

import psycopg
import pytest
import sqlalchemy as sa

from bot.ports.stores import NumberTakenError, StoreDownError
from bot.storage import engines, migrate
from bot.storage.sql_store import SqlStore
from bot.storage.troubles import is_ailment, sentence
from tests.contracts.records import NOON, an_event, an_incoming

LONG = "x" * 100_000


@pytest.fixture(autouse=True)
def _impatience(monkeypatch):
    monkeypatch.setattr(engines, "BUSY_SECONDS", 0.2)
    monkeypatch.setitem(engines.SESSION, "lock_timeout", "200ms")


@pytest.fixture
def file(tmp_path):
    migrate.upgrade(f"sqlite:///{tmp_path / 'ovipost.db'}")
    return tmp_path / "ovipost.db"


def open_store(url):
    return contextlib.closing(SqlStore(url))


def keep(store, key, text="bin 1 chirps"):
    with store.begin() as work:
        return work.inbox.store(an_incoming(key, text=text), NOON)


def keep_many(store):
    for number in range(10):
        keep(store, f"long:{number}", LONG)


def keys(store):
    with store.begin() as work:
        return [received.incoming.key for received in work.inbox.claim()]


def run(store, statement, **given):
    with store.begin() as work:
        work.journal._session.execute(sa.text(statement), given)


def plain(url):
    return sa.make_url(url).set(drivername="postgresql").render_as_string(hide_password=False)


def keep_and(store, then):
    with store.begin() as work:
        work.inbox.store(an_incoming("a"), NOON)
        then(work)


# SQLite


def test_sqlite_locked_by_another_program(file):
    with open_store(f"sqlite:///{file}") as store, contextlib.closing(sqlite3.connect(file)) as other:
        other.isolation_level = None
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreDownError, match="locked"):
            keep(store, "a")
        other.execute("ROLLBACK")

        assert keep(store, "a")
        assert keys(store) == ["a"]


def test_sqlite_while_another_thread_is_long_about_its_unit_of_work(file):
    begun, done = threading.Event(), threading.Event()

    def hold_on():
        with store.begin():
            begun.set()
            done.wait(10)

    with open_store(f"sqlite:///{file}") as store:
        thread = threading.Thread(target=hold_on)
        thread.start()
        begun.wait()
        with pytest.raises(StoreDownError):
            keep(store, "a")
        done.set()
        thread.join()

        assert keep(store, "a")


def test_sqlite_full(file):
    with open_store(f"sqlite:///{file}") as store:
        keep(store, "before")
        run(store, "PRAGMA max_page_count = 60")
        with pytest.raises(StoreDownError, match="full"):
            keep_many(store)
        with pytest.raises(StoreDownError, match="full"):
            keep(store, "after", LONG * 3)
        run(store, "PRAGMA max_page_count = 4000")

        assert keep(store, "after", LONG * 3)
        assert not key_is_new(store, "before")


def key_is_new(store, key):
    class UndoneError(Exception):
        pass

    with contextlib.suppress(UndoneError), store.begin() as work:
        new = work.inbox.store(an_incoming(key), NOON)
        raise UndoneError
    return new


def test_sqlite_on_a_disk_that_takes_no_more(file):
    before = resource.getrlimit(resource.RLIMIT_FSIZE), signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    with open_store(f"sqlite:///{file}") as store:
        keep(store, "before")
        resource.setrlimit(resource.RLIMIT_FSIZE, (file.stat().st_size + 50_000, before[0][1]))
        try:
            with pytest.raises(StoreDownError):
                keep_many(store)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, before[0])
            signal.signal(signal.SIGXFSZ, before[1])

        assert keep(store, "after")
        assert not key_is_new(store, "before")


def test_sqlite_read_only(file):
    with open_store(f"sqlite:///{file}") as store:
        run(store, "SELECT 1")
        with contextlib.closing(store._engine.raw_connection()) as raw:
            raw.execute("PRAGMA query_only = ON")
        with pytest.raises(StoreDownError, match="readonly"):
            keep(store, "a")
        with contextlib.closing(store._engine.raw_connection()) as raw:
            raw.execute("PRAGMA query_only = OFF")

        assert keep(store, "a")


@pytest.mark.parametrize("content", [b"no database" * 500, b"SQLite format 3\x00" + b"\xff" * 9000])
def test_sqlite_broken(tmp_path, content):
    (tmp_path / "a.db").write_bytes(content)

    with open_store(f"sqlite:///{tmp_path / 'a.db'}") as store, pytest.raises(StoreDownError):
        keep(store, "a")


# PostgreSQL


def test_postgresql_stopped_and_started_again(own_postgres):
    url = own_postgres.new()
    with open_store(url) as store:
        keep(store, "before")
        own_postgres.stop()
        try:
            for _ in range(2):
                with pytest.raises(StoreDownError):
                    keep(store, "meanwhile")
        finally:
            own_postgres.start()

        assert keep(store, "after")
        assert not key_is_new(store, "before")
        assert key_is_new(store, "meanwhile")


def test_postgresql_killed_within_a_unit_of_work(own_postgres):
    url = own_postgres.new()
    with open_store(url) as store:
        try:
            with pytest.raises(StoreDownError):
                keep_and(store, lambda work: (own_postgres.kill(), work.farms.found(NOON)))
        finally:
            own_postgres.start()

        assert keep(store, "a")


def test_postgresql_goes_away_before_the_commit(postgres):
    def break_off(work):
        pid = work.journal._session.scalar(sa.text("SELECT pg_backend_pid()"))
        with psycopg.connect(plain(postgres)) as other:
            other.execute("SELECT pg_terminate_backend(%s, 5000)", (pid,))

    with open_store(postgres) as store:
        with pytest.raises(StoreDownError):
            keep_and(store, break_off)

        assert keep(store, "a")


def test_postgresql_locked_by_another_program(postgres):
    with open_store(postgres) as store, psycopg.connect(plain(postgres)) as other:
        other.execute("LOCK TABLE inbox")
        with pytest.raises(StoreDownError, match="lock"):
            keep(store, "a")
        other.rollback()

        assert keep(store, "a")


def test_postgresql_that_takes_no_writing_meanwhile(postgres):
    with open_store(postgres) as store:
        with pytest.raises(StoreDownError, match="read-only"):
            run(store, "SET TRANSACTION READ ONLY; INSERT INTO farms (founded_at) VALUES (1)")

        assert keep(store, "a")


@pytest.mark.parametrize("code", ["53100", "53200", "53300", "57P01", "57014", "58030", "40P01", "XX001", "25P03"])
def test_postgresql_in_trouble_of_its_own(postgres, code):
    with open_store(postgres) as store, pytest.raises(StoreDownError):
        run(store, f"DO $$ BEGIN RAISE SQLSTATE '{code}'; END $$")


def test_postgresql_without_a_connection_to_spare(postgres):
    with open_store(postgres) as store, contextlib.ExitStack() as open_ones:
        for _ in range(engines.MOST_CONNECTIONS):
            open_ones.enter_context(store.begin())
        with pytest.raises(StoreDownError):
            keep(store, "a")


# both


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request):
    if request.param == "postgresql":
        return request.getfixturevalue("postgres")
    return f"sqlite:///{request.getfixturevalue('file')}"


@pytest.mark.parametrize(
    "change", ["ALTER TABLE farms RENAME TO holdings", "ALTER TABLE farms RENAME founded_at TO since"]
)
def test_tables_that_a_later_version_has_changed_meanwhile(url, change):
    with open_store(url) as store:
        keep(store, "before")
        run(store, change)

        with pytest.raises(StoreDownError), store.begin() as work:
            work.farms.found(NOON)


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO farms (founded_at) VALUES (NULL)",
        "INSERT INTO events SELECT 99, 1, 1, 1, 'x', 'x', 'x'",
        "SELEC",
    ],
)
def test_a_statement_that_is_wrong_is_no_trouble_of_the_database(url, statement):
    with open_store(url) as store, pytest.raises(sa.exc.DBAPIError) as error:
        run(store, statement)

    assert not is_ailment(error.value)


def test_a_number_that_is_taken_is_no_trouble_of_the_database(url):
    with open_store(url) as store:
        with store.begin() as work:
            farm = work.farms.found(NOON)
            work.journal.append(farm, [an_event(1)])
        with pytest.raises(NumberTakenError), store.begin() as work:
            work.journal.append(farm, [an_event(1)])


def test_what_is_said_of_an_error_has_nothing_of_the_row(url):
    with open_store(url) as store, pytest.raises(sa.exc.IntegrityError) as error:
        run(store, "INSERT INTO dialogs (chat, address) VALUES (:chat, 'noor')", chat="tub 3 is dry")

    for said in (str(error.value), str(error.value.orig), sentence(error.value)):
        assert "dialogs" in said
    assert "tub 3" not in str(error.value) + str(error.value.orig) + sentence(error.value)


def test_what_the_system_says_is_told_with_the_file():
    assert sentence(OSError(errno.EACCES, "Permission denied", "/farm")).endswith("/farm: Permission denied.")
