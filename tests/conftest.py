"""What the tests of more than one package are handed."""

import pytest


@pytest.fixture(scope="session")
def reader():
    """The real reader; it keeps nothing of what it reads, and is slow to make."""
    from bot.reader.reader import Reader

    return Reader()
