"""Readings into an unbroken history of warmth."""

import datetime as dt

import pytest

from core.rules.surroundings import Air
from core.rules.warmth import ASSUMED_SD_C, IN_TUBS, Span, history_of, own_in
from core.science.curve import DevelopmentCurve
from core.science.species import species
from core.science.warmth import THERMOMETER_SD_C, Ramp, Swing
from tests.builders import NOON, a_climate, after

ASSUMED_C = 24.0
STAYS = Span(place="attic", start_at=NOON)


def an_air(place, *readings, **fields):
    humidity = tuple((r.at, r.rh) for r in readings if r.rh is not None)
    defaults = {"readings": readings, "humidity": humidity, "assumed_c": ASSUMED_C, "assumed_rh": 60.0}
    return Air(place=place, **(defaults | fields))


def history(*readings, spans=(STAYS,), own=()):
    return history_of(spans, tuple(own), lambda place: an_air(place, *(readings if place == "attic" else ())))


def swings(parts):
    return [(p.start_at, p.end_at, p.low_c, p.high_c) for p in parts if isinstance(p, Swing)]


def test_without_a_reading_it_is_as_assumed():
    assert swings(history()) == [(NOON, None, ASSUMED_C, ASSUMED_C)]


def test_a_reading_holds_from_before_it_until_ever_after():
    assert swings(history(a_climate(after(days=2), temp_c=30.0))) == [
        (NOON, after(days=2), 30.0, 30.0), (after(days=2), None, 30.0, 30.0),
    ]  # fmt: skip


def test_a_reading_holds_until_the_next_one():
    parts = history(a_climate(NOON, temp_c=30.0), a_climate(after(days=4), temp_c=26.0))

    assert swings(parts) == [(NOON, after(days=4), 30.0, 30.0), (after(days=4), None, 26.0, 26.0)]


def test_two_readings_within_half_a_day_are_joined_by_a_line():
    parts = history(a_climate(after(hours=-2), temp_c=26.0), a_climate(after(hours=6), temp_c=30.0))

    (ramp, _) = parts
    assert isinstance(ramp, Ramp)
    assert (ramp.start_at, ramp.end_at, ramp.from_c, ramp.to_c) == (NOON, after(hours=6), 27.0, 30.0)


def test_what_is_to_come_is_like_the_last_days_and_most_like_the_last_one():
    day_before = a_climate(after(hours=-20), temp_c=25.0)
    parts = history(day_before, a_climate(NOON, temp_c=26.0), a_climate(after(hours=10), temp_c=30.0))

    mean_c, half_a_day_c = (28.0 + 25.0 / 2) / 1.5, (30.0 - 26.0) / 2
    assert swings(parts)[-1] == (after(hours=10), None, mean_c - half_a_day_c, mean_c + half_a_day_c)


def test_what_is_to_come_is_not_like_what_was_long_ago():
    parts = history(a_climate(after(days=-4), temp_c=10.0), a_climate(NOON, temp_c=26.0))

    assert swings(parts)[-1] == (NOON, None, 26.0, 26.0)


def test_lows_and_highs_to_come_are_means_of_those_of_the_last_days():
    parts = history(a_climate(NOON, low_c=10.0, high_c=26.0), a_climate(after(days=1), low_c=13.0, high_c=29.0))

    assert swings(parts)[-1] == (after(days=1), None, 12.0, 28.0)


def test_a_low_and_a_high_tell_of_the_day_before_them_and_of_what_comes():
    parts = history(a_climate(NOON, temp_c=30.0), a_climate(after(days=3), low_c=10.0, high_c=26.0))

    assert swings(parts) == [
        (NOON, after(days=2), 30.0, 30.0),
        (after(days=2), after(days=3), 10.0, 26.0),
        (after(days=3), None, 10.0, 26.0),
    ]


def test_of_two_readings_at_one_time_the_last_counts():
    assert swings(history(a_climate(NOON, temp_c=30.0), a_climate(NOON, temp_c=26.0))) == [(NOON, None, 26.0, 26.0)]


def test_a_tub_that_moves_has_the_warmth_of_each_place_in_its_turn():
    spans = (Span(place="attic", start_at=NOON, end_at=after(days=2)), Span(place="garage", start_at=after(days=2)))

    parts = history(a_climate(NOON, temp_c=30.0), spans=spans)

    assert swings(parts) == [(NOON, after(days=2), 30.0, 30.0), (after(days=2), None, ASSUMED_C, ASSUMED_C)]


def test_a_tubs_own_readings_go_before_those_of_the_place_that_they_were_taken_in():
    spans = (Span(place="garage", start_at=NOON, end_at=after(days=2)), Span(place="attic", start_at=after(days=2)))
    own = (a_climate(after(days=1), temp_c=33.0),)

    parts = history(a_climate(NOON, temp_c=30.0), spans=spans, own=own)

    assert [low for _, _, low, _ in swings(parts)] == [33.0, 33.0, 30.0]
    assert own_in(spans[0], own) == own
    assert own_in(spans[1], own) == ()


class TestCooling:
    READ = a_climate(NOON, temp_c=30.0, rh=50.0)

    def drops(self, *readings, is_covered=False, own=(), **fields):
        span = Span(place="attic", start_at=NOON, is_covered=is_covered)
        return [part.drop_c for part in history_of((span,), own, lambda place: an_air(place, *readings, **fields))]

    def test_a_wet_surface_is_as_much_cooler_as_the_air_is_dry(self):
        assert self.drops(self.READ) == [pytest.approx(8.0, abs=0.1)]

    def test_a_cover_lets_little_of_that_through(self):
        assert self.drops(self.READ, is_covered=True) == [pytest.approx(8.0 / 7, abs=0.1)]

    def test_without_a_humidity_read_that_of_such_a_place_counts(self):
        dry, wet = (self.drops(a_climate(NOON, temp_c=30.0), assumed_rh=rh) for rh in (45.0, 85.0))

        assert dry[0] > 3 * wet[0] > 0

    def test_what_is_to_come_is_as_dry_as_was_read_last(self):
        later = a_climate(after(days=4), temp_c=30.0, rh=100.0)

        assert self.drops(self.READ, later) == [pytest.approx(8.0, abs=0.1), pytest.approx(0.0, abs=1e-9)]

    def test_a_thermometer_in_the_tub_needs_no_cooling(self):
        parts = history(self.READ, own=(a_climate(after(days=1), temp_c=27.0),))

        assert [(part.drop_c, part.gauge) for part in parts] == [(0.0, IN_TUBS)] * 2

    def test_a_place_has_a_gauge_of_its_own_and_a_guess_a_poor_one(self):
        spans = (Span(place="attic", start_at=NOON, end_at=after(days=2)), Span(place="garage", start_at=after(days=2)))

        read, guessed = (part.gauge for part in history(a_climate(NOON, temp_c=30.0), spans=spans))

        assert (read.name, read.sd_c) == ("attic", THERMOMETER_SD_C)
        assert read.sd_c < guessed.sd_c == ASSUMED_SD_C
        assert guessed.name != "garage"  # which will have a thermometer one day


def test_a_history_has_neither_hole_nor_overlap():
    spans = (Span(place="attic", start_at=NOON, end_at=after(days=5)), Span(place="garage", start_at=after(days=5)))
    readings = [
        a_climate(after(hours=-30), low_c=20.0, high_c=28.0),
        a_climate(after(hours=3), temp_c=29.0),
        a_climate(after(hours=9), temp_c=31.0),
        a_climate(after(hours=20), low_c=22.0, high_c=33.0),
        a_climate(after(days=9), temp_c=30.0),
    ]

    curve = DevelopmentCurve(history(*readings, spans=spans), species("house").egg)

    assert curve.progress(NOON, after(days=12)) > 0
    assert curve.progress(NOON, NOON + dt.timedelta(0)) == 0
