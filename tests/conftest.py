"""What the tests of more than one package are handed."""

import io
import logging

import pytest


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
