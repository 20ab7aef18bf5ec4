"""How long a tub will take, and why."""

import datetime as dt

import pytest
from msgspec.structs import replace

from bot.ports.messages import plain
from bot.replies import hatching
from bot.replies.voice import Voice
from core.rules.forecasts import forecasts
from core.units import TemperatureUnit
from tests.builders import NOON, a_climate, a_farm, a_place, a_tub, settings

PULLED = NOON - dt.timedelta(days=2)
SHELF = a_place(lamp=True, readings=(a_climate(PULLED, temp_c=31.1),))


def days_left(*things, tub="T1", now=NOON):
    farm = a_farm(*things)
    return plain(hatching.days_left(Voice(farm, now), tub, forecasts(farm))).split("\n")


def why(*things, now=NOON, units=TemperatureUnit.FAHRENHEIT):
    farm = a_farm(*things, settings=replace(settings(), units=units))
    forecast = forecasts(farm).get("T1")
    collected = forecast.curve.progress(PULLED, now) if forecast else None
    return plain(hatching.why(Voice(farm, now), farm.tubs["T1"], forecast, collected)).split("\n")


def test_a_tub_that_is_waited_for_has_its_day_and_range():
    (line,) = days_left(SHELF, a_tub(pulled_at=PULLED, place="lamp shelf"))

    assert line == "Tub 1: about Tue May 12 (Mon to Thu), in 8 days."


def test_without_a_reading_what_is_assumed_is_said():
    lines = days_left(a_place(lamp=True), a_tub(pulled_at=PULLED, place="lamp shelf"))

    assert lines[1] == "No reading on the lamp shelf yet: I assume about 86°F. Send me one."


def test_a_tub_without_a_place_says_so():
    assert days_left(a_tub(pulled_at=PULLED))[1] == "I do not know where tub 1 stands: I assume about 75°F."


def test_past_its_time_it_says_when_to_give_up():
    tub = a_tub(pulled_at=PULLED, place="lamp shelf")

    (line,) = days_left(SHELF, tub, now=NOON + dt.timedelta(days=14))

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


def test_a_place_too_cold_has_no_day():
    cold = a_place("garage", readings=(a_climate(PULLED, temp_c=8.0),))

    (line,) = days_left(cold, a_tub(pulled_at=PULLED, place="garage"))

    assert line == "Tub 1: too cold to say. At about 46°F the eggs all but stand still."


def test_all_tubs_come_soonest_first_in_a_line_each():
    lines = days_left(
        SHELF,
        a_tub("T2", PULLED, place="lamp shelf"),
        a_tub("T1", PULLED - dt.timedelta(days=3), place="lamp shelf"),
        tub=None,
    )

    assert [line[:5] for line in lines] == ["Tub 1", "Tub 2"]
    assert days_left(tub=None) == ["No tubs of eggs now."]


def test_why_goes_from_the_pull_to_the_day():
    lines = why(SHELF, a_tub(pulled_at=PULLED, place="lamp shelf"))

    assert lines == [
        "Tub 1: pulled Sat May 2 12 pm.",
        "Temperatures: 1 reading on the lamp shelf.",
        "House cricket eggs need 301 degree-days above 59°F (fitted to growers' rules of thumb).",
        "58 so far; 29 a day at about 88°F from here on.",
        "That makes about Tue May 12 (Mon to Thu).",
        "The days around it: eggs differ, the lay lasted 24 h, a thermometer errs by about 2°F.",
    ]


def test_why_is_in_the_farms_own_degrees():
    lines = why(SHELF, a_tub(pulled_at=PULLED, place="lamp shelf"), units=TemperatureUnit.CELSIUS)

    assert "degree-days above 14.9°C" in lines[2] or "°C" in lines[2]
    assert not any("°F" in line for line in lines)


def test_why_names_the_readings_of_the_tub_itself():
    own = a_tub(pulled_at=PULLED, place="lamp shelf", readings=(a_climate(PULLED), a_climate(NOON)))

    assert "Temperatures: 2 readings in the tub itself." in why(SHELF, own)


def test_why_says_where_the_straight_line_is_untested():
    cool = a_place(readings=(a_climate(PULLED, temp_c=18.0),))

    assert why(cool, a_tub(pulled_at=PULLED, place="lamp shelf"))[-1].startswith("Under ")


def test_why_of_a_tub_with_nothing_to_tell():
    assert why(a_tub(pulled_at=PULLED, emptied_at=NOON)) == ["Tub 1: thrown out 12 pm."]
