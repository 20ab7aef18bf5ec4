"""Development curves and hatch windows. The figures of practice are in tests/outside."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.development import DevelopmentCurve, HatchWindow, TooCold, hatch_window
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.science.warmth import HistoryError, Ramp, Swing

HOUSE = species(SpeciesName.HOUSE)
PULLED = dt.datetime(2026, 5, 1, 18, tzinfo=dt.UTC)


def days(count):
    return dt.timedelta(days=count)


def always(low_c, high_c=None):
    return [Swing(start_at=PULLED, low_c=low_c, high_c=low_c if high_c is None else high_c)]


def days_until(at):
    return (at - PULLED) / days(1)


@st.composite
def histories(draw):
    """Some ramps and swings, one after the other, and a warm open end."""
    history, at = [], PULLED
    for one, other, is_ramp in draw(st.lists(st.tuples(st.floats(0, 45), st.floats(0, 45), st.booleans()), max_size=8)):
        end_at = at + dt.timedelta(hours=draw(st.integers(1, 72)))
        if is_ramp:
            history.append(Ramp(start_at=at, end_at=end_at, from_c=one, to_c=other))
        else:
            history.append(Swing(start_at=at, end_at=end_at, low_c=min(one, other), high_c=max(one, other)))
        at = end_at
    return [*history, Swing(start_at=at, low_c=20, high_c=30)]


@given(histories(), st.floats(0.5, 200), st.integers(0, 100))
def test_what_is_reached_is_what_has_come_together(history, needed, hours):
    curve = DevelopmentCurve(history, HOUSE.egg)
    since = PULLED + dt.timedelta(hours=hours)

    at = curve.reached_at(since, needed)

    assert curve.progress(since, at) == pytest.approx(needed, abs=0.001)  # times are whole seconds


@given(histories(), st.integers(0, 200), st.integers(0, 200))
def test_progress_adds_up_and_never_falls(history, hours, more):
    curve = DevelopmentCurve(history, HOUSE.egg)
    middle = PULLED + dt.timedelta(hours=hours)
    end = middle + dt.timedelta(hours=more)

    assert curve.progress(middle, end) >= -1e-9
    assert curve.progress(PULLED, middle) + curve.progress(middle, end) == pytest.approx(curve.progress(PULLED, end))


def test_nothing_needed_is_reached_at_once():
    assert DevelopmentCurve(always(30), HOUSE.egg).reached_at(PULLED, 0) == PULLED


def test_what_never_comes_is_never_reached():
    assert DevelopmentCurve(always(14), HOUSE.egg).reached_at(PULLED, 1) is None


def test_a_history_with_an_end_is_not_followed_beyond_it():
    curve = DevelopmentCurve([Ramp(start_at=PULLED, end_at=PULLED + days(2), from_c=30, to_c=30)], HOUSE.egg)

    assert curve.reached_at(PULLED, 30.2) == PULLED + days(2)
    assert curve.reached_at(PULLED, 31) is None
    with pytest.raises(HistoryError, match=r"time is 2026-05-04T18:00:00.* must lie within the history"):
        curve.progress(PULLED, PULLED + days(3))


def test_a_time_before_the_history_is_refused():
    with pytest.raises(HistoryError, match="must lie within the history"):
        DevelopmentCurve(always(30), HOUSE.egg).reached_at(PULLED - days(1), 10)


def test_times_out_of_order_are_refused():
    with pytest.raises(HistoryError, match="must not be before since"):
        DevelopmentCurve(always(30), HOUSE.egg).progress(PULLED + days(1), PULLED)


@pytest.mark.parametrize("zone", ["America/Denver", "Australia/Lord_Howe"])
def test_a_change_of_clocks_changes_no_hatch(zone):
    pulled = dt.datetime(2026, 3, 31, 18, tzinfo=ZoneInfo(zone))
    for laid_at in (pulled, pulled.replace(month=3, day=3), pulled.replace(month=10, day=28)):
        window = hatch_window([Swing(start_at=laid_at, low_c=32.5, high_c=32.5)], laid_at, HOUSE)

        assert window.likely.tzinfo is laid_at.tzinfo
        assert window.likely.timestamp() - laid_at.timestamp() == pytest.approx(167 / 17.6 * 86_400, abs=1)


def test_a_window_says_what_it_rests_on():
    window = hatch_window(always(29.9), PULLED, HOUSE)

    assert isinstance(window, HatchWindow)
    assert window.earliest < window.likely < window.latest
    assert window.degree_days_needed == 167
    assert window.degree_days_per_day == pytest.approx(15, abs=1e-5)
    assert window.mean_temp_c == pytest.approx(29.9)
    assert not window.is_untested


def test_the_spread_is_of_crickets_lay_and_thermometer():
    time = 167 / 15
    crickets, lay, thermometer = 0.06 * time, 12**-0.5, time / 15

    only_crickets = hatch_window(always(29.9), PULLED, HOUSE, thermometer_sd_c=0, lay_days=0)
    all_three = hatch_window(always(29.9), PULLED, HOUSE)

    assert only_crickets.spread_days == pytest.approx(crickets, abs=1e-4)
    assert all_three.spread_days == pytest.approx((crickets**2 + lay**2 + thermometer**2) ** 0.5, abs=1e-4)
    assert days_until(all_three.latest) == pytest.approx(time + 1.645 * all_three.spread_days, rel=0.02)


def test_the_window_is_doubled_where_the_rule_is_untested():
    below, above = (hatch_window(always(temp_c), PULLED, HOUSE) for temp_c in (19.99, 20.01))

    assert (below.is_untested, above.is_untested) == (True, False)
    assert below.spread_days == pytest.approx(2 * above.spread_days, rel=0.01)


def test_a_window_never_begins_before_the_lay_however_poor_the_thermometer():
    window = hatch_window(always(10, 24), PULLED, HOUSE, thermometer_sd_c=10)

    assert PULLED < window.earliest < window.likely < window.latest < PULLED + days(365)


@pytest.mark.parametrize(("low_c", "high_c"), [(15.9, 15.9), (10, 21.9), (5, 5)])
def test_a_cold_outlook_is_not_forecast(low_c, high_c):
    got = hatch_window(always(low_c, high_c), PULLED, HOUSE)

    assert got == TooCold(mean_temp_c=pytest.approx((low_c + high_c) / 2), limit_c=16)


def test_eggs_that_have_had_their_warmth_are_forecast_whatever_comes():
    warm = Swing(start_at=PULLED, end_at=PULLED + days(10), low_c=32.5, high_c=32.5)
    cold = Swing(start_at=PULLED + days(10), low_c=5, high_c=5)

    assert days_until(hatch_window([warm, cold], PULLED, HOUSE).likely) == pytest.approx(9.489, abs=0.001)
    assert isinstance(hatch_window([warm, cold], PULLED + days(1), HOUSE), TooCold)


def test_a_move_to_a_warmer_place_brings_the_hatch_forward():
    stay = hatch_window(always(24), PULLED, HOUSE)
    shelf = Swing(start_at=PULLED, end_at=PULLED + days(5), low_c=24, high_c=24)
    moved = hatch_window([shelf, Swing(start_at=PULLED + days(5), low_c=32, high_c=32)], PULLED, HOUSE)

    assert days_until(moved.likely) == pytest.approx(5 + (167 - 5 * 9.1) / 17.1, abs=1e-4)
    assert moved.likely < stay.likely


def test_warmth_above_the_cutoff_speeds_nothing_up():
    assert hatch_window(always(38), PULLED, HOUSE).likely == hatch_window(always(34), PULLED, HOUSE).likely


def test_one_curve_answers_like_a_history_of_its_own_for_every_tub():
    curve = DevelopmentCurve(always(20, 32), HOUSE.egg)
    later = PULLED + days(3)

    assert hatch_window(curve, later, HOUSE) == hatch_window(always(20, 32), later, HOUSE)


def test_a_curve_for_other_eggs_is_refused():
    with pytest.raises(HistoryError, match="must be for eggs of the two-spotted cricket"):
        hatch_window(DevelopmentCurve(always(30), HOUSE.egg), PULLED, species("two-spotted"))


def test_a_history_that_ends_too_early_is_refused():
    with pytest.raises(HistoryError, match="must go on to 167 degree-days"):
        hatch_window([Ramp(start_at=PULLED, end_at=PULLED + days(2), from_c=30, to_c=30)], PULLED, HOUSE)


def test_a_wrong_spread_is_named():
    with pytest.raises(OutOfRangeError, match=r"thermometer error \[C\] is -1, must be from 0 to 10"):
        hatch_window(always(30), PULLED, HOUSE, thermometer_sd_c=-1)
    with pytest.raises(OutOfRangeError, match=r"time of lay \[days\] is 31"):
        hatch_window(always(30), PULLED, HOUSE, lay_days=31)
