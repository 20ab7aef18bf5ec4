"""One message being handled."""

import datetime as dt

import pytest

from bot.assistant import buttons
from bot.assistant.dialog import Dialog
from bot.assistant.turn import Turn, in_rows
from bot.ports.intents import Intent
from bot.ports.messages import Button, Incoming, Sender
from bot.ports.stores import Member
from core.farm.fold import FarmFold
from core.journal import facts, wants
from core.journal.kinds import Role, Setting
from tests.bot.assistant.talk import ScriptedReader
from tests.builders import NOON, a_journal, after

PULLED = after(days=-2)
JOURNAL = a_journal(
    (wants.Set(what=Setting.TIMEZONE, to="America/Denver"), after(days=-9)),
    (facts.TrayIn(bin="B1"), after(days=-3)),
    (facts.TrayOut(bin="B1", tub="T1", place="shelf"), PULLED),
)


def a_turn(**fields):
    sender = Sender(address="chat:Noor", name="Noor")
    incoming = Incoming(
        **({"key": "k1", "chat": "chat:Noor", "sender": sender, "sent_at": NOON, "message": "m1"} | fields)
    )
    member = Member(address="chat:Noor", farm=1, name="Noor", role=Role.OWNER)
    return Turn(
        incoming=incoming, member=member, fold=FarmFold(JOURNAL), dialog=Dialog(), reader=ScriptedReader(), now=NOON
    )  # fmt: skip


def test_an_event_has_the_next_number_the_person_and_the_message():
    turn = a_turn()

    event = turn.event(facts.Chirp(bin="B2"), after(hours=-1))

    assert (event.number, event.by, event.message) == (4, "Noor", "m1")
    assert (event.said_at, event.happened_at) == (NOON, after(hours=-1))
    assert turn.event(facts.Chirp(bin="B2"), by="").by == ""


def test_a_clock_that_runs_ahead_is_not_believed():
    assert a_turn(sent_at=after(hours=5)).said_at == NOON
    assert a_turn(sent_at=after(hours=-5)).said_at == after(hours=-5)


def test_what_is_recorded_is_on_the_farm_at_once():
    turn = a_turn()

    turn.record(turn.event(facts.Chirp(bin="B2")))

    assert "B2" in turn.farm.bins
    assert turn.event(facts.Chirp(bin="B3")).number == 5


def test_forecasts_are_reckoned_anew_only_where_the_farm_is_another():
    turn = a_turn()
    before = turn.forecasts()
    assert turn.forecasts() is before

    turn.record(turn.event(facts.Reading(place="shelf", temp_c=33.0)))

    assert turn.forecasts()["T1"].window.likely < before["T1"].window.likely


def test_what_was_recorded_and_stated_goes_with_the_answer():
    turn = a_turn()
    turn.tell(Intent(kind="chirp", slots={"bin": "B2"}, at=after(hours=-1)))
    turn.state(["T1", "T9"])

    about = turn.outgoing().about

    assert about.events == [{"kind": "chirp", "bin": "B2", "at": "2026-05-04T11:00-06:00"}]
    assert [told["tub"] for told in about.forecast] == ["T1"]
    assert list(about.forecast[0]) == ["tub", "earliest", "likely", "latest"]


def test_an_answer_has_its_lines_without_empty_ones():
    turn = a_turn()
    turn.lines += ["One.", "", "Two."]

    answer = turn.outgoing()

    assert (answer.key, answer.chat, answer.text) == ("reply:k1", "chat:Noor", "One.\nTwo.")
    assert answer.answers_press is None
    assert a_turn(press="anything").outgoing().answers_press == "k1"


def test_two_buttons_never_have_the_same_label():
    turn = a_turn()
    turn.button("Undo", buttons.TakeBack(1, 1))
    turn.button("Undo", buttons.TakeBack(2, 2))

    assert [b.data for b in turn.buttons] == [buttons.write(buttons.TakeBack(1, 1), turn.bond)]


def test_a_button_that_would_carry_too_much_is_left_out():
    turn = a_turn()
    turn.button("Long", buttons.Say("x" * 80))

    assert turn.buttons == []


@pytest.mark.parametrize(
    ("labels", "rows"),
    [
        ([], []),
        (["Watered", "In an hour", "Skip"], [3]),
        (["Yes", "No", "Maybe", "Later"], [3, 1]),
        (["Looked, no mold", "Took mold out", "In an hour", "Skip"], [1, 2, 1]),
        (["A label that is longer than any row of a phone", "Skip"], [1, 1]),
    ],
)
def test_buttons_are_in_rows_that_a_phone_shows_whole(labels, rows):
    found = in_rows([Button(label=label, data="d") for label in labels])

    assert [len(row) for row in found] == rows
    assert [b.label for row in found for b in row] == labels


def test_times_are_on_the_farms_clocks():
    assert a_turn().local(NOON).utcoffset() == dt.timedelta(hours=-6)
