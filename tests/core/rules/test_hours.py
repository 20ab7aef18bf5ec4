"""The farm's own clock, over the changes of clocks in two zones; Lord Howe's go by half an hour."""

import datetime as dt
from itertools import pairwise

import pytest

from core.rules import hours
from tests.builders import DENVER, LORD_HOWE, a_farm, at, settings

QUIET = (dt.time(21), dt.time(7))


def farm_in(zone, quiet=QUIET):
    return a_farm(settings=settings(zone, quiet_hours=quiet))


@pytest.mark.parametrize(
    ("zone", "day", "time", "utc"),
    [
        pytest.param(DENVER, "2026-03-08", "02:30", "2026-03-08T09:30", id="Denver, does not exist"),
        pytest.param(DENVER, "2026-11-01", "01:30", "2026-11-01T07:30", id="Denver, comes twice"),
        pytest.param(DENVER, "2026-07-01", "07:00", "2026-07-01T13:00", id="Denver, summer"),
        pytest.param(LORD_HOWE, "2026-10-04", "02:15", "2026-10-03T15:45", id="Lord Howe, does not exist"),
        pytest.param(LORD_HOWE, "2026-04-05", "01:45", "2026-04-04T14:45", id="Lord Howe, comes twice"),
        pytest.param(LORD_HOWE, "2026-07-01", "07:00", "2026-06-30T20:30", id="Lord Howe, winter"),
        pytest.param("UTC+05:30", "2026-07-01", "07:00", "2026-07-01T01:30", id="an offset"),
    ],
)
def test_a_time_of_day_is_one_moment(zone, day, time, utc):
    moment = hours.at_time(farm_in(zone), dt.date.fromisoformat(day), dt.time.fromisoformat(time))

    assert moment == dt.datetime.fromisoformat(utc).replace(tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("zone", "day", "time", "shown"),
    [
        pytest.param(DENVER, "2026-03-08", "02:30", "03:30", id="Denver"),
        pytest.param(LORD_HOWE, "2026-10-04", "02:15", "02:45", id="Lord Howe"),
    ],
)
def test_a_time_that_does_not_exist_is_as_much_later_as_the_clocks_jump(zone, day, time, shown):
    farm = farm_in(zone)

    moment = hours.at_time(farm, dt.date.fromisoformat(day), dt.time.fromisoformat(time))

    assert hours.local(farm, moment).strftime("%H:%M") == shown


@pytest.mark.parametrize(
    ("zone", "start", "days", "end"),
    [
        pytest.param(DENVER, "03-01 19:30", 7, "03-08 19:30", id="Denver, spring"),
        pytest.param(DENVER, "10-25 08:00", 14, "11-08 08:00", id="Denver, autumn"),
        pytest.param(LORD_HOWE, "09-28 08:00", 7, "10-05 08:00", id="Lord Howe, spring"),
        pytest.param(LORD_HOWE, "03-29 20:00", 7, "04-05 20:00", id="Lord Howe, autumn"),
    ],
)
def test_days_later_is_the_same_time_of_day(zone, start, days, end):
    assert hours.days_later(farm_in(zone), at(start, zone), days) == at(end, zone)


def test_a_time_each_day_keeps_to_the_clock():
    farm = farm_in(DENVER)

    times = list(hours.daily(farm, dt.time(7), dt.date(2026, 3, 7), dt.date(2026, 3, 9)))

    assert times == [at("03-07 07:00"), at("03-08 07:00"), at("03-09 07:00")]
    assert [later - time for time, later in pairwise(times)] == [
        dt.timedelta(hours=23), dt.timedelta(hours=24),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("now", "then"),
    [
        pytest.param("05-04 20:59", "05-04 20:59", id="before"),
        pytest.param("05-04 21:00", "05-05 07:00", id="at their start"),
        pytest.param("05-04 23:30", "05-05 07:00", id="in the evening"),
        pytest.param("05-05 04:00", "05-05 07:00", id="in the night"),
        pytest.param("05-05 07:00", "05-05 07:00", id="at their end"),
    ],
)
def test_what_falls_into_the_quiet_hours_waits_for_their_end(now, then):
    assert hours.after_quiet(farm_in(DENVER), at(now)) == at(then)


def test_work_in_the_quiet_hours_is_asked_for_in_the_last_quarter_hour_before():
    assert hours.before_quiet(farm_in(DENVER), at("05-05 02:00")) == at("05-04 20:45")
    assert hours.before_quiet(farm_in(DENVER), at("05-04 20:50")) == at("05-04 20:50")


def test_quiet_hours_may_lie_within_one_day():
    farm = farm_in(DENVER, (dt.time(12), dt.time(14)))

    assert hours.after_quiet(farm, at("05-04 13:00")) == at("05-04 14:00")
    assert hours.after_quiet(farm, at("05-04 23:00")) == at("05-04 23:00")


def test_a_farm_may_have_no_quiet_hours():
    farm = farm_in(DENVER, None)

    assert hours.after_quiet(farm, at("05-05 02:00")) == at("05-05 02:00")
    assert hours.before_quiet(farm, at("05-05 02:00")) == at("05-05 02:00")


@pytest.mark.parametrize(
    ("zone", "quiet", "now", "fold", "end"),
    [
        pytest.param(DENVER, "21:00-02:30", "03-08 00:30", 0, "2026-03-08T09:30", id="Denver, the end does not exist"),
        pytest.param(DENVER, "21:00-01:30", "11-01 00:30", 0, "2026-11-01T07:30", id="Denver, the end comes twice"),
        pytest.param(DENVER, "21:00-01:30", "11-01 01:15", 1, "2026-11-01T08:15", id="Denver, over in the second hour"),
        pytest.param(LORD_HOWE, "21:00-02:15", "10-04 01:00", 0, "2026-10-03T15:45", id="Lord Howe, does not exist"),
        pytest.param(LORD_HOWE, "21:00-01:45", "04-05 01:00", 0, "2026-04-04T14:45", id="Lord Howe, comes twice"),
    ],
)
def test_quiet_hours_end_once_on_the_day_the_clocks_change(zone, quiet, now, fold, end):
    start, stop = (dt.time.fromisoformat(part) for part in quiet.split("-"))

    held = hours.after_quiet(farm_in(zone, (start, stop)), at(now, zone, fold=fold))

    assert held == dt.datetime.fromisoformat(end).replace(tzinfo=dt.UTC)
