"""The forecast as the command prints it."""

import datetime as dt

import pytest

from bot.channels.hatch_report import as_json, as_text, outcome_of
from bot.channels.thermometer import LogError, Reading
from core.science.species import species
from core.units import TemperatureUnit

HOUSE = species("house")
NAIVE = dt.datetime(2026, 5, 1, 8)  # noqa: DTZ001 - as a file may have it
DENVER = NAIVE.replace(tzinfo=dt.timezone(dt.timedelta(hours=-6)))


def warm(start, temp_c=32.5, rh=None):
    return [Reading(start, temp_c, rh), Reading(start + dt.timedelta(days=2), temp_c, rh)]


def test_a_forecast_with_offsets_keeps_them():
    found = as_json(outcome_of(warm(DENVER), DENVER, HOUSE))

    assert found["likely"] == "2026-05-10T11:39:40-06:00"
    assert found["earliest"] < found["likely"] < found["latest"]


def test_times_without_an_offset_are_all_on_one_clock():
    assert as_json(outcome_of(warm(NAIVE), NAIVE, HOUSE))["likely"] == "2026-05-10T11:39:40+00:00"


@pytest.mark.parametrize(("start", "laid"), [(NAIVE, DENVER), (DENVER, NAIVE)], ids=["log", "lay"])
def test_a_clock_that_is_given_on_one_side_holds_for_both(start, laid):
    assert as_json(outcome_of(warm(start), laid, HOUSE))["likely"] == "2026-05-10T11:39:40-06:00"


def test_the_text_tells_the_window_and_what_it_rests_on():
    outcome = outcome_of(warm(NAIVE), NAIVE, HOUSE)

    text = list(as_text(outcome, warm(NAIVE), NAIVE, HOUSE, TemperatureUnit.FAHRENHEIT))

    assert text[1] == "Likely    Sun May 10 2026 11:39"
    assert "Mean temperature from lay to hatch: 90.5 F" in text
    assert "Rests on 2 readings from Fri May 01 2026 08:00 to Sun May 03 2026 08:00." in text
    assert "Eggs of the house cricket take 292 degree-days F above 58.6 F, an estimate." in text


def test_an_uncovered_tub_is_cooler_than_the_air_of_the_log_and_that_is_said():
    log = warm(NAIVE, rh=45.0)
    covered, uncovered = (outcome_of(log, NAIVE, HOUSE, is_uncovered=is_uncovered) for is_uncovered in (False, True))

    text = list(as_text(uncovered, log, NAIVE, HOUSE, TemperatureUnit.CELSIUS))

    assert uncovered.likely > covered.likely + dt.timedelta(days=2)
    assert "Mean temperature from lay to hatch: 32.5 C" in text
    assert "Mean of the wet substrate, which dries and so is cooler: 28.8 C" in text
    assert not [line for line in as_text(covered, log, NAIVE, HOUSE, TemperatureUnit.CELSIUS) if "cooler" in line]


def test_an_uncovered_tub_needs_the_humidity_of_every_line():
    log = [*warm(NAIVE, rh=45.0), Reading(NAIVE + dt.timedelta(days=3), 32.5)]

    with pytest.raises(LogError, match=r"every line needs its humidity, in percent, in a column `rh`"):
        outcome_of(log, NAIVE, HOUSE, is_uncovered=True)


@pytest.mark.parametrize(
    ("temp_c", "told"),
    [
        (10.0, "No hatch: 10.0 C in the mean is too cold for eggs of the house cricket; it has to be over 16.0 C."),
        (42.0, "No hatch: 42.0 C in the mean is too hot for eggs of the house cricket; it has to be under 36.0 C."),
    ],
)
def test_too_cold_or_too_hot_is_said_and_gives_no_times(temp_c, told):
    log = warm(NAIVE, temp_c)
    outcome = outcome_of(log, NAIVE, HOUSE)

    assert set(as_json(outcome).values()) == {None}
    assert next(as_text(outcome, log, NAIVE, HOUSE, TemperatureUnit.CELSIUS)) == told


def test_a_time_out_of_all_range_is_one_sentence():
    with pytest.raises(LogError, match=r"^There is no forecast from these times"):
        outcome_of(warm(DENVER), dt.datetime(9999, 12, 31, tzinfo=dt.UTC), HOUSE)
