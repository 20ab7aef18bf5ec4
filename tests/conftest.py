"""What the tests of more than one package are handed."""

import io
import logging

import pytest

from tests import postgres as servers


@pytest.fixture
def log_lines():
    """Give what is logged from now on, of every level, in the lines of a running program."""
    from bot.logs import LineFormatter

    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(LineFormatter())
    root = logging.getLogger()
    level = root.level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    yield lambda: written.getvalue().splitlines()
    root.setLevel(level)
    root.removeHandler(handler)


@pytest.fixture(scope="session")
def reader():
    """The real reader; it keeps nothing of what it reads, and is slow to make."""
    from bot.reader.reader import Reader

    return Reader()


@pytest.fixture(scope="session")
def postgres_server():
    """A real PostgreSQL, in a hurry: nothing of it needs to survive the machine."""
    with servers.running(is_durable=False) as server:
        yield server


@pytest.fixture
def postgres(postgres_server):
    """The URL of a database of the test's own, at the newest revision."""
    url = postgres_server.new()
    yield url
    postgres_server.drop(url)


@pytest.fixture(scope="session")
def own_postgres():
    """One of our own, to stop and to ask for passwords; whoever stops it starts it again."""
    with servers.running_own() as server:
        yield server
