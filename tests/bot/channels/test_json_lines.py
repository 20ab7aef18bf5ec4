"""JSON lines in and out."""

import datetime as dt
import json
import zoneinfo

import pytest

from bot.channels import json_lines
from bot.channels.json_lines import LineError
from bot.ports.intents import Intent, Understanding
from core.farm.farm import Farm, Settings
from core.journal import facts, wants
from core.journal.event import Event
from tests.fakes import SPRING
from tests.memory import MemoryStore

DENVER = zoneinfo.ZoneInfo("America/Denver")


class OneReader:
    def __init__(self):
        self.asked = []

    def read(self, text, *, at, farm, language):
        self.asked.append((text, at, language))
        return Understanding(intents=(Intent(kind="chirp", slots={"bin": "B2"}, at=at),))


def rows(*lines):
    return [line if isinstance(line, str) else json.dumps(line) for line in lines]


def test_messages_are_put_in_order_of_time_and_keep_their_order_within_one():
    at = "2026-07-14T08:10-06:00"
    found = json_lines.timed_lines(
        rows(
            {"at": "2026-07-14T09:00-06:00", "from": "Noor", "text": "c"},
            "",
            {"at": at, "from": "Noor", "text": "a"},
            {"at": at, "from": "Tomas", "press": "Yes"},
        ),
        dt.UTC,
    )

    assert [(line.number, line.text, line.press) for line in found] == [(3, "a", None), (4, "", "Yes"), (1, "c", None)]


def test_a_time_without_an_offset_is_of_the_farm():
    line = {"at": "2026-07-14T08:10", "from": "Noor", "text": "a"}

    assert json_lines.timed_lines(rows(line), DENVER)[0].at.isoformat() == "2026-07-14T08:10:00-06:00"


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("{", "it is not JSON"),
        ("[1]", "it is not a JSON object"),
        ('{"at": "2026-07-14T08:10Z", "text": "a"}', "`from` has to be a name"),
        ('{"at": "2026-07-14T08:10Z", "from": "Noor"}', "it has to have either `text` or `press`"),
        ('{"at": "2026-07-14T08:10Z", "from": "Noor", "text": 1}', "it has to have either `text` or `press`"),
        ('{"at": "2026-07-14T08:10Z", "from": "N", "text": "a", "press": "b"}', "it has to have either `text` or"),
        ('{"at": "2026-07-14T08:10Z", "from": "N", "text": "a", "language": 1}', "`language` has to be a code such as"),
        ('{"at": "soon", "from": "Noor", "text": "a"}', "`at` has to be a time such as"),
        ('{"from": "Noor", "text": "a"}', "`at` has to be a time such as"),
    ],
)
def test_a_line_that_cannot_be_played_is_named(line, reason):
    with pytest.raises(LineError, match=f"^Line 2: {reason}"):
        json_lines.timed_lines(["\n", line], dt.UTC)


def test_meanings_are_read_on_the_farms_clock():
    reader = OneReader()
    farm = Farm(settings=Settings(timezone="America/Denver"))
    source = rows({"id": "d1", "from": "Noor", "at": "2026-07-14T14:10Z", "text": "chirping"})

    found = list(json_lines.meanings(source, reader, farm))

    assert found == [{"id": "d1", "means": [{"kind": "chirp", "bin": "B2", "at": "2026-07-14T08:10-06:00"}]}]
    assert reader.asked == [("chirping", dt.datetime(2026, 7, 14, 8, 10, tzinfo=DENVER), "en")]


def test_a_message_without_text_is_named():
    with pytest.raises(LineError, match=r"^Line 1: `text` has to be text"):
        list(json_lines.meanings(['{"id": 1, "at": "2026-07-14T14:10Z"}'], OneReader(), Farm()))


def test_recorded_events_come_with_the_farms_time():
    store = MemoryStore()
    bodies = [wants.Set(what="name", to="Ocotillo Flats"), wants.Set(what="timezone", to="America/Denver")]
    bodies.append(facts.Chirp(bin="B2"))
    events = [Event(number=n, said_at=SPRING, happened_at=SPRING, by="Noor", body=b) for n, b in enumerate(bodies, 1)]
    with store.begin() as work:
        work.journal.append(work.farms.found(SPRING), events)
        work.farms.found(SPRING)

    found = list(json_lines.journal_rows(store, "ocotillo flats"))

    assert found[-1] == {
        "farm": "Ocotillo Flats",
        "number": 3,
        "said_at": "2026-05-01T06:00:00-06:00",
        "happened_at": "2026-05-01T06:00:00-06:00",
        "by": "Noor",
        "kind": "chirp",
        "bin": "B2",
    }
    assert len(found) == 3
    assert list(json_lines.journal_rows(store, "elsewhere")) == []
