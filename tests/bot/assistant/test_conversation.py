"""What a message is, and which part of the assistant takes it."""

import datetime as dt

import pytest

from bot.assistant import buttons
from bot.ports.intents import Intent
from bot.ports.messages import LONGEST_TEXT
from core.journal.facts import Remark
from core.journal.kinds import Setting
from core.journal.wants import Joined, Set
from tests.bot.assistant.talk import Talk, one
from tests.builders import NOON

CHIRP = Intent(kind="chirp", slots={"bin": "B1"})


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "I can only read text."),
        ("   ", "I can only read text."),
        ("lovely weather", "OK, nothing written down."),
    ],
)
def test_what_is_nothing_to_record_is_told_so(talk, text, told):
    before = talk.last_number

    assert talk.say("Noor", text).text.startswith(told)
    assert talk.last_number == before


def test_what_looks_like_the_farm_and_cannot_be_read_is_kept_as_a_note(talk):
    talk.means("the tray in bin 2 wobbles", is_farm_talk=True, unread="the tray in bin 2 wobbles")

    told = talk.say("Noor", "the tray in bin 2 wobbles")

    assert told.text.startswith("I could not read that, so I kept it as a note.")
    assert talk.fold.in_force[-1].body == Remark(text="the tray in bin 2 wobbles", unread=True)
    assert told.labels == ("Undo",)


def test_a_part_that_could_not_be_read_is_kept_beside_what_could(talk):
    talk.means("both", CHIRP, unread="and the tray wobbles")

    told = talk.say("Noor", "both")

    assert told.lines[0] == "Bin 1: first chirp."
    assert told.lines[-1] == "I could not read this part, so I kept it as a note: and the tray wobbles"


@pytest.mark.parametrize(
    ("command", "read"), [("/due", "what's due"), ("/days", "how long on the tubs"), ("/status@farm_bot", "status")]
)
def test_a_command_is_read_as_the_sentence_that_it_is_short_for(talk, command, read):
    talk.say("Noor", command)

    assert talk.reader.heard == [(read, "en")]


def test_a_command_that_is_none_is_read_as_it_is(talk):
    talk.say("Noor", "/frobnicate")

    assert [text for text, _ in talk.reader.heard] == ["/frobnicate"]


def test_start_of_somebody_who_is_known(talk):
    told = talk.say("Noor", "/start")

    assert told.text.startswith("You're on the farm.")
    assert told.labels == ("What's due", "Help")


@pytest.mark.parametrize("data", ["", "nonsense", "3|s|help", "2|bond|q|1"])
def test_a_button_of_another_version_is_a_sentence(talk, data):
    (told,) = talk.presses_data("Noor", data)

    assert told.text == "I do not know that button any more. Say it in words."


def test_a_button_may_say_something_for_a_person(talk):
    talk.means("what's due", Intent(kind="ask", slots={"topic": "due"}))

    assert one(
        talk.presses_data("Noor", buttons.write(buttons.Say("what's due"), buttons.bond(1, "chat:Noor")))
    ).text.startswith("Nothing due now.")


def test_a_farms_first_clock_is_that_of_its_founder():
    new = Talk(is_open=False)
    zone = dt.timezone(-dt.timedelta(hours=6))
    new.means("bin 1 chirps", CHIRP)

    new.says("Noor", "bin 1 chirps", sent_at=NOON.astimezone(zone))

    first, second, *_ = (e.body for e in new.fold.events)
    assert first == Set(what=Setting.TIMEZONE, to="UTC-06:00")
    assert isinstance(second, Joined)


# groups


def in_group(talk, text, who="Noor", **fields):
    return talk.says(who, text, group=True, **fields)


@pytest.fixture
def group(talk):
    """A farm whose group the assistant is in."""
    in_group(talk, "hello")
    talk.means("chirp", CHIRP)
    talk.means("which bin", Intent(kind="chirp", slots={}, needs=("bin",)))
    talk.means("due?", Intent(kind="ask", slots={"topic": "due"}))
    talk.means("tray talk", is_farm_talk=True)
    return talk


def test_a_group_is_greeted_when_the_assistant_is_first_spoken_to(talk):
    (told,) = in_group(talk, "hello")

    assert told.lines[0] == "I'm in. Reminders for the farm come here from now on."
    assert one(in_group(talk, "hello")).lines[0].startswith("OK, nothing")


@pytest.mark.parametrize("text", ["morning all", "which bin", "due?", "tray talk", ""])
def test_talk_among_people_is_left_alone(group, text):
    before = group.last_number

    assert in_group(group, text, addressed=False) == []
    assert group.last_number == before


def test_what_is_plainly_to_be_recorded_is(group):
    assert one(in_group(group, "chirp", who="Tomas", addressed=False)).lines[0] == "Bin 1: first chirp."


def test_what_is_addressed_is_answered(group):
    assert one(in_group(group, "due?")).text.startswith("Nothing due now.")
    assert one(in_group(group, "which bin")).text == "Which bin is chirping?"


def test_reminders_go_to_the_group_alone(group):
    group.tells("Noor", "tray_in", bin="B1")

    assert [t.to for t in group.pass_until(NOON + dt.timedelta(days=1))] == [("the group",)]


def test_somebody_new_in_the_group_is_of_the_farm_without_a_word(group):
    assert in_group(group, "hi, I am new", who="Lupe", addressed=False) == []
    assert "Lupe" in group.farm.people


def test_a_text_that_is_too_long_is_refused_in_a_sentence_and_not_kept(talk):
    before = talk.last_number

    told = talk.say("Noor", "x" * (LONGEST_TEXT + 1))

    assert told.text == "That is more than 4096 letters, too long for me, so I wrote nothing down. Send it in parts."
    assert (talk.last_number, talk.reader.heard) == (before, [])


def test_a_text_that_is_just_short_enough_is_read(talk):
    talk.say("Noor", "x" * LONGEST_TEXT)

    assert len(talk.reader.heard) == 1


def test_a_long_text_in_a_group_that_is_not_meant_for_the_bot_is_left_alone(talk):
    assert talk.says("Noor", "x" * (LONGEST_TEXT + 1), group=True, addressed=False) == []
