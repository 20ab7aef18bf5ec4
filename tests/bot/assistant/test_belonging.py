"""Inviting, leaving, taking somebody off, duties and absences, and who is reminded."""

import datetime as dt

import pytest

from bot.ports.intents import Intent
from core.journal.kinds import Role, Weekday
from tests.bot.assistant.talk import BINS, PLACES, Talk
from tests.builders import after

PEOPLE = (("Noor", Role.OWNER), ("Tomas", Role.HAND), ("Walt", Role.HAND), ("Dana", Role.LOOKER_ON))
PRIVATE = "This is a private farm assistant. Ask its owner for an invite."


@pytest.fixture
def talk():
    talk = Talk(is_open=False, owners=frozenset({"chat:Noor"}))
    talk.open_farm(*PLACES, *BINS, people=PEOPLE)
    return talk


def token_in(told):
    return told.lines[-1].removeprefix("/start ")


@pytest.mark.parametrize(
    ("role", "told"), [("hand", "You're on the farm now, as hand."), ("looker-on", "as looker-on")]
)
def test_an_invite_says_what_it_makes_and_makes_that(talk, role, told):
    answer = talk.tells("Noor", "joined", role=role)

    assert answer.lines[0].startswith(f"For a {role}")
    assert told in talk.say("Lupe", f"/start {token_in(answer)}").text
    assert talk.farm.people["Lupe"].role is Role(role)


@pytest.mark.parametrize(("text", "role"), [("/invite", Role.HAND), ("/invite looker-on", Role.LOOKER_ON)])
def test_the_command_invites_a_hand_or_a_looker_on(talk, text, role):
    talk.say("Lupe", f"/start {token_in(talk.say('Noor', text))}")

    assert talk.farm.people["Lupe"].role is role


def test_talk_in_a_group_invites_nobody_and_takes_nobody_off(talk):
    talk.means("invite a hand", Intent(kind="joined", slots={"role": "hand"}))
    talk.means("I am out", Intent(kind="left", slots={}))
    talk.says("Noor", "hello", group=True)

    for text in ("invite a hand", "I am out"):
        assert talk.says("Noor", text, group=True, addressed=False) == []


def test_who_leaves_is_asked_first_and_is_of_the_farm_no_more(talk):
    assert talk.tells("Tomas", "left").labels == ("Leave", "Stay")
    assert "Tomas" in talk.farm.people

    assert talk.press("Tomas", "Leave").text == "You have left the farm."

    assert "Tomas" not in talk.farm.people
    assert talk.say("Tomas", "chirp").text == PRIVATE


@pytest.mark.parametrize("word", ["yes", "Yep.", "sí"])
def test_a_typed_yes_does_as_well(talk, word):
    talk.tells("Tomas", "left")

    assert talk.say("Tomas", word).text == "You have left the farm."


def test_who_stays_stays(talk):
    talk.tells("Tomas", "left")

    assert talk.press("Tomas", "Stay").text == "Tomas stays. Nothing was changed."
    assert "Tomas" in talk.farm.people


def test_the_owner_takes_somebody_off_whose_invite_and_chat_go_too(talk):
    invite = token_in(talk.tells("Noor", "joined", role="hand"))

    talk.tells("Noor", "left", name="tomas")
    talk.press("Noor", "Take off")

    assert "Tomas" not in talk.farm.people
    with talk.store.begin() as uow:
        assert uow.people.member("chat:Tomas") is None
        assert uow.people.chat("chat:Tomas") is None
    assert "used up" in talk.say("Lupe", f"/start {invite}").text


def test_that_somebody_was_taken_off_cannot_be_undone_by_a_word(talk):
    talk.tells("Noor", "left", name="Tomas")
    talk.press("Noor", "Take off")
    talk.tells("Noor", "undo")

    assert "Tomas" not in talk.farm.people


@pytest.mark.parametrize(
    ("who", "name", "told"),
    [
        ("Tomas", "Walt", "Only the owner can do that."),
        ("Dana", "Walt", "You can look but not write on this farm. Its owner can change that."),
        ("Tomas", "Noor", "Only the owner can do that."),
        ("Noor", None, "The farm is yours, so you cannot leave it. /erase takes it away with all its records."),
        (
            "Noor",
            "Bob",
            "There is nobody called Bob here, so I wrote nothing down. People: Dana, Noor, Tomas and Walt.",
        ),
    ],
)
def test_who_may_not_is_told_in_one_sentence(talk, who, name, told):
    before = talk.last_number

    assert talk.tells(who, "left", {} if name is None else {"name": name}).text == told
    assert talk.last_number == before


def test_in_a_group_the_button_to_leave_is_of_no_use_to_another_hand(talk):
    talk.says("Noor", "hello", group=True)
    talk.means("I quit", Intent(kind="left", slots={}))
    talk.says("Tomas", "I quit", group=True)

    assert talk.press("Walt", "Leave", group=True).text == "Only the owner can do that."
    assert "Tomas" in talk.farm.people


def test_a_duty_says_who_does_what_is_left(talk):
    told = talk.tells("Noor", "duty", name="Tomas", days=["mon"], on=True)

    assert told.lines == ["Tomas: on duty Mon.", "On duty now: Tomas."]
    assert talk.farm.people["Tomas"].days == {Weekday.MON}


def test_who_names_nobody_means_themselves(talk):
    talk.tells("Walt", "duty", days=["sat"], on=True)
    talk.tells("Walt", "away", until=after(days=2))

    walt = talk.farm.people["Walt"]
    assert (walt.days, walt.away.until) == ({Weekday.SAT}, after(days=2))


def test_a_duty_is_taken_back_like_any_record(talk):
    talk.tells("Noor", "duty", name="Tomas", days=["mon"], on=True)
    talk.press("Noor", "Undo")

    assert talk.farm.people["Tomas"].days == set()


def test_of_somebody_unknown_nothing_is_written_down(talk):
    before = talk.last_number

    assert talk.tells("Noor", "duty", name="Bob", days=["sat"]).text.startswith("There is nobody called Bob here")
    assert talk.last_number == before


def test_who_was_away_and_resumes_is_back(talk):
    talk.tells("Walt", "away")
    assert talk.tells("Walt", "resume").lines[0] == "Walt: back."
    assert talk.farm.people["Walt"].away is None
    assert talk.tells("Walt", "resume").text == "Reminders are on again."


def test_who_is_back_goes_on_with_what_was_paused_too(talk):
    talk.tells("Walt", "away")
    talk.tells("Noor", "pause")

    assert talk.tells("Walt", "resume").lines[-1] == "Reminders are on again."
    assert (talk.farm.people["Walt"].away, talk.farm.pauses) == (None, ())


def reminded(talk):
    """Set a tray, and give whom the reminder to pull it reaches."""
    talk.tells("Noor", "tray_in", bin="B1")
    pushes = [told for told in talk.pass_until(talk.clock.now() + dt.timedelta(hours=24)) if told.is_push]
    talk.tells("Noor", "tray_out", bin="B1", place="rack")
    return {to for told in pushes for to in told.to}


def test_only_those_on_duty_are_reminded_and_never_a_looker_on(talk):
    assert reminded(talk) == {"Noor", "Tomas", "Walt"}

    talk.tells("Walt", "away")
    talk.tells("Noor", "away")
    assert reminded(talk) == {"Tomas"}


def test_while_all_are_away_everybody_is_reminded(talk):
    for name in ("Noor", "Tomas", "Walt"):
        talk.tells(name, "away")

    assert reminded(talk) == {"Noor", "Tomas", "Walt"}


def test_a_group_is_reminded_whoever_is_on_duty(talk):
    talk.says("Noor", "hello", group=True)
    talk.tells("Walt", "away")

    assert reminded(talk) == {"the group"}


def test_who_is_on_duty_is_answered_for_now_and_by_day(talk):
    talk.tells("Noor", "duty", name="Tomas", days=["sat", "sun"], on=True)

    assert talk.asks("Dana", "duty").text == "On duty now: Noor and Walt."
    told = talk.asks("Dana", "duty", day=after(days=5).date(), days=2).lines
    assert told == ["Sat May 9: Tomas.", "Sun May 10: Tomas."]
    assert talk.asks("Dana", "duty", days=7).lines[0] == "Mon May 4: Noor and Walt."
