"""The PostgreSQL for tests is there when it is asked for, and gone with whoever asked."""

import signal
import subprocess
import sys
import time
from pathlib import Path

import psycopg
import pytest
import sqlalchemy as sa

from bot.storage import migrate

ROOT = Path(__file__).resolve().parent.parent


def plain(url):
    return sa.make_url(url).set(drivername="postgresql").render_as_string(hide_password=False)


def test_each_database_is_at_the_newest_revision_and_its_own(postgres_server):
    one, other = postgres_server.new(), postgres_server.new()

    assert migrate.is_current(one)
    with psycopg.connect(plain(one)) as connection:
        connection.execute("INSERT INTO farms (founded_at) VALUES (1)")
    with psycopg.connect(plain(other)) as connection:
        assert connection.execute("SELECT count(*) FROM farms").fetchone() == (0,)
    postgres_server.drop(one)
    postgres_server.drop(other)


def test_an_empty_database_has_no_tables(postgres_server):
    url = postgres_server.new(is_empty=True)

    assert migrate.current(url) is None
    postgres_server.drop(url)


@pytest.mark.parametrize("way", ["stop", "kill"])
def test_what_was_committed_is_there_after_a_stop_and_a_start(own_postgres, way):
    url = plain(own_postgres.new())
    with psycopg.connect(url) as connection:
        connection.execute("INSERT INTO farms (founded_at) VALUES (1)")

    getattr(own_postgres, way)()
    with pytest.raises(psycopg.OperationalError):
        psycopg.connect(url)
    own_postgres.start()

    with psycopg.connect(url) as connection:
        assert connection.execute("SELECT count(*) FROM farms").fetchone() == (1,)


def test_over_the_network_a_password_is_asked_for(own_postgres):
    url = own_postgres.new()

    psycopg.connect(plain(own_postgres.over_network(url))).close()
    with pytest.raises(psycopg.OperationalError, match="password"):
        psycopg.connect(plain(own_postgres.over_network(url, "wrong")))


def test_it_is_gone_with_whoever_started_it_even_if_that_was_killed():
    program = """
from tests.postgres import running_own
with running_own() as server:
    print(server.folder, flush=True)
    input()
"""
    started = subprocess.Popen(  # noqa: S603 - Python, with our own program
        [sys.executable, "-c", program], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    folder = Path(started.stdout.readline().strip())
    assert (folder / "data" / "postmaster.pid").exists()

    started.send_signal(signal.SIGKILL)
    started.communicate()

    until = time.monotonic() + 20
    while folder.exists() and time.monotonic() < until:
        time.sleep(0.05)
    assert not folder.exists()
