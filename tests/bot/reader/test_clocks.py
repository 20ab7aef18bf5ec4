"""Times on both sides of a change of clocks, and in the hour that is skipped or comes twice.

Hours and minutes are counted as they pass, days by the calendar. An hour that is skipped is put on to the clock that
follows; one that comes twice is the first, unless the message is sent in the second.
"""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from bot.reader.reader import Reader
from tests.bot.reader.farms import juniper_hollow

READER = Reader()
FARM = juniper_hollow()
# Each checked by hand against the zone's rules: clocks go forward in Chicago on March 8 at 2:00 and back on November 1
# at 2:00, in London on March 29 at 1:00 and October 25 at 2:00, on Lord Howe by half an hour on October 4 at 2:00 and
# back on April 5 at 2:00; in Phoenix and Kathmandu they stay.
TOLD = """
# America/Chicago 2026-03-08T09:00-05:00
watered T10 yesterday at 2:30 => 2026-03-07T14:30-06:00
watered T10 yesterday at 2:30am => 2026-03-07T02:30-06:00
watered T10 at 2am => 2026-03-08T03:00-05:00
watered T10 at 3am => 2026-03-08T03:00-05:00
watered T10 at 1:59am => 2026-03-08T01:59-06:00
watered T10 6 hours ago => 2026-03-08T03:00-05:00
watered T10 7 hours ago => 2026-03-08T01:00-06:00
watered T10 24 hours ago => 2026-03-07T08:00-06:00
watered T10 a day ago => 2026-03-07T09:00-06:00
watered T10 90 minutes ago => 2026-03-08T07:30-05:00
watered T10 last night => 2026-03-07T21:00-06:00
watered T10 at midnight => 2026-03-08T00:00-06:00
watered T10 this morning => 2026-03-08T08:00-05:00
bin 5 chirping since 1am => 2026-03-08T01:00-06:00
bin 5 chirping since yesterday noon => 2026-03-07T12:00-06:00
remind me in 20 hours to sweep => 2026-03-09T05:00-05:00
remind me tomorrow at 2:30am to sweep => 2026-03-09T02:30-05:00
watered T10 on saturday at 2:30am => 2026-03-07T02:30-06:00
# America/Chicago 2026-03-08T15:00-05:00
bin 5 chirping since noon => 2026-03-08T12:00-05:00
watered T10 13 hours ago => 2026-03-08T01:00-06:00
watered T10 at 2:15 this morning => 2026-03-08T03:15-05:00
watered T10 yesterday at 2:30 => 2026-03-07T14:30-06:00
# America/Chicago 2026-03-09T09:00-05:00
watered T10 yesterday at 2:30am => 2026-03-08T03:30-05:00
watered T10 yesterday at 3:30am => 2026-03-08T03:30-05:00
watered T10 on sunday at 2:30am => 2026-03-08T03:30-05:00
watered T10 2 days ago => 2026-03-07T09:00-06:00
watered T10 48 hours ago => 2026-03-07T08:00-06:00
watered T10 the day before yesterday at 2:30am => 2026-03-07T02:30-06:00
# America/Chicago 2026-03-04T14:30-06:00
remind me next sunday at 2:30am to sweep => 2026-03-08T03:30-05:00
remind me sunday at 3am to sweep => 2026-03-08T03:00-05:00
remind me sunday at 1:30am to sweep => 2026-03-08T01:30-06:00
remind me in 4 days to sweep => 2026-03-08T14:30-05:00
remind me in 96 hours to sweep => 2026-03-08T15:30-05:00
remind me every sunday at 2:30am to sweep => 2026-03-08T03:30-05:00
remind me on the 8th at 2am to sweep => 2026-03-08T03:00-05:00
# America/Chicago 2026-03-08T01:50-06:00
remind me in 20 minutes to sweep => 2026-03-08T03:10-05:00
remind me in 10 minutes to sweep => 2026-03-08T03:00-05:00
remind me at 2:30 to sweep => 2026-03-08T03:30-05:00
remind me at 2:30am to sweep => 2026-03-08T03:30-05:00
remind me at 3:15am to sweep => 2026-03-08T03:15-05:00
# America/Chicago 2026-11-01T09:00-06:00
watered T10 at 1:30 => 2026-11-01T01:30-05:00
watered T10 at 1:30am => 2026-11-01T01:30-05:00
watered T10 at 2am => 2026-11-01T02:00-06:00
watered T10 at 12:59am => 2026-11-01T00:59-05:00
watered T10 7 hours ago => 2026-11-01T02:00-06:00
watered T10 7.5 hours ago => 2026-11-01T01:30-06:00
watered T10 10 hours ago => 2026-11-01T00:00-05:00
bin 5 chirping since noon yesterday => 2026-10-31T12:00-05:00
watered T10 yesterday at 1:30am => 2026-10-31T01:30-05:00
watered T10 a day ago => 2026-10-31T09:00-05:00
watered T10 24 hours ago => 2026-10-31T10:00-05:00
watered T10 last night => 2026-10-31T21:00-05:00
# America/Chicago 2026-11-01T01:15-06:00
watered T10 10 minutes ago => 2026-11-01T01:05-06:00
watered T10 30 minutes ago => 2026-11-01T01:45-05:00
watered T10 at 1:10am => 2026-11-01T01:10-06:00
watered T10 at 1:10 => 2026-11-01T01:10-06:00
remind me at 1:30am to sweep => 2026-11-01T01:30-06:00
remind me at 1:30 to sweep => 2026-11-01T01:30-06:00
remind me in 30 minutes to sweep => 2026-11-01T01:45-06:00
watered T10 at 12:50am => 2026-11-01T00:50-05:00
remind me at 2am to sweep => 2026-11-01T02:00-06:00
# America/Chicago 2026-11-01T01:15-05:00
watered T10 at 1:10am => 2026-11-01T01:10-05:00
watered T10 at 1:10 => 2026-11-01T01:10-05:00
watered T10 30 minutes ago => 2026-11-01T00:45-05:00
remind me at 1:30am to sweep => 2026-11-01T01:30-05:00
remind me at 1:30 to sweep => 2026-11-01T01:30-05:00
remind me in 60 minutes to sweep => 2026-11-01T01:15-06:00
remind me in 30 minutes to sweep => 2026-11-01T01:45-05:00
remind me at 2am to sweep => 2026-11-01T02:00-06:00
remind me tomorrow at 1:30am to sweep => 2026-11-02T01:30-06:00
# America/Chicago 2026-10-31T20:00-05:00
remind me tomorrow at 8am to sweep => 2026-11-01T08:00-06:00
remind me in 12 hours to sweep => 2026-11-01T07:00-06:00
remind me at 1:30am to sweep => 2026-11-01T01:30-05:00
remind me tomorrow at 1:30am to sweep => 2026-11-01T01:30-05:00
remind me tomorrow at 2am to sweep => 2026-11-01T02:00-06:00
# America/Chicago 2026-11-02T09:00-06:00
watered T10 yesterday at 1:30am => 2026-11-01T01:30-05:00
watered T10 on sunday at 1:30am => 2026-11-01T01:30-05:00
# Europe/London 2026-03-29T09:00+01:00
watered T10 at 1:30am => 2026-03-29T02:30+01:00
watered T10 at half past one this morning => 2026-03-29T02:30+01:00
watered T10 8 hours ago => 2026-03-29T00:00+00:00
watered T10 yesterday at 1:30am => 2026-03-28T01:30+00:00
watered T10 yesterday => 2026-03-28T09:00+00:00
watered T10 at midnight => 2026-03-29T00:00+00:00
# Europe/London 2026-10-25T09:00+00:00
watered T10 at 1:30am => 2026-10-25T01:30+01:00
watered T10 8 hours ago => 2026-10-25T01:00+00:00
watered T10 9 hours ago => 2026-10-25T01:00+01:00
watered T10 yesterday at 9am => 2026-10-24T09:00+01:00
# Europe/London 2026-10-25T01:10+00:00
watered T10 15 minutes ago => 2026-10-25T01:55+01:00
watered T10 at 1:05am => 2026-10-25T01:05+00:00
remind me at 1:30am to sweep => 2026-10-25T01:30+00:00
# Australia/Lord_Howe 2026-10-04T09:00+11:00
watered T10 at 2:15am => 2026-10-04T02:45+11:00
watered T10 at 2am => 2026-10-04T02:30+11:00
watered T10 at 1:45am => 2026-10-04T01:45+10:30
watered T10 7 hours ago => 2026-10-04T01:30+10:30
watered T10 yesterday at 2:15am => 2026-10-03T02:15+10:30
watered T10 yesterday => 2026-10-03T09:00+10:30
# Australia/Lord_Howe 2026-04-05T09:00+10:30
watered T10 at 1:45am => 2026-04-05T01:45+11:00
watered T10 at 1:15am => 2026-04-05T01:15+11:00
watered T10 at 2:15am => 2026-04-05T02:15+10:30
watered T10 8 hours ago => 2026-04-05T01:30+11:00
watered T10 7 hours ago => 2026-04-05T02:00+10:30
watered T10 yesterday at 1:45am => 2026-04-04T01:45+11:00
# Australia/Lord_Howe 2026-04-05T01:40+10:30
watered T10 5 minutes ago => 2026-04-05T01:35+10:30
watered T10 at 1:35am => 2026-04-05T01:35+10:30
remind me at 1:50am to sweep => 2026-04-05T01:50+10:30
remind me in 3 hours to sweep => 2026-04-05T04:40+10:30
# America/Phoenix 2026-03-08T09:00-07:00
watered T10 at 2:30am => 2026-03-08T02:30-07:00
watered T10 8 hours ago => 2026-03-08T01:00-07:00
watered T10 yesterday at 2:30am => 2026-03-07T02:30-07:00
remind me tomorrow at 2:30am to sweep => 2026-03-09T02:30-07:00
# America/Phoenix 2026-11-01T09:00-07:00
watered T10 at 1:30am => 2026-11-01T01:30-07:00
watered T10 8 hours ago => 2026-11-01T01:00-07:00
watered T10 yesterday => 2026-10-31T09:00-07:00
# Asia/Kathmandu 2026-03-08T09:00+05:45
watered T10 at 2:30am => 2026-03-08T02:30+05:45
watered T10 8 hours ago => 2026-03-08T01:00+05:45
watered T10 yesterday at 2:30am => 2026-03-07T02:30+05:45
bin 5 chirping since noon yesterday => 2026-03-07T12:00+05:45
remind me in 3 days to sweep => 2026-03-11T09:00+05:45
watered T10 at noon yesterday => 2026-03-07T12:00+05:45
"""
CHANGES = {
    "America/Chicago": ("2026-03-08T12:00", "2026-11-01T12:00"),
    "Europe/London": ("2026-03-29T12:00", "2026-10-25T12:00"),
    "Australia/Lord_Howe": ("2026-04-05T12:00", "2026-10-04T12:00"),
    "America/Phoenix": ("2026-03-08T12:00", "2026-11-01T12:00"),
    "Asia/Kathmandu": ("2026-03-08T12:00", "2026-11-01T12:00"),
}
NOONS = [
    (zone, dt.datetime.fromisoformat(day).replace(tzinfo=ZoneInfo(zone))) for zone in CHANGES for day in CHANGES[zone]
]


def told():
    at = None
    for line in TOLD.strip().splitlines():
        if line.startswith("# "):
            _, zone, said = line.split()
            at = dt.datetime.fromisoformat(said).astimezone(ZoneInfo(zone))
        else:
            text, _, moment = line.partition(" => ")
            yield pytest.param(at, text, moment, id=f"{at.tzinfo} {at:%m-%d %H:%M%z} {text}")


def moment_of(text, at):
    (intent,) = READER.read(text, at=at, farm=FARM).intents
    return intent.at or intent.slots["when"]


@pytest.mark.parametrize(("at", "text", "moment"), list(told()))
def test_a_time_is_right_across_a_change_of_clocks(at, text, moment):
    got = moment_of(text, at)

    assert got.isoformat(timespec="minutes") == moment
    assert got.tzinfo == at.tzinfo


@pytest.mark.parametrize("noon", [noon for _, noon in NOONS], ids=str)
def test_hours_are_counted_as_they_pass(noon):
    for hours in range(1, 37):
        span = dt.timedelta(hours=hours)

        assert moment_of(f"watered T10 {hours} hours ago", noon).timestamp() == noon.timestamp() - span.total_seconds()
        assert (
            moment_of(f"remind me in {hours} hours to sweep", noon - dt.timedelta(days=1)).timestamp()
            == (noon - dt.timedelta(days=1)).timestamp() + span.total_seconds()
        )


@pytest.mark.parametrize("noon", [noon for _, noon in NOONS], ids=str)
def test_days_keep_the_hour_on_the_wall(noon):
    for days in range(1, 9):
        span = dt.timedelta(days=days)

        assert moment_of(f"watered T10 {days} days ago", noon).replace(tzinfo=None) == (noon - span).replace(
            tzinfo=None
        )
        assert moment_of(f"remind me in {days} days to sweep", noon - span).replace(tzinfo=None) == noon.replace(
            tzinfo=None
        )


def test_the_zones_change_their_clocks_where_they_are_said_to():
    offsets = {zone: {(noon - dt.timedelta(days=d)).utcoffset() for d in (0, 1)} for zone, noon in NOONS}

    assert {zone: len(found) for zone, found in offsets.items()} == {
        "America/Chicago": 2,
        "Europe/London": 2,
        "Australia/Lord_Howe": 2,
        "America/Phoenix": 1,
        "Asia/Kathmandu": 1,
    }
