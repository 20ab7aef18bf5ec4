"""Where a farm is, from the words or the point on the map that people give."""

import pytest

from bot.reader import timezones


@pytest.mark.parametrize(
    ("text", "zone"),
    [
        ("America/Denver", "America/Denver"),
        ("lord howe", "Australia/Lord_Howe"),
        ("mountain time", "America/Denver"),
        ("UTC+5:30", "UTC+05:30"),
        ("-7", "UTC-07:00"),
        ("utc", "UTC"),
        ("Fort Collins", "America/Denver"),
        ("we live in Portland, Maine", "America/New_York"),
        ("fort colins", "America/Denver"),
        ("+99", None),
        ("asdfgh qwerty", None),
        ("", None),
    ],
)
def test_a_zone_is_found_from_words(text, zone):
    assert timezones.zone_of(text) == zone


def test_a_zone_is_found_from_a_point_on_the_map():
    assert timezones.zone_at(40.58, -105.08) == "America/Denver"
    assert timezones.zone_at(100, 0) is None
