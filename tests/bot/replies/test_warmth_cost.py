"""What the warmth for a batch costs."""

import pytest

from bot.ports.messages import plain
from bot.replies.voice import Voice
from bot.replies.warmth_cost import warmth_cost
from core.rules.heat import heat_choice
from tests.builders import NOON, a_climate, a_farm, a_place


def told(*things, language="en"):
    farm = a_farm(*things)
    return plain(warmth_cost(Voice(farm, NOON, language), heat_choice(farm))).split("\n")


def test_in_a_warm_room_cooler_is_cheaper():
    assert told() == [
        "Heat for one batch of eggs in a room at 70°F, a guess:",
        "80°F: about 14 days, the least heat.",
        "85°F: about 11 days, 21 % more heat.",
        "90°F: about 9 days, 35 % more heat.",
        (
            "The room is above 59°F, where eggs stand still: cooler is cheaper, warmer is quicker. "
            "In a colder room it is the other way round."
        ),
        "An estimate. A power meter at the heater tells you the money.",
    ]


def test_in_a_cold_garage_warmer_is_cheaper():
    lines = told(a_place("garage", readings=(a_climate(temp_c=8.0),)))

    assert lines[0] == "Heat for one batch of eggs, with 46°F around it as in the garage:"
    assert lines[3] == "90°F: about 9 days, the least heat."
    assert "warmer is cheaper" in lines[4]


@pytest.mark.parametrize("language", ["en", "es"])
def test_in_each_language_there_is_a_line_a_batch_and_the_reason(language):
    assert len(told(language=language)) == 6
