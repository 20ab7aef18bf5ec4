"""Chores that are done, put off or left out."""

import datetime as dt

import pytest

from bot.assistant import buttons, finishing
from bot.replies.voice import Voice
from core.journal.kinds import Chore
from core.journal.wants import Done
from tests.bot.assistant.talk import Talk
from tests.builders import NOON, a_farm, after, an_asked

DAY = dt.timedelta(days=1)


@pytest.fixture
def asked():
    """A farm whose tub on the lamp shelf wants water, and was asked about, at six."""
    talk = Talk()
    talk.pull()
    talk.pass_until(after(days=1, hours=6))
    return talk


def test_the_first_press_ends_it_and_others_are_told_who_it_was(asked):
    assert asked.press("Noor", "Watered").lines == ["Lamp shelf: watered."]
    asked.clock.forward(minutes=5)

    assert asked.press("Tomas", "Watered").text == "Already done: Noor, 6 pm."
    assert asked.press("Noor", "Watered").text == "You did that already, 6 pm."
    assert asked.press("Tomas", "In an hour").text == "Already done: Noor, 6 pm."
    assert asked.tells("Tomas", "done", chore="water").text == "Already done: Noor, 6 pm."
    assert asked.farm.tubs["T1"].watered_at == after(days=1, hours=6)


def test_what_was_done_can_be_taken_back_and_pressed_again(asked):
    asked.press("Noor", "Watered")
    asked.press("Noor", "Undo")

    assert asked.farm.tubs["T1"].watered_at is None
    assert asked.press("Tomas", "Watered").lines == ["Lamp shelf: watered."]


def test_in_an_hour_it_comes_again_and_skipped_it_does_not(asked):
    assert asked.press("Noor", "In an hour").text == "I'll ask again at 7 pm."

    (again,) = asked.pass_until(after(days=1, hours=8))
    assert again.at == after(days=1, hours=7)

    assert asked.press("Noor", "Skip").text == "Skipped: water."
    assert asked.press("Tomas", "Watered").text == "That was skipped 8 pm."
    assert asked.pass_until(after(days=1, hours=10)) == []


def test_a_button_that_a_later_reminder_has_overtaken_records_nothing(asked):
    asked.pass_until(after(days=2))
    before = asked.last_number

    told = asked.press("Noor", "Watered", at=after(days=1, hours=6))

    assert told.text.startswith("The farm has moved on since that reminder")
    assert asked.last_number == before


def test_a_button_of_a_reminder_that_is_not_remembered_is_too_old(asked):
    (told,) = asked.presses_data("Noor", buttons.write(buttons.Finish((9999,)), buttons.bond(1, "chat:Noor")))

    assert told.text == "That button is too old to use. Say it in words."


def test_done_in_words_ends_what_was_asked_last(asked):
    assert asked.tells("Noor", "done", chore="water").lines == ["Lamp shelf: watered."]
    assert asked.press("Tomas", "Watered").text.startswith("Already done: Noor")


@pytest.mark.parametrize("kind", ["skip", "snooze"])
def test_there_is_nothing_to_put_off_where_nothing_was_asked(talk, kind):
    before = talk.last_number

    told = talk.tells("Noor", kind, {"chore": "water"} if kind == "skip" else {"minutes": 30})

    assert told.text == "I had not asked for anything, so there is nothing to put off."
    assert talk.last_number == before


@pytest.mark.parametrize("slots", [{"minutes": 0}, {"minutes": 10**9}, {"until": after(days=-2)}])
def test_nothing_is_put_off_into_the_past_or_for_ever(asked, slots):
    assert asked.tells("Noor", "snooze", slots).text == "That time is past. Say it like: in an hour, or: at 5 pm."


def test_a_pulled_tray_is_the_tub_and_ends_the_reminder(talk):
    talk.tells("Noor", "tray_in", bin="B1")
    talk.pass_until(NOON + DAY)

    told = talk.press("Noor", "Pulled")

    assert told.lines == ["Tub 1: pulled from bin 1 after 24 h.", "Where does tub 1 stand?"]
    assert [e["kind"] for e in told.outgoing.about.events] == ["tray_out"]
    assert [e.body.chore for e in talk.fold.in_force if isinstance(e.body, Done)] == [Chore.PULL_TRAY]
    assert talk.press("Tomas", "Pulled").text == "Already done: Noor, 12 pm."
    assert list(talk.farm.tubs) == ["T1"]


def test_a_tray_that_is_out_already_is_not_pulled_by_an_old_button(talk):
    talk.tells("Noor", "tray_in", bin="B1")
    talk.pass_until(NOON + DAY)
    talk.tells("Noor", "tray_out", bin="B1", place="rack")

    assert talk.press("Tomas", "Pulled").text.startswith("The farm has moved on")
    assert talk.tells("Tomas", "skip", chore="pull_tray").text.startswith("I had not asked")


def test_one_of_two_trays_that_were_asked_for_is_the_one_of_its_button(talk):
    for name in ("B1", "B2"):
        talk.tells("Noor", "tray_in", bin=name)
    first, second = talk.pass_until(NOON + DAY)
    data = second.outgoing.buttons[0][0].data

    (told,) = talk.presses_data("Noor", data)

    assert told.lines[0] == "Tub 1: pulled from bin 2 after 24 h."
    assert first.lines[0].startswith("Bin 1")


def test_a_look_is_a_look_and_a_tray_that_is_in_is_recorded(talk):
    talk.tells("Noor", "chirp", bin="B1")
    talk.pass_until(NOON + 7 * DAY)
    assert talk.press("Noor", "Looked in").lines == ["Bin 1: looked in."]
    assert talk.farm.bins["B1"].tray is None

    talk.pass_until(NOON + 14 * DAY)
    assert talk.press("Noor", "Tray is in").lines[0] == "Bin 1: lay tray in."
    assert talk.farm.bins["B1"].tray.put_in_at == NOON + 14 * DAY


def test_mold_that_was_taken_out_is_a_look_and_a_fact(talk):
    talk.pull(place="rack")
    talk.tells("Noor", "covered", on=True, tubs=["T1"])
    talk.pass_until(NOON + 2 * DAY)

    told = talk.press("Noor", "Took mold out")

    assert [e["kind"] for e in told.outgoing.about.events] == ["done", "mold"]


def test_pinheads_are_of_the_tub_or_it_is_asked_which(talk):
    talk.pull("B1")
    talk.tells("Noor", "tray_in", bin="B2")
    talk.clock.forward(hours=1)
    talk.tells("Noor", "tray_out", bin="B2", place="lamp shelf")
    while "Pinheads" not in talk.told[-1].labels:
        talk.pass_until(talk.next_due)

    told = talk.press("Noor", "Pinheads")

    assert told.lines[-1] == "Which tub has hatched?"
    assert talk.press("Noor", "Tub 2").lines[0] == "Tub 2: pinheads seen."
    assert talk.farm.tubs["T1"].hatch_at is None


@pytest.mark.parametrize(
    ("asked", "labels"),
    [
        ([an_asked(Chore.WATER)], ["Watered"]),
        ([an_asked(Chore.MOLD_CHECK)], ["Looked, no mold", "Took mold out"]),
        ([an_asked(Chore.HATCH_CHECK)], ["None yet", "Pinheads"]),
        ([an_asked(Chore.PULL_TRAY, bin="B1")], ["Pulled"]),
        ([an_asked(Chore.TRAY_IN, bin="B1", step=0)], ["Looked in"]),
        ([an_asked(Chore.TRAY_IN, bin="B1", step=1)], ["Tray is in"]),
        ([an_asked(Chore.FEED, bin="B1")], ["Fed"]),
        ([an_asked(Chore.WATER), an_asked(Chore.HATCH_CHECK, number=2)], ["Watered", "None yet", "Pinheads"]),
    ],
    ids=lambda value: " ".join(value) if isinstance(value[0], str) else "",
)
def test_a_reminder_has_what_finishes_it_then_later_and_skip(asked, labels):
    found = finishing.reminder_buttons(Voice(a_farm(), NOON), asked)

    assert [label for label, _ in found] == [*labels, "In an hour", "Skip"]
    assert found[-1][1].asked == tuple(a.number for a in asked)
