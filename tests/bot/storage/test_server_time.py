"""The clock of a database's server."""

import datetime as dt

import pytest

from bot.bootstrap import SystemClock
from bot.storage.sql_store import SqlStore


def test_a_file_has_no_clock_of_its_own():
    assert SqlStore("sqlite://").server_time() is None


@pytest.mark.database
def test_a_server_tells_its_time_with_its_zone(postgres):
    store = SqlStore(postgres)
    before = SystemClock().now()

    at = store.server_time()

    assert at.utcoffset() is not None
    assert abs(at - before) < dt.timedelta(seconds=30)  # the same machine's
    store.close()
