"""What is known of the air around tubs."""

import datetime as dt
from operator import itemgetter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.rules.surroundings import (
    HUMID_C,
    HUMID_RH,
    LAMP_C,
    LAMP_RH,
    RECENT,
    ROOM_C,
    ROOM_RH,
    air_of,
    assumed_c,
    assumed_rh,
    stretch_of,
    tells_warmth,
)
from tests.builders import NOON, a_climate, a_place, after


def times(air):
    return [(r.at - NOON) / dt.timedelta(days=1) for r in air.readings]


def read_on(*days):
    return a_place(readings=tuple(a_climate(after(days=day)) for day in days))


@pytest.mark.parametrize(
    ("place", "temp_c", "rh"),
    [
        (None, ROOM_C, ROOM_RH),
        (a_place("rack"), ROOM_C, ROOM_RH),
        (a_place(lamp=True), LAMP_C, LAMP_RH),
        (a_place(lamp=True, humidifier=True), LAMP_C, LAMP_RH),
        (a_place(humidifier=True), HUMID_C, HUMID_RH),
    ],
    ids=["nowhere", "room", "lamp", "lamp and humidifier", "humidifier"],
)
def test_where_nobody_has_read_anything_it_is_like_other_such_places(place, temp_c, rh):
    air = air_of(place, NOON)

    assert (assumed_c(place), assumed_rh(place)) == (temp_c, rh)
    assert (air.assumed_c, air.rh_at(NOON), air.readings) == (temp_c, rh, ())
    assert air.place == (None if place is None else place.name)


def test_the_humidity_is_the_one_read_last_by_then():
    air = air_of(a_place(readings=(a_climate(NOON, rh=50.0), a_climate(after(days=2), rh=80.0))), NOON)

    assert [air.rh_at(after(days=day)) for day in (0, 1.9, 2, 9)] == [50.0, 50.0, 80.0, 80.0]


def test_before_the_first_humidity_that_one_counts():
    air = air_of(a_place(readings=(a_climate(NOON, temp_c=30.0), a_climate(after(days=2), rh=80.0))), NOON)

    assert air.rh_at(NOON) == 80.0
    assert [r.temp_c for r in air.readings] == [30.0]


def test_the_readings_that_bear_on_a_time_are_those_since_and_the_one_before():
    assert times(air_of(read_on(-20, -10, -5, 1, 2, 3), NOON)) == [-5, 1, 2, 3]


def test_the_last_days_bear_on_what_is_to_come_although_it_begins_after_them():
    assert times(air_of(read_on(-20, -10, -4, -3, -2), NOON)) == [-10, -4, -3, -2]


def test_with_an_end_what_was_read_later_is_not_known_yet():
    assert times(air_of(read_on(-1, 1, 2, 3), NOON, after(days=2))) == [-1, 1, 2]


def test_a_humidity_read_alone_does_not_push_out_the_last_temperature():
    dry = tuple(a_climate(after(days=day), rh=40.0) for day in range(1, 9))

    air = air_of(a_place(readings=(a_climate(after(days=-9), temp_c=31.0), *dry)), NOON)

    assert [r.temp_c for r in air.readings] == [31.0]


@pytest.mark.parametrize(
    ("figures", "is_telling"),
    [
        ({"temp_c": 30.0}, True),
        ({"temp_c": 0.0}, True),
        ({"low_c": 20.0, "high_c": 30.0}, True),
        ({"temp_c": 25.0, "low_c": 20.0}, True),
        ({"low_c": 20.0}, False),
        ({"high_c": 30.0}, False),
        ({"rh": 50.0}, False),
        ({"temp_c": 900.0}, False),
        ({"low_c": 30.0, "high_c": 20.0}, False),
    ],
    ids=str,
)
def test_a_reading_tells_warmth_by_a_temperature_or_by_both_ends_of_a_day(figures, is_telling):
    assert tells_warmth(a_climate(NOON, **figures)) is is_telling


FIGURES = st.fixed_dictionaries(
    {},
    optional={
        "temp_c": st.sampled_from([25.0, 99.0]),
        "low_c": st.just(20.0),
        "high_c": st.just(30.0),
        "rh": st.just(60.0),
    },
)


@given(
    st.lists(st.tuples(st.integers(0, 300), FIGURES), max_size=30),
    st.lists(st.integers(0, 300), min_size=4, max_size=4).map(sorted),
)
def test_what_was_read_over_some_time_tells_the_air_of_any_time_within(read, turns):
    place = a_place(
        readings=tuple(a_climate(after(hours=hour), **figures) for hour, figures in sorted(read, key=itemgetter(0)))
    )
    start, since, until, end = (after(hours=hour) for hour in turns)

    assert stretch_of(place, start, end).air(since, until) == air_of(place, since, until)


def test_of_years_of_readings_those_of_some_time_are_few():
    place = a_place(readings=tuple(a_climate(after(hours=12 * number)) for number in range(4000)))

    found = stretch_of(place, after(days=1000), after(days=1010))

    assert len(found.warm) == 2 * (10 + RECENT.days) + 2
