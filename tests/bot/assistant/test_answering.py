"""Questions about the farm: each has its answer, and none records anything."""

import datetime as dt

import pytest

from bot.assistant.answering import MOST_DAYS, Topic
from tests.builders import after


@pytest.fixture
def farm(talk):
    talk.pull()
    talk.tells("Noor", "chirp", bin="B2")
    return talk


@pytest.mark.parametrize("topic", Topic)
def test_every_topic_is_answered_and_records_nothing(farm, topic):
    before = farm.last_number

    told = farm.asks("Noor", topic.value)

    assert told.text
    assert told.outgoing.about.events == []
    assert farm.last_number == before


@pytest.mark.parametrize("topic", ["days_left", "why", "status", "climate", "history"])
@pytest.mark.parametrize(
    ("slots", "told"),
    [
        ({"tub": "T9"}, "There is no tub 9"),
        ({"bin": "B9"}, "There is no bin 9 yet."),
        ({"place": "moon"}, "There is no place called moon yet."),
    ],
    ids=["tub", "bin", "place"],
)
def test_what_the_farm_does_not_have_is_said(farm, topic, slots, told):
    assert farm.asks("Noor", topic, **slots).text.startswith(told)


def test_days_left_states_the_forecast(farm):
    told = farm.asks("Noor", "days_left", tub="T1")

    assert told.lines[0].startswith("Tub 1: about ")
    assert [stated["tub"] for stated in told.outgoing.about.forecast] == ["T1"]


@pytest.mark.parametrize(
    ("slots", "told"),
    [
        ({}, "The farm"),
        ({"bin": "B2"}, "Bin 2: adults."),
        ({"tub": "T1"}, "Tub 1: on the lamp shelf, uncovered."),
        ({"place": "lamp shelf"}, "Lamp shelf: tub 1."),
    ],
    ids=["farm", "bin", "tub", "place"],
)
def test_status_is_of_what_was_named(farm, slots, told):
    assert farm.asks("Noor", "status", **slots).lines[0] == told


def test_what_is_due_now_today_and_on_a_day(farm):
    farm.pass_until(after(days=1, hours=6, minutes=1))
    today = dt.date(2026, 5, 5)

    assert farm.asks("Noor", "due").lines[1] == "Lamp shelf: water tub 1, 6 pm."
    assert farm.asks("Noor", "due", day=today).lines[1] == "Lamp shelf: water tub 1, 6 pm."
    assert farm.asks("Noor", "due", day=dt.date(2026, 5, 6)).lines[1] == "Lamp shelf: water tub 1, 7 am."
    assert farm.asks("Noor", "due", day=dt.date(2026, 5, 1)).text == "Nothing due Fri May 1."


def test_an_agenda_looks_a_week_ahead_or_as_far_as_asked(farm):
    assert farm.asks("Noor", "agenda").lines[0] == "Next 7 days:"
    assert farm.asks("Noor", "agenda", days=1).lines[0] == "Next 1 day:"
    assert farm.asks("Noor", "agenda", days=10**9).lines[0] == f"Next {MOST_DAYS} days:"


def test_why_asks_which_tub_where_there_are_several(farm):
    assert farm.asks("Noor", "why").lines[0].startswith("Tub 1: pulled")
    farm.pull("B3", place="rack")

    told = farm.asks("Noor", "why")

    assert told.text == "Which tub?"
    assert farm.press("Noor", "Tub 2").lines[0].startswith("Tub 2: pulled")


def test_why_of_nothing(talk):
    assert talk.asks("Noor", "why").text == "I have given no hatch day yet: no tub of eggs is waiting."


def test_how_to_has_the_farms_own_figures(talk):
    talk.tells("Noor", "set", what="units", to="C")

    told = talk.asks("Noor", "howto", about="temperature").text

    assert "29°C to 32°C" in told or "29.4°C to 32.2°C" in told


def test_how_to_do_something_unheard_of_is_the_help(talk):
    assert talk.asks("Noor", "howto", about="taxes").text == talk.tells("Noor", "help").text


def test_history_names_who_it_was(farm):
    assert farm.asks("Tomas", "history", of="chirp", bin="B2").text == "Bin 2: first chirp, by Noor, 12 pm."
    assert farm.asks("Tomas", "who", of="tray_out").lines[0].startswith("Tub 1: pulled from bin 1")
