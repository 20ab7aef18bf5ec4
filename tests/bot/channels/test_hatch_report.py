"""The forecast as the command prints it."""

import datetime as dt

import pytest

from bot.channels.hatch_report import as_json, as_text, outcome_of
from bot.channels.thermometer import LogError
from core.science.species import species
from core.units import TemperatureUnit

HOUSE = species("house")
NAIVE = dt.datetime(2026, 5, 1, 8)  # noqa: DTZ001 - as a file may have it
DENVER = NAIVE.replace(tzinfo=dt.timezone(dt.timedelta(hours=-6)))


def warm(start, temp_c=32.5):
    return [(start, temp_c), (start + dt.timedelta(days=2), temp_c)]


def test_a_forecast_with_offsets_keeps_them():
    found = as_json(outcome_of(warm(DENVER), DENVER, HOUSE))

    assert found["likely"] == "2026-05-10T19:43:38-06:00"
    assert found["earliest"] < found["likely"] < found["latest"]


def test_times_without_an_offset_are_all_on_one_clock():
    assert as_json(outcome_of(warm(NAIVE), NAIVE, HOUSE))["likely"] == "2026-05-10T19:43:38+00:00"


@pytest.mark.parametrize(("start", "laid"), [(NAIVE, DENVER), (DENVER, NAIVE)], ids=["log", "lay"])
def test_a_clock_that_is_given_on_one_side_holds_for_both(start, laid):
    assert as_json(outcome_of(warm(start), laid, HOUSE))["likely"] == "2026-05-10T19:43:38-06:00"


def test_the_text_tells_the_window_and_what_it_rests_on():
    outcome = outcome_of(warm(NAIVE), NAIVE, HOUSE)

    text = list(as_text(outcome, warm(NAIVE), NAIVE, HOUSE, TemperatureUnit.FAHRENHEIT))

    assert text[1] == "Likely    Sun May 10 2026 19:43"
    assert "Mean temperature from lay to hatch: 90.5 F" in text
    assert "Rests on 2 readings from Fri May 01 2026 08:00 to Sun May 03 2026 08:00." in text
    assert "Eggs of the house cricket take 301 degree-days F above 58.8 F." in text


def test_too_cold_is_said_and_gives_no_times():
    outcome = outcome_of(warm(NAIVE, 10.0), NAIVE, HOUSE)

    assert set(as_json(outcome).values()) == {None}
    assert next(as_text(outcome, warm(NAIVE, 10.0), NAIVE, HOUSE, TemperatureUnit.CELSIUS)).startswith("No hatch: at ")


def test_a_time_out_of_all_range_is_one_sentence():
    with pytest.raises(LogError, match=r"^There is no forecast from these times"):
        outcome_of(warm(DENVER), dt.datetime(9999, 12, 31, tzinfo=dt.UTC), HOUSE)
