"""How a PostgreSQL database is opened."""

import threading
import time

import psycopg
import pytest
import sqlalchemy as sa

from bot.storage import engines

FARM = sa.text("INSERT INTO farms (founded_at) VALUES (1)")


@pytest.fixture
def opened(postgres):
    made = []

    def open_it(url=postgres):
        made.append(engines.open_engine(url))
        return made[-1]

    yield open_it
    for engine in made:
        engine.dispose()


def another(url):
    """A connection beside the program's."""
    return psycopg.connect(sa.make_url(url).set(drivername="postgresql").render_as_string(hide_password=False))


def shown(connection, name):
    return connection.exec_driver_sql(f"SHOW {name}").scalar()


def test_the_server_gives_up_on_a_worker_that_is_gone_or_frozen_within_half_a_minute(opened):
    with opened().begin() as connection:
        assert shown(connection, "idle_in_transaction_session_timeout") == "25s"
        assert shown(connection, "lock_timeout") == "10s"


def test_over_the_network_both_sides_look_whether_the_other_is_there(opened, own_postgres):
    with opened(own_postgres.over_network(own_postgres.root)).begin() as connection:
        seconds = [int(shown(connection, f"tcp_keepalives_{name}")) for name in ("idle", "interval", "count")]
        client = connection.connection.driver_connection.info.get_parameters()
    ours = [int(client[f"keepalives_{name}"]) for name in ("idle", "interval", "count")]

    for idle, interval, count in (seconds, ours):
        assert 0 < idle + interval * count <= 30
    assert 0 < int(client["tcp_user_timeout"]) <= 30_000
    assert 0 < int(client["connect_timeout"]) <= 10


@pytest.mark.parametrize(("name", "value"), [("transaction_isolation", "read committed"), ("client_encoding", "UTF8")])
def test_whatever_the_server_would_have_it_is_as_the_program_counts_on(opened, postgres, name, value):
    with another(postgres) as connection:
        database = sa.make_url(postgres).database
        connection.execute(f"ALTER DATABASE \"{database}\" SET default_transaction_isolation = 'serializable'")
        connection.execute(f"ALTER DATABASE \"{database}\" SET client_encoding = 'latin1'")

    with opened().begin() as connection:
        assert shown(connection, name) == value


def test_the_address_has_the_last_word(opened, postgres):
    url = sa.make_url(postgres).update_query_dict(
        {"application_name": "juniper", "options": "-c lock_timeout=3s -c statement_timeout=4s"}
    )
    with opened(url.render_as_string(hide_password=False)).begin() as connection:
        assert shown(connection, "application_name") == "juniper"
        assert shown(connection, "lock_timeout") == "3s"
        assert shown(connection, "statement_timeout") == "4s"
        assert shown(connection, "idle_in_transaction_session_timeout") == "25s"


def test_a_connection_that_was_broken_off_between_two_units_of_work_costs_none(opened, postgres):
    engine = opened()
    with engine.begin() as connection:
        first = connection.exec_driver_sql("SELECT pg_backend_pid()").scalar()
    with another(postgres) as other:
        other.execute("SELECT pg_terminate_backend(%s, 5000)", (first,))

    with engine.begin() as connection:
        assert connection.exec_driver_sql("SELECT pg_backend_pid()").scalar() != first


def test_a_worker_that_is_frozen_within_a_unit_of_work_lets_go_of_what_it_held(opened, monkeypatch):
    monkeypatch.setitem(engines.SESSION, "idle_in_transaction_session_timeout", "300ms")
    engine = opened()
    with engine.begin() as connection:
        connection.execute(FARM)
    lock = sa.text("SELECT id FROM farms FOR UPDATE SKIP LOCKED")
    frozen = engine.connect()
    assert frozen.execute(lock).scalar() == 1
    with engine.begin() as connection:
        assert connection.execute(lock).scalar() is None

    time.sleep(0.6)

    with engine.begin() as connection:
        assert connection.execute(lock).scalar() == 1
    with pytest.raises(sa.exc.DBAPIError):
        frozen.execute(FARM)
    frozen.close()


def test_nobody_waits_for_a_lock_without_end(opened, monkeypatch):
    monkeypatch.setitem(engines.SESSION, "lock_timeout", "200ms")
    engine = opened()
    with engine.begin() as holder, engine.connect() as waiting:
        holder.execute(sa.text("LOCK TABLE farms"))
        with pytest.raises(sa.exc.OperationalError, match="lock timeout"):
            waiting.execute(sa.text("SELECT 1 FROM farms"))


def test_an_error_holds_nothing_of_what_people_wrote(opened):
    wrong = sa.text("INSERT INTO farms (founded_at) VALUES (CAST(:said AS bigint))")
    with pytest.raises(sa.exc.DBAPIError) as error, opened().begin() as connection:
        connection.execute(wrong, {"said": 10**40})

    assert str(10**40) not in str(error.value)


def test_threads_have_a_connection_each(opened):
    engine = opened()
    together = threading.Barrier(engines.MOST_CONNECTIONS, timeout=20)
    seen = set()

    def work():
        with engine.begin() as connection:
            pid = connection.exec_driver_sql("SELECT pg_backend_pid()").scalar()
            together.wait()
            seen.add(pid)

    threads = [threading.Thread(target=work) for _ in range(engines.MOST_CONNECTIONS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert len(seen) == engines.MOST_CONNECTIONS
