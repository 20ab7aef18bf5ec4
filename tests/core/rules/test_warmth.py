"""Readings into an unbroken history of warmth."""

import datetime as dt

from core.rules.warmth import Span, history_of, own_in
from core.science.development import DevelopmentCurve
from core.science.species import species
from core.science.warmth import Ramp, Swing
from tests.builders import NOON, a_climate, after

ASSUMED_C = 24.0
STAYS = Span(place="attic", start_at=NOON)


def history(*readings, spans=(STAYS,), own=()):
    return history_of(spans, tuple(own), lambda place: (readings if place == "attic" else (), ASSUMED_C))


def swings(parts):
    return [(p.start_at, p.end_at, p.low_c, p.high_c) for p in parts if isinstance(p, Swing)]


def test_without_a_reading_it_is_as_assumed():
    assert swings(history()) == [(NOON, None, ASSUMED_C, ASSUMED_C)]


def test_a_reading_holds_from_before_it_until_ever_after():
    assert swings(history(a_climate(after(days=2), temp_c=30.0))) == [
        (NOON, after(days=2), 30.0, 30.0), (after(days=2), None, 30.0, 30.0),
    ]  # fmt: skip


def test_a_reading_holds_until_the_next_one():
    parts = history(a_climate(NOON, temp_c=30.0), a_climate(after(days=2), temp_c=26.0))

    assert swings(parts) == [(NOON, after(days=2), 30.0, 30.0), (after(days=2), None, 26.0, 26.0)]


def test_two_readings_within_half_a_day_are_joined_by_a_line():
    parts = history(a_climate(after(hours=-2), temp_c=26.0), a_climate(after(hours=6), temp_c=30.0))

    assert parts[0] == Ramp(start_at=NOON, end_at=after(hours=6), from_c=27.0, to_c=30.0)


def test_what_is_to_come_is_the_mean_of_the_last_day():
    parts = history(
        a_climate(after(hours=-40), temp_c=10.0), a_climate(NOON, temp_c=26.0), a_climate(after(hours=10), temp_c=30.0)
    )

    assert swings(parts)[-1] == (after(hours=10), None, 28.0, 28.0)


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
