"""Which button a typed number or name means."""

import pytest

from bot.channels.terminal.shown import Shown
from bot.ports.messages import Button


def row(*labels):
    return (tuple(Button(label=label, data=f"{label.lower()}") for label in labels),)


@pytest.fixture
def shown():
    made = Shown()
    made.add(row("Watered", "In an hour", "Skip"))
    made.add(row("Pulled", "In an hour"))
    made.add(())
    return made


def test_a_number_means_the_newest_message_that_has_buttons(shown):
    assert shown.by_number(1).label == "Pulled"
    assert shown.by_number(2).label == "In an hour"
    assert shown.by_number(3) is None
    assert shown.by_number(0) is None


def test_a_name_means_the_newest_button_that_has_it(shown):
    assert shown.by_name("watered").label == "Watered"
    assert shown.by_name("IN  an hour") is shown.by_number(2)


def test_the_beginning_of_a_name_is_enough(shown):
    assert shown.by_name("pull").label == "Pulled"
    assert shown.by_name("help") is None
    assert shown.by_name(" ") is None


def test_a_whole_name_goes_before_a_newer_one_that_begins_so():
    shown = Shown()
    shown.add(row("Skip"))
    shown.add(row("Skip all"))

    assert shown.by_name("skip").label == "Skip"


def test_without_buttons_there_is_none():
    assert Shown().by_number(1) is None
    assert Shown().by_name("yes") is None
