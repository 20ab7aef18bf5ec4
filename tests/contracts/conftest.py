"""The stores that every contract is run on."""

import pytest

from bot.storage import migrate
from bot.storage.sql_store import SqlStore
from tests.memory import MemoryStore


@pytest.fixture(params=["memory", "sqlite", pytest.param("sqlite-file", marks=pytest.mark.database)])
def store(request, tmp_path):
    match request.param:
        case "memory":
            made = MemoryStore()
        case "sqlite":
            made = SqlStore("sqlite://")
        case _:
            url = f"sqlite:///{tmp_path / 'ovipost.db'}"
            migrate.upgrade(url)
            made = SqlStore(url)
    yield made
    made.close()
