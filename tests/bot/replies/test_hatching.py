"""How long a tub will take."""

import datetime as dt

import pytest

from bot.ports.messages import plain
from bot.replies import hatching
from bot.replies.voice import Voice
from core.rules.forecasts import forecasts
from tests.builders import NOON, a_climate, a_farm, a_place, a_tub

PULLED = NOON - dt.timedelta(days=2)
SHELF = a_place(lamp=True, readings=(a_climate(PULLED, temp_c=31.1),))


def days_left(*things, tub="T1", now=NOON):
    farm = a_farm(*things)
    return plain(hatching.days_left(Voice(farm, now), tub, forecasts(farm))).split("\n")


def test_a_tub_that_is_waited_for_has_its_day_and_range():
    (line,) = days_left(SHELF, a_tub(pulled_at=PULLED, place="lamp shelf"))

    assert line == "Tub 1: about Fri May 15 (Tue to Mon), in 11 days."


def test_without_a_reading_what_is_assumed_is_said():
    lines = days_left(a_place(lamp=True), a_tub(pulled_at=PULLED, place="lamp shelf"))

    assert lines[1] == "No reading on the lamp shelf yet: I assume about 86°F. Send me one."


def test_a_tub_without_a_place_says_so():
    assert days_left(a_tub(pulled_at=PULLED))[1] == "I do not know where tub 1 stands: I assume about 75°F."


def test_past_its_time_it_says_when_to_give_up():
    tub = a_tub(pulled_at=PULLED, place="lamp shelf")

    (line,) = days_left(SHELF, tub, now=NOON + dt.timedelta(days=16))

    assert "Look for pinheads; if none by" in line
    assert "in " not in line.split(":")[1].split("expected")[0]


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"emptied_at": NOON}, "Tub 1: thrown out 12 pm."),
        ({"hatch_at": PULLED, "hatch_done_at": NOON}, "Tub 1: hatch over since 12 pm."),
        ({"hatch_at": NOON}, "Tub 1: pinheads since 12 pm."),
        ({"pulled_at": None, "known_since": NOON, "told_at": NOON}, "Tub 1: tell me when it was pulled"),
    ],
)
def test_a_tub_that_is_not_waited_for_says_what_became_of_it(fields, told):
    (line,) = days_left(a_tub(**({"pulled_at": PULLED} | fields)))

    assert line.startswith(told)


@pytest.mark.parametrize(
    ("temp_c", "told"),
    [
        (8.0, "Tub 1: too cold to say. At about 46°F the eggs all but stand still."),
        (48.0, "Tub 1: too hot to say. At about 118°F the eggs stand still or die."),
    ],
)
def test_a_place_too_cold_or_too_hot_has_no_day(temp_c, told):
    place = a_place("garage", readings=(a_climate(PULLED, temp_c=temp_c),))

    assert days_left(place, a_tub(pulled_at=PULLED, place="garage", is_covered=True)) == [told]


def test_all_tubs_come_soonest_first_in_a_line_each():
    lines = days_left(
        SHELF,
        a_tub("T2", PULLED, place="lamp shelf"),
        a_tub("T1", PULLED - dt.timedelta(days=3), place="lamp shelf"),
        tub=None,
    )

    assert [line[:5] for line in lines] == ["Tub 1", "Tub 2"]
    assert days_left(tub=None) == ["No tubs of eggs now."]
