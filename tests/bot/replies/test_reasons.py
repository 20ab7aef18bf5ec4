"""Why a hatch day is what it is."""

import datetime as dt

import pytest
from msgspec.structs import replace

from bot.ports.messages import plain
from bot.replies import reasons
from bot.replies.voice import Voice
from core.rules.forecasts import Lesson, forecasts
from core.units import TemperatureUnit
from tests.builders import NOON, a_climate, a_farm, a_place, a_tub, settings

PULLED = NOON - dt.timedelta(days=2)
SHELF = a_place(lamp=True, readings=(a_climate(PULLED, temp_c=31.1),))
CELSIUS = TemperatureUnit.CELSIUS


def why(*things, now=NOON, units=TemperatureUnit.FAHRENHEIT, lesson=None, language="en"):
    farm = a_farm(*things, settings=replace(settings(), units=units))
    forecast = forecasts(farm).get("T1")
    collected = forecast.curve.progress(PULLED, now) if forecast else None
    voice = Voice(farm, now, language)
    return plain(reasons.why(voice, farm.tubs["T1"], forecast, collected, lesson)).split("\n")


def on_the_shelf(**fields):
    return a_tub(pulled_at=PULLED, place="lamp shelf", **fields)


def learned(at_place=3, hatches=3, later_days=2.0, *, tub=None, **how):
    """Give the lines that tell what was learned."""
    lesson = Lesson(hatches=hatches, at_place=at_place, later_days=later_days)
    return [line for line in why(SHELF, tub or on_the_shelf(), lesson=lesson, **how) if line.startswith("Learned")]


def test_it_goes_from_the_pull_to_the_day():
    assert why(SHELF, on_the_shelf()) == [
        "Tub 1: pulled Sat May 2 12 pm.",
        "Temperatures: 1 reading on the lamp shelf.",
        "Wet substrate cools as it dries: about 6°F under the air, so 82°F at the eggs.",
        "House cricket eggs need about 292 degree-days above 59°F: an estimate, fitted to growers' rules of thumb.",
        "46 so far; 23 a day if it stays near 88°F.",
        "That makes about Fri May 15 (Tue to Mon).",
        "The days around it: eggs differ, the lay lasted 24 h, a thermometer errs by about 2°F.",
    ]


def test_it_is_in_the_farms_own_degrees():
    lines = why(SHELF, on_the_shelf(), units=CELSIUS)

    assert lines[2] == "Wet substrate cools as it dries: about 3.6°C under the air, so 27.5°C at the eggs."
    assert "162 degree-days above 14.8°C" in lines[3]
    assert lines[4] == "25 so far; 13 a day if it stays near 31.1°C."
    assert not any("°F" in line for line in lines)


@pytest.mark.parametrize(
    ("place", "fields"),
    [
        pytest.param(SHELF, {"is_covered": True}, id="covered"),
        pytest.param(a_place(lamp=True, readings=(a_climate(PULLED, temp_c=31.1, rh=97.0),)), {}, id="in wet air"),
        pytest.param(SHELF, {"readings": (a_climate(PULLED, temp_c=31.1),)}, id="measured in the tub"),
    ],
)
def test_where_the_substrate_is_as_warm_as_what_was_read_nothing_is_said_of_it(place, fields):
    assert not [line for line in why(place, on_the_shelf(**fields)) if line.startswith("Wet substrate")]


def test_it_names_the_readings_of_the_tub_itself():
    own = on_the_shelf(readings=(a_climate(PULLED), a_climate(NOON)))

    assert "Temperatures: 2 readings in the tub itself." in why(SHELF, own)


def test_it_says_where_the_last_reading_is_from_before_the_pull():
    old = a_place(lamp=True, readings=(a_climate(PULLED - dt.timedelta(days=5), temp_c=31.1),))

    assert "before" in why(old, on_the_shelf())[1]


def test_it_says_what_is_assumed_and_how_unsure_that_is():
    lines = why(a_place(lamp=True), on_the_shelf())

    assert lines[1] == "No reading on the lamp shelf yet: I assume about 86°F. Send me one."
    assert lines[-1].endswith("a thermometer errs by about 4°F.")


def test_it_says_where_the_straight_line_is_untested():
    cool = a_place(readings=(a_climate(PULLED, temp_c=18.0, rh=95.0),))

    assert why(cool, on_the_shelf(is_covered=True))[-1].startswith("Under ")


@pytest.mark.parametrize(
    ("temp_c", "told"),
    [(10.0, "At about 50°F the eggs all but stand still"), (48.0, "At about 118°F the eggs stand still or die")],
    ids=["too cold", "too hot"],
)
def test_where_there_is_no_day_there_is_no_reckoning(temp_c, told):
    lines = why(a_place(readings=(a_climate(PULLED, temp_c=temp_c),)), on_the_shelf(is_covered=True))

    assert len(lines) == 3
    assert lines[-1].startswith(told)


def test_of_a_tub_with_nothing_to_tell():
    assert why(a_tub(pulled_at=PULLED, emptied_at=NOON)) == ["Tub 1: thrown out 12 pm."]


@pytest.mark.parametrize(
    ("later_days", "told"),
    [
        (2.1, "Learned from 3 hatches: tubs on the lamp shelf hatch about 2 days later than the temperature says."),
        (1.0, "Learned from 3 hatches: tubs on the lamp shelf hatch about 1 day later than the temperature says."),
        (-0.9, "Learned from 3 hatches: tubs on the lamp shelf hatch about 1 day sooner than the temperature says."),
        (0.6, "Learned from 3 hatches: tubs on the lamp shelf hatch about half a day later than the temperature says."),
        (-0.3, "Learned from 3 hatches: tubs on the lamp shelf hatch when the figures say."),
    ],
)
def test_what_was_learned_is_told_in_days(later_days, told):
    assert learned(later_days=later_days) == [told]


def test_what_was_learned_elsewhere_is_told_of_the_whole_farm():
    assert learned(at_place=0, hatches=1) == [
        "Learned from 1 hatch: tubs on your farm hatch about 2 days later than the temperature says."
    ]
    assert learned(tub=a_tub(pulled_at=PULLED))[0].startswith("Learned from 3 hatches: tubs on your farm ")


def test_a_farm_that_has_seen_no_hatch_has_learned_nothing():
    assert learned(hatches=0, at_place=0) == []


def test_it_is_told_in_spanish():
    lesson = Lesson(hatches=3, at_place=3, later_days=2.0)

    lines = why(SHELF, on_the_shelf(), lesson=lesson, language="es")

    assert lines[2].startswith("El sustrato húmedo se enfría al secarse: unos 6°F menos que el aire")
    assert [line for line in lines if line.startswith("Aprendido de 3 nacimientos: ")]
