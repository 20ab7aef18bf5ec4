"""Trouble is answered with what to do; a die-off with questions, and moves are held back."""

import pytest

from bot.assistant import diagnosing
from bot.replies import troubles
from core.journal.kinds import Trouble

CLEARED_UP = {Trouble.DIE_OFF, Trouble.SICK, Trouble.OTHER}


@pytest.fixture
def stocked(talk):
    talk.tells("Noor", "stocked", bin="B2", count=1000)
    talk.clock.forward(days=20)
    return talk


def answers(talk, *labels):
    """Press one button after the other; give the last answer."""
    for label in labels:
        told = talk.press("Noor", label)
    return told


@pytest.mark.parametrize("what", [what for what in Trouble if what not in CLEARED_UP])
def test_each_trouble_says_what_to_do(talk, what):
    told = talk.tells("Noor", "problem", what=what.value, bin="B2")

    assert len(told.lines) >= 3
    assert not set(told.text) & set("{}")
    assert talk.farm.bins["B2"].held_since is None


def test_pests_are_told_of_without_spray(talk):
    for what in ("fruit_flies", "mites", "ants", "spiders"):
        assert "spray" in talk.tells("Noor", "problem", what=what, bin="B2").text.casefold()


def test_more_dead_than_usual_is_a_die_off(stocked):
    told = stocked.tells("Noor", "dead", bin="B2", count=400)

    assert "400 dead in a week" in told.text
    assert told.labels == ("Yes", "No", "Not sure", "Undo")
    assert stocked.farm.bins["B2"].held_since == stocked.clock.now()


def test_deaths_that_were_of_another_bin_take_the_die_off_along(stocked):
    stocked.tells("Noor", "stocked", bin="B3", count=1000)
    stocked.clock.forward(days=1)
    stocked.tells("Noor", "dead", bin="B2", count=400)
    stocked.tells("Noor", "fix", bin="B3")

    found = {name: (stocked.farm.bins[name].held_since is None, stocked.farm.bins[name].count) for name in ("B2", "B3")}
    assert found == {"B2": (True, 1000), "B3": (False, 600)}


def test_a_figure_that_is_put_right_is_that_of_the_dead(stocked):
    stocked.tells("Noor", "dead", bin="B2", count=400)
    stocked.tells("Noor", "fix", count=300)

    assert stocked.farm.bins["B2"].count == 700


def test_as_many_as_usual_are_not(stocked):
    assert stocked.tells("Noor", "dead", bin="B2", count=50).labels == ("Undo",)
    assert stocked.farm.bins["B2"].held_since is None


def test_a_die_off_by_mistake_is_taken_back_with_the_deaths(stocked):
    stocked.tells("Noor", "dead", bin="B2", count=400)
    stocked.press("Noor", "Undo")

    assert (stocked.farm.bins["B2"].held_since, stocked.farm.bins["B2"].count) == (None, 1000)


def test_once_it_is_held_back_more_deaths_ask_no_more(stocked):
    stocked.tells("Noor", "dead", bin="B2", count=400)

    assert stocked.tells("Noor", "dead", bin="B2", count=400).labels == ("Undo",)


def test_all_questions_are_asked_and_each_yes_has_its_line(talk):
    talk.tells("Noor", "problem", what="die_off", bin="B2")
    told = answers(talk, *["Yes"] * len(troubles.ASKED))

    assert told.lines[0].startswith("It may be a virus. Quarantine bin 2")
    assert len([line for line in told.lines if line.startswith(("Heat or", "Thirst", "Ammonia", "Feed", "Spray"))]) == 5
    assert told.labels == ()


def test_where_none_is_so_it_says_that_it_knows_no_cause_and_offers_to_clear_the_bin(talk):
    talk.tells("Noor", "problem", what="die_off", bin="B2")
    told = answers(talk, *["No", "Not sure"] * 3)

    assert told.text.startswith("None of these")
    assert told.labels == ("All clear",)


def test_a_sick_bin_is_not_asked_whether_it_is(talk):
    talk.tells("Noor", "problem", what="sick", bin="B2")
    told = answers(talk, *["No"] * (len(troubles.ASKED) - 1))

    assert told.lines[0].startswith("It may be a virus.")


def test_how_a_bin_stands_says_that_it_is_held_back(stocked):
    stocked.tells("Noor", "problem", what="sick", bin="B2")

    assert "Held back since 12 pm" in stocked.asks("Noor", "status", bin="B2").text


def test_a_move_is_refused_until_all_is_clear(stocked):
    stocked.tells("Noor", "problem", what="sick", bin="B2")

    told = stocked.tells("Noor", "moved", {"from": "B2", "to": "B3", "count": 5})
    assert (told.text.split(",")[0], told.labels) == ("Bin 2 has been held back since 12 pm", ("All clear",))

    stocked.tells("Noor", "cleared", bin="B2")
    assert "5 crickets moved" in stocked.tells("Noor", "moved", {"from": "B2", "to": "B3", "count": 5}).text


def test_the_questions_leave_no_record(talk):
    talk.tells("Noor", "problem", what="die_off", bin="B2")
    before = talk.last_number
    answers(talk, *["No"] * len(troubles.ASKED))

    assert talk.last_number == before
    assert diagnosing.KIND not in talk.kinds_since(0)
