"""The databases that the bench measures on, both durable: a SQLite file, and a PostgreSQL where one can be had."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

SQLITE, POSTGRES = "SQLite", "PostgreSQL"


@contextlib.contextmanager
def databases(folder: Path) -> Iterator[dict[str, str]]:
    """Give the URLs of empty databases by their kind; PostgreSQL only where one can be had."""
    found = {SQLITE: f"sqlite:///{folder / 'load.db'}"}
    try:
        from tests import postgres
    except ImportError as missing:
        print(f"not on PostgreSQL, which needs the packages for the checks ({missing})")
        yield found
        return
    with postgres.running(is_durable=True) as server:
        yield found | {POSTGRES: server.new(is_empty=True)}
