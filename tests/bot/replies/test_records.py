"""A farm's records as a table."""

import csv
import datetime as dt
import io
import json
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.replies.records import COLUMNS, safe, table
from core.journal import facts, notices
from tests.builders import DENVER, NOON, after, an_event

ZONE = ZoneInfo(DENVER)
NOTHING = facts.Remark(text="")


def rows(*events):
    return list(csv.DictReader(io.StringIO(table(events, ZONE), newline="")))


def test_a_record_is_a_row_with_its_times_on_the_farms_clocks():
    told = an_event(facts.TrayOut(bin="B1", tub="T1", place="rack"), 7, NOON, said_at=after(hours=1), by="Noor")

    (row,) = rows(told)

    assert list(row) == list(COLUMNS)
    assert row | {"details": json.loads(row["details"])} == {
        "number": "7",
        "said_at": "2026-05-04T13:00:00-06:00",
        "happened_at": "2026-05-04T12:00:00-06:00",
        "by": "Noor",
        "kind": "tray_out",
        "details": {"bin": "B1", "tub": "T1", "place": "rack"},
        "text": "",
    }


def test_words_stand_in_a_column_of_their_own():
    assert rows(an_event(facts.Remark(text='swept, "all"\nof it')))[0]["text"] == 'swept, "all"\nof it'
    assert rows(an_event(notices.Cautioned(topic="lamp"), by=""))[0]["by"] == ""


HARM = [
    '=HYPERLINK("http://x","y")',
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    "\uff1d1",
    "\uff0b1",
    "\uff0d1",
    "\uff201",
]


@pytest.mark.parametrize("harm", HARM)
def test_no_cell_is_a_formula(harm):
    (row,) = rows(an_event(facts.Remark(text=harm), by=harm))

    assert (row["text"], row["by"]) == (f"'{harm}", f"'{harm}")


@given(st.lists(st.tuples(st.text(), st.text()), max_size=4))
def test_whatever_is_in_a_cell_comes_out_of_it_and_starts_no_formula(told):
    events = [an_event(facts.Remark(text=text), n, by=by) for n, (by, text) in enumerate(told, start=1)]

    found = rows(*events)

    assert [(row["by"], row["text"]) for row in found] == [(safe(by), safe(text)) for by, text in told]
    assert [json.loads(row["details"])["text"] for row in found] == [text for _, text in told]
    assert not any(
        cell[:1] in tuple("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20") for row in found for cell in row.values() if cell
    )


def test_all_cells_are_in_quotes_and_lines_end_as_spreadsheets_write_them():
    text = table([an_event(facts.Chirp(bin="B1"), said_at=NOON.astimezone(dt.UTC))], ZONE)

    assert text.count("\r\n") == 2
    assert all(line.startswith('"') and line.endswith('"') for line in text.split("\r\n")[:2])
