"""The stores that every contract is run on."""

import pytest

from bot.storage import migrate
from bot.storage.sql_store import SqlStore
from tests.memory import MemoryStore

ON_DISK = pytest.mark.database


@pytest.fixture(
    params=["memory", "sqlite", *(pytest.param(name, marks=ON_DISK) for name in ("sqlite-file", "postgresql"))]
)
def store(request, tmp_path):
    match request.param:
        case "memory":
            made = MemoryStore()
        case "sqlite":
            made = SqlStore("sqlite://")
        case "postgresql":
            made = SqlStore(request.getfixturevalue("postgres"))
        case _:
            url = f"sqlite:///{tmp_path / 'ovipost.db'}"
            migrate.upgrade(url)
            made = SqlStore(url)
    yield made
    made.close()
