"""Reminders about growing bins, from the press to the farm."""

import datetime as dt

import pytest

from bot.assistant import standing
from bot.ports.messages import plain
from core.journal import facts
from core.journal.kinds import Chore
from core.units import SizeGrade
from tests.bot.assistant.talk import Talk
from tests.builders import NOON, after, at

MORNING = at("05-05 07:00")


@pytest.fixture
def talk():
    """A farm with pinheads in two bins, asked about on the next morning."""
    return Talk(facts.Stocked(bin="B1", count=2000), facts.Stocked(bin="B2", count=2000))


@pytest.fixture
def asked(talk):
    talk.pass_until(MORNING)
    return talk


def times(talk, name):
    house = talk.farm.bins[name]
    return house.fed_at, house.watered_at


def test_one_press_ends_feed_and_water_of_all_bins(asked):
    assert asked.press("Noor", "Fed and watered").lines == ["Bins 1 and 2: fed.", "Bins 1 and 2: watered."]
    assert times(asked, "B1") == times(asked, "B2") == (MORNING, MORNING)
    assert asked.press("Tomas", "Only fed").text.startswith("Already done: Noor")


def test_only_fed_leaves_the_water_open(asked):
    asked.press("Noor", "Only fed")

    assert times(asked, "B1") == (MORNING, None)
    assert [a.chore for a in asked.farm.asked.values() if a.ended_at is None] == [Chore.BIN_WATER]


def test_what_is_fed_on_the_button_counts_as_a_feeding_that_was_not_weighed(asked):
    asked.press("Noor", "Fed and watered")

    assert [(f.at, f.mass_g) for f in asked.farm.stores.feedings] == [(MORNING, None)]


def test_taken_back_it_was_not_fed(asked):
    asked.press("Noor", "Fed and watered")
    asked.press("Noor", "Undo")

    assert times(asked, "B1") == (None, None)


@pytest.mark.parametrize(("kind", "said"), [("done", ["fed", "watered"]), ("skip", ["Skipped", "Skipped"])])
def test_done_or_skip_after_the_round_is_for_all_of_it(asked, kind, said):
    lines = asked.tells("Noor", kind, chore="bin_water").lines

    assert len(lines) == 2
    assert all(word in line for word, line in zip(said, lines, strict=True))


def test_feed_that_is_named_is_for_feed_alone(asked):
    assert asked.tells("Noor", "done", chore="feed").lines == ["Bins 1 and 2: fed."]


def test_the_round_comes_again_in_an_hour(asked):
    asked.press("Noor", "In an hour")

    (again,) = asked.pass_until(after(MORNING, hours=1))

    assert again.text.startswith("Bins 1 and 2: feed and give water.")


def test_a_round_that_leaves_late_names_the_bins_that_are_left(talk):
    told = talk.pass_until(MORNING)[0].outgoing
    talk.tells("Noor", "fed", bins=["B1"])
    talk.tells("Noor", "watered", bins=["B1"])

    left = standing.as_it_stands(told, talk.farm, talk.clock.now(), "en")

    assert plain(left.text).startswith("Bin 2: feed and give water.\n")


def test_yesterdays_round_is_overtaken_by_todays(asked):
    asked.pass_until(MORNING + dt.timedelta(days=1))
    before = asked.last_number

    told = asked.press("Noor", "Fed and watered", at=MORNING)

    assert told.text.startswith("The farm has moved on since that reminder")
    assert asked.last_number == before


class TestSizes:
    @pytest.fixture
    def asked(self, talk):
        talk.tells("Noor", "pause", what="feed")
        talk.tells("Noor", "pause", what="bin_water")
        while not any(
            "Look at a few" in told.text for told in talk.pass_until(talk.clock.now() + dt.timedelta(days=1))
        ):
            assert talk.clock.now() < after(NOON, days=20)
        return talk

    def test_the_size_on_the_button_is_written_down(self, asked):
        asked.press("Noor", "1/8 in")

        house = next(house for house in asked.farm.bins.values() if house.size is not None)
        assert house.size is SizeGrade.EIGHTH
        assert house.sizes == ((asked.clock.now(), SizeGrade.EIGHTH),)

    def test_smaller_ends_it_and_writes_no_size_down(self, asked):
        assert asked.press("Noor", "Smaller").text.endswith("size looked at.")
        assert all(house.size is None for house in asked.farm.bins.values())
