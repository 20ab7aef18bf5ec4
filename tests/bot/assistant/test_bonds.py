"""A button acts where it was shown and nowhere else: numbers in it are a farm's own."""

import pytest

from core.journal.kinds import Role
from tests.bot.assistant.talk import Talk, one

ELSEWHERE = "That button was made for another farm or another chat, so I did nothing. Say it in words."


@pytest.fixture
def farms():
    """Noor's farm with Tomas, and Ines' farm with Walt, on one desk."""
    first = Talk(owners=frozenset({"chat:Noor", "chat:Ines"}))
    second = Talk(store=first.store, owners=first.owners, is_open=False)
    second._count = 1000  # keys of messages of its own
    second.open_farm(people=(("Ines", Role.OWNER), ("Walt", Role.HAND)))
    return first, second


def moves(second, who):
    """Have somebody open an invite to a farm."""
    link = second.say("Ines", "/invite").lines[-1]
    assert second.say(who, link).text == "You're on the farm now, as hand."


def test_a_button_of_the_farm_that_somebody_left_does_nothing_on_the_new_one(farms):
    first, second = farms
    first.tells("Tomas", "chirp", bin="B1")
    stale = first.button("Tomas", "Undo")
    for _ in range(20):  # the new farm has an event of the same number
        second.tells("Ines", "remark", text="swept")
    moves(second, "Tomas")
    before = first.last_number, second.last_number

    told = one(second.presses_data("Tomas", stale))

    assert told.text == ELSEWHERE
    assert (first.last_number, second.last_number) == before


def test_a_button_that_was_copied_out_of_another_chat_does_nothing(farms):
    first, _ = farms
    first.tells("Tomas", "chirp", bin="B1")
    before = first.last_number

    told = one(first.presses_data("Noor", first.button("Tomas", "Undo")))

    assert told.text == ELSEWHERE
    assert first.last_number == before


def test_a_reminders_button_is_of_the_chat_that_it_went_to(farms):
    first, _ = farms
    first.tells("Noor", "tray_in", bin="B1")
    first.pass_until(first.next_due)
    to_noor = [told for told in first.told if told.is_push][-1]
    assert to_noor.to == ("Noor", "Tomas")  # alike but for their buttons

    assert one(first.presses_data("Tomas", first.button("Noor", "Pulled"))).text == ELSEWHERE


def test_a_button_of_before_the_bonds_says_what_to_do(farms):
    first, _ = farms
    first.tells("Noor", "chirp", bin="B1")
    before = first.last_number

    told = one(first.presses_data("Noor", f"1|u|{before}|{before}"))

    assert told.text.startswith("That button is from an older version of me, so I did nothing. Say it in words, or ask")
    assert first.last_number == before


def test_a_question_of_the_farm_that_somebody_left_is_not_answered_on_the_new_one(farms):
    first, second = farms
    first.tells("Tomas", "chirp", needs=("bin",))
    moves(second, "Tomas")
    before = second.last_number

    second.says("Tomas", "1")

    assert second.last_number == before
