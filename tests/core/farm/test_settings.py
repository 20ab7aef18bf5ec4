"""A farm's settings from their text."""

import datetime as dt

import pytest

from core.farm.farm import Settings
from core.farm.settings import SettingError, tzinfo_of, with_setting
from core.journal.kinds import Setting
from core.units import TemperatureUnit


@pytest.mark.parametrize(
    ("what", "to", "field", "expected"),
    [
        (Setting.UNITS, "c", "units", TemperatureUnit.CELSIUS),
        (Setting.TIMEZONE, "Australia/Lord_Howe", "timezone", "Australia/Lord_Howe"),
        (Setting.TIMEZONE, "UTC-07:00", "timezone", "UTC-07:00"),
        (Setting.WATER_TIMES, "18:30, 07:00", "water_times", (dt.time(7), dt.time(18, 30))),
        (Setting.WATER_TIMES, "07:00,07:00", "water_times", (dt.time(7),)),
        (Setting.QUIET_HOURS, "22:00-06:30", "quiet_hours", (dt.time(22), dt.time(6, 30))),
        (Setting.QUIET_HOURS, "off", "quiet_hours", None),
        (Setting.QUIET_HOURS, "07:00-07:00", "quiet_hours", None),
        (Setting.LAY_HOURS, " 30 ", "lay_hours", 30.0),
        (Setting.LANGUAGE, "ES", "language", "es"),
    ],
)
def test_a_setting_is_read_from_its_text(what, to, field, expected):
    assert getattr(with_setting(Settings(), what, to), field) == expected


@pytest.mark.parametrize(
    ("what", "to"),
    [
        (Setting.UNITS, "K"),
        (Setting.TIMEZONE, "Mars/Olympus"),
        (Setting.TIMEZONE, ""),
        (Setting.TIMEZONE, "../etc/passwd"),
        (Setting.TIMEZONE, "UTC+25"),
        (Setting.WATER_TIMES, ""),
        (Setting.WATER_TIMES, "7"),
        (Setting.WATER_TIMES, "25:00"),
        (Setting.WATER_TIMES, "07:00,18:00+02:00"),
        (Setting.WATER_TIMES, "01:00,02:00,03:00,04:00,05:00,06:00,07:00"),
        (Setting.QUIET_HOURS, "21:00"),
        (Setting.QUIET_HOURS, "21:00-07:00-09:00"),
        (Setting.QUIET_HOURS, "21:00Z-07:00"),
        (Setting.LAY_HOURS, "0"),
        (Setting.LAY_HOURS, "97"),
        (Setting.LAY_HOURS, "nan"),
        (Setting.LAY_HOURS, "a day"),
    ],
)
def test_what_a_setting_cannot_be_is_refused(what, to):
    with pytest.raises(SettingError) as caught:
        with_setting(Settings(), what, to)

    assert (caught.value.what, caught.value.to) == (what, to)


def test_a_farm_with_a_time_zone_is_set_up():
    assert not Settings().is_set_up
    assert with_setting(Settings(), Setting.TIMEZONE, "America/Denver").is_set_up


@pytest.mark.parametrize(
    ("name", "minutes"), [("UTC", 0), ("UTC+5", 300), ("UTC+05:30", 330), ("UTC-0330", -210)], ids=str
)
def test_an_offset_is_a_zone(name, minutes):
    assert tzinfo_of(name).utcoffset(None) == dt.timedelta(minutes=minutes)
