"""Eggs to expect from a tray, and the container for them."""

import math

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.estimates import lognormal
from core.science.laying import (
    CAPACITY,
    CAPACITY_SD,
    HOLDING_HOURS,
    Tray,
    container_area_cm2,
    days_of_eggs,
    eggs_to_expect,
    females_among,
    warmth_share,
)
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species

ADULT = species(SpeciesName.HOUSE).adult
NIGHT = ADULT.night_share.value


def eggs(females=100.0, eggs_a_day=40.0, **tray):
    return eggs_to_expect(Tray(**tray), females, ADULT, eggs_a_day=eggs_a_day).likely


def test_a_day_in_full_warmth_brings_the_eggs_of_a_day():
    got = eggs_to_expect(Tray(), 100.0, ADULT)

    assert got.likely == pytest.approx(100 * ADULT.eggs_a_day.value)
    assert got.sd == pytest.approx(ADULT.eggs_a_day_sd.value)


def test_females_that_were_not_counted_widen_the_interval():
    counted, shared = (eggs_to_expect(Tray(), females, ADULT) for females in (100.0, females_among(200.0, ADULT)))

    assert shared.likely == pytest.approx(counted.likely)
    assert shared.least < counted.least < counted.most < shared.most


@pytest.mark.parametrize("temp_c", [-5.0, 17.9, 18.0, 40.0, 45.0])
def test_no_eggs_in_the_cold_nor_in_the_heat(temp_c):
    assert eggs(temp_c=temp_c) == 0.0


@given(temp_c=st.floats(26.0, 32.0))
def test_all_of_them_in_between(temp_c):
    assert warmth_share(temp_c, ADULT) == 1.0


@given(temps=st.tuples(st.floats(18.0, 26.0), st.floats(18.0, 26.0)))
def test_fewer_the_cooler_it_is(temps):
    assert warmth_share(min(temps), ADULT) <= warmth_share(max(temps), ADULT)


def test_what_was_held_back_for_a_day_is_laid_into_the_next_tray():
    assert eggs(hours_without=24.0) == pytest.approx(2 * eggs(), rel=0.01)


def test_no_more_than_two_days_eggs_are_held_back():
    assert eggs(hours_without=HOLDING_HOURS.value) == eggs(hours_without=500.0)


def test_a_tray_of_no_time_collects_none():
    assert eggs(hours=0.0, hours_without=48.0) == 0.0


@given(hours=st.floats(0.0, 100.0), hours_without=st.floats(0.0, 100.0), hour=st.none() | st.floats(0.0, 24.0))
def test_more_hours_never_bring_fewer_eggs(hours, hours_without, hour):
    shorter = Tray(hours=hours, hours_without=hours_without, hour=hour)
    longer = msgspec.structs.replace(shorter, hours=hours + 1.0)

    assert 0 <= days_of_eggs(shorter, NIGHT) < days_of_eggs(longer, NIGHT)


@pytest.mark.parametrize(
    ("hour", "hours", "days"),
    [
        pytest.param(18.0, 12.0, 0.61, id="the night"),
        pytest.param(6.0, 12.0, 0.39, id="the day"),
        pytest.param(12.0, 12.0, 0.5, id="half of each"),
        pytest.param(23.0, 2.0, 0.61 / 6, id="over midnight"),
        pytest.param(9.0, 24.0, 1.0, id="a whole day"),
        pytest.param(9.0, 60.0, 2.39 + (0.61 - 0.39) * 3 / 12, id="two and a half, with three hours of day made night"),
        pytest.param(None, 12.0, 0.5, id="nobody knows when"),
    ],
)
def test_the_night_counts_for_more_than_the_day(hour, hours, days):
    assert days_of_eggs(Tray(hours=hours, hour=hour), NIGHT) == pytest.approx(days)


@given(hour=st.floats(0.0, 24.0))
def test_a_tray_set_every_other_twelve_hours_gets_all_eggs_whatever_the_hour(hour):
    got = days_of_eggs(Tray(hours=12.0, hours_without=12.0, hour=hour), NIGHT)

    assert got == pytest.approx(1.0, rel=0.04)  # a little of what was held back is still held back after twelve hours


def test_a_full_container_holds_no_more():
    area_cm2 = 100.0

    assert eggs(females=1e7, area_cm2=area_cm2) == pytest.approx(CAPACITY.value * area_cm2)
    assert eggs_to_expect(Tray(area_cm2=area_cm2), 1e7, ADULT).sd == pytest.approx(CAPACITY_SD.value)


@given(females=st.floats(0.0, 1e5), area_cm2=st.floats(10.0, 1e4))
def test_crowding_only_takes_away(females, area_cm2):
    free, crowded = eggs(females=females), eggs(females=females, area_cm2=area_cm2)

    assert crowded <= free * (1 + 1e-9)
    assert crowded <= CAPACITY.value * area_cm2 * (1 + 1e-9)


@given(females=st.floats(5.0, 1e4), most_lost=st.floats(0.02, 0.8), hours=st.floats(6.0, 72.0))
def test_the_container_asked_for_loses_just_what_it_may(females, most_lost, hours):
    tray = Tray(hours=hours)
    area_cm2 = container_area_cm2(females, ADULT, tray=tray, eggs_a_day=40.0, most_lost=most_lost)

    free = eggs(females=females, hours=hours)
    crowded = eggs(females=females, hours=hours, area_cm2=max(area_cm2, 1.0))

    assert area_cm2 < 1.0 or crowded == pytest.approx(free * (1 - most_lost), rel=1e-6)


def test_no_females_need_no_room():
    assert container_area_cm2(0.0, ADULT) == 0.0


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: Tray(hours=-1.0), "hours of the tray"),
        (lambda: Tray(hours_without=math.nan), "hours without a tray"),
        (lambda: Tray(temp_c=85.0), "temperature of the bin"),
        (lambda: Tray(area_cm2=0.0), "area of the container"),
        (lambda: Tray(hour=25.0), "hour of the day"),
        (lambda: eggs_to_expect(Tray(), -1.0, ADULT), "median"),
        (lambda: females_among(math.inf, ADULT), "adults"),
        (lambda: container_area_cm2(-1.0, ADULT), "females"),
        (lambda: container_area_cm2(10.0, ADULT, most_lost=1.0), "share lost to crowding"),
        (lambda: days_of_eggs(Tray(), 1.1), "share of eggs at night"),
        (lambda: warmth_share(math.nan, ADULT), r"temperature of the bin \[C\] is nan"),
    ],
)
def test_absurd_numbers_are_refused_by_name(wrong, message):
    with pytest.raises(OutOfRangeError, match=message):
        wrong()


def test_an_uncertain_rate_is_taken_with_its_spread():
    got = eggs_to_expect(Tray(), lognormal(100.0, 0.3), ADULT, eggs_a_day=lognormal(60.0, 0.4))

    assert (got.likely, got.sd) == (pytest.approx(6000.0), pytest.approx(0.5))
