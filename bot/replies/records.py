"""A farm's records as a table for a spreadsheet: comma-separated, each cell in quotes.

A cell that a spreadsheet would take for a formula begins with an apostrophe: those that start with = + - @, a tab or an
end of line, and the wide forms of these signs, as OWASP has it
(https://owasp.org/www-community/attacks/CSV_Injection).
"""

import csv
import datetime as dt
import io
from collections.abc import Iterable, Iterator, Sequence

import msgspec

from core.journal import codec
from core.journal.event import Event

COLUMNS = ("number", "said_at", "happened_at", "by", "kind", "details", "text")
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def table(events: Iterable[Event], zone: dt.tzinfo) -> str:
    """Give events as a table, a row each, with times on the farm's clocks."""
    return written(COLUMNS, (_cells(event, zone) for event in events))


def written(columns: Sequence[str], rows: Iterable[Iterable[str]]) -> str:
    """Give rows as a table, each cell safe, under a line of the names of the columns."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([safe(cell) for cell in row] for row in rows)
    return out.getvalue()


def safe(cell: str) -> str:
    """Give a cell that no spreadsheet reckons with."""
    return f"'{cell}" if cell.startswith(FORMULA) else cell


def _cells(event: Event, zone: dt.tzinfo) -> Iterator[str]:
    slots = {name: value for name, value in codec.slots_of(event.body).items() if value not in (None, [])}
    yield str(event.number)
    yield from (at.astimezone(zone).isoformat(timespec="seconds") for at in (event.said_at, event.happened_at))
    yield event.by
    yield codec.kind_of(event.body)
    yield msgspec.json.encode(slots).decode()
    yield str(slots.get("text", ""))
