"""Setting a farm up by buttons and words; it never stands in the way."""

import pytest

from core.journal.kinds import Role
from tests.bot.assistant.talk import Talk, one
from tests.builders import NOON


@pytest.fixture
def new():
    """A desk that nobody has spoken to."""
    return Talk(is_open=False)


def step(new, *presses):
    """Have Noor start, and press on."""
    told = new.say("Noor", "/start")
    for label in presses:
        told = new.press("Noor", label)
    return told


def test_start_founds_a_farm_and_asks_for_the_unit(new):
    told = step(new)

    assert told.lines[0].startswith("I'm Ovipost.")
    assert told.labels == ("°F", "°C", "Skip")
    assert new.farm.people["Noor"].role is Role.OWNER


def test_every_step_can_be_skipped(new):
    told = step(new, "Skip", "Skip", "Skip", "Skip")

    assert told.text == "That's all. When the first bin chirps, text me: bin 1 is chirping."
    assert new.farm.places == {}


@pytest.mark.parametrize("typed", ["skip", "Skip it.", "no", "That\N{RIGHT SINGLE QUOTATION MARK}s all!"])
def test_every_step_can_be_skipped_in_words(new, typed):
    step(new)

    told = [new.say("Noor", typed).lines[-1] for _ in range(4)]

    assert told[-1].startswith("That's all.")


def test_each_answer_is_recorded(new):
    step(new, "°C")
    assert new.say("Noor", "Melbourne").lines[0].startswith("Clock set to Australia/Melbourne")
    new.press("Noor", "Lamp shelf")
    new.press("Noor", "That's all")

    told = new.say("Noor", "Kentia Crickets")

    assert told.lines == [
        "The farm is called Kentia Crickets.",
        "That's all. When the first bin chirps, text me: bin 1 is chirping.",
    ]
    settings = new.farm.settings
    assert (settings.units, settings.timezone, settings.is_set_up) == ("C", "Australia/Melbourne", True)
    assert new.farm.places["lamp shelf"].lamp is True


@pytest.mark.parametrize("typed", ["f", "°F", "Fahrenheit", "celsius", "C."])
def test_the_unit_can_be_typed(new, typed):
    step(new)

    new.say("Noor", typed)

    assert new.farm.settings.units == typed.lstrip("°")[0].upper()


def test_a_location_is_the_time_zone_at_any_time(new):
    assert step(new, "Skip").outgoing.asks_location

    assert one(new.shares("Noor", 39.7, -105.0)).lines[0].startswith("Clock set to America/Denver")
    one(new.shares("Noor", -31.55, 159.08))

    assert new.farm.settings.timezone == "Australia/Lord_Howe"


def test_a_place_that_is_nowhere_is_asked_again(new):
    step(new, "Skip")

    assert new.say("Noor", "qqxxzz").text.startswith("I do not know that place.")
    assert new.say("Noor", "UTC-7").lines[0].startswith("Clock set to UTC-07:00")


def test_a_place_of_ones_own_is_asked_about_and_then_the_next(new):
    step(new, "Skip", "Skip")

    assert new.say("Noor", "Attic").lines == ["Attic: added.", "What is the attic like?"]
    told = new.press("Noor", "Neither")

    assert told.lines[-1] == "Another place?"
    assert "Lamp shelf" in told.labels


def test_a_message_that_is_no_answer_is_a_message_of_its_own(new):
    step(new)

    told = new.tells("Noor", "chirp", bin="B1")

    assert told.lines[0] == "Bin 1: first chirp."
    assert new.press("Noor", "°C").lines[0] == "Temperatures in °C from now on."


def test_a_long_text_is_no_name(new):
    step(new, "Skip", "Skip", "Skip")

    new.say("Noor", "this is really not the name of any farm that there ever was")

    assert new.farm.name == "the farm"


def test_a_button_of_a_step_that_is_over_is_too_old(new):
    step(new, "°F")

    assert new.press("Noor", "°C").text == "That button is too old to use. Say it in words."
    assert new.farm.settings.units == "F"


def test_setup_begins_again_at_any_time(talk):
    assert talk.say("Noor", "/setup").labels == ("°F", "°C", "Skip")


def test_words_for_skipping_are_about_reminders_once_there_are_any(talk):
    talk.say("Noor", "/setup")
    talk.tells("Noor", "tray_in", bin="B1")
    talk.pass_until(talk.next_due)

    assert talk.say("Noor", "skip").lines[-1] != "Where is the farm?"
    assert not any(line.startswith("Where is the farm?") for line in talk.told[-1].lines)


def test_any_first_message_founds_a_farm_and_is_understood(new):
    told = new.tells("Noor", "watered", tubs=["T3"])

    assert told.lines[0] == "Tub 3: watered."
    assert "T3" in new.farm.tubs
    assert new.farm.known_since == NOON
