"""A thermometer's log."""

import datetime as dt

import pytest

from bot.channels.thermometer import LogError, readings
from core.units import TemperatureUnit

DAY = "2026-05-01 00:00"
F, C = TemperatureUnit.FAHRENHEIT, TemperatureUnit.CELSIUS


def test_rows_become_times_and_degrees_celsius():
    log = ["time,temp\n", "2026-05-01 00:00,86\n", "\n", "2026-05-01T01:00,95.0\n"]

    assert [r[:2] for r in readings(log, F)] == [(dt.datetime(2026, 5, 1), 30.0), (dt.datetime(2026, 5, 1, 1), 35.0)]  # noqa: DTZ001


def test_other_columns_and_capitals_do_not_matter():
    log = ["\ufeffRH, Temp ,Time\n", '88,30.5,"2026-05-01T00:00-06:00"\n']

    assert readings(log, C) == [(dt.datetime(2026, 5, 1, 6, tzinfo=dt.UTC), 30.5, 88.0)]


@pytest.mark.parametrize(
    ("log", "sentence"),
    [
        ([], "Line 1 has to be the header `time,temp`."),
        (["2026-05-01 00:00,86"], "Line 1 has to be the header `time,temp`."),
        (["time,temp"], "The file has no readings."),
        (["time,temp", "yesterday,86"], "Line 2: 'yesterday' is not a time such as 2026-07-14 08:10."),
        (["time,temp", "2026-05-01 00:00,warm"], "Line 2: 'warm' is not a temperature."),
        (["time,temp", "2026-05-01 00:00"], "Line 2: '' is not a temperature."),
        (
            ["time,temp", f"{DAY},80", "2026-05-17 00:00,80"],
            "Line 3: 16 days after line 2, too long to guess the warmth between.",
        ),
        (["time,temp", f"{DAY},130"], "The temperatures are 130 F in the mean, too hot for any egg."),
        (["time,temp,rh", f"{DAY},86,moist"], "Line 2: 'moist' is not a humidity."),
        (["time,temp,rh", f"{DAY},86,150"], "Line 2: 150 % is not between 0 and 100 %."),
        (["time,temp", "2026-05-01 00:00,nan"], "Line 2: nan F is not between -22 and 140 F."),
        (["time,temp", "2026-05-01 00:00,900"], "Line 2: 900 F is not between -22 and 140 F."),
        (["time,temp", f"{DAY},80", f"{DAY},80"], "Line 3: its time is not after the one of line 2."),
        (["time,temp", f"{DAY},80", "2026-05-01T01:00Z,80"], "Line 3: either all times have an offset or none."),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_named(log, sentence):
    with pytest.raises(LogError) as error:
        readings(log, F)

    assert str(error.value) == sentence


def test_fahrenheit_in_a_celsius_file_is_guessed():
    with pytest.raises(LogError) as error:
        readings(["time,temp", f"{DAY},55"], C)

    assert str(error.value) == "The temperatures are 55 C in the mean, too hot for any egg. Are they Fahrenheit?"
