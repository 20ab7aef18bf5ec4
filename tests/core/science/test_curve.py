"""Progress along a history, and what it hangs on."""

import datetime as dt
import math

import msgspec
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from msgspec.structs import replace

from core.science.calibration import SHARED, untaught
from core.science.curve import DevelopmentCurve
from core.science.pace import STEP
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.science.warmth import Gauge, HistoryError, Ramp, Swing, segments

HOUSE = species(SpeciesName.HOUSE)
HELD = untaught(HOUSE.egg)
PULLED = dt.datetime(2026, 5, 1, 18, tzinfo=dt.UTC)
SHELF, GARAGE = Gauge("shelf"), Gauge("garage", 2.0)


def days(count):
    return dt.timedelta(days=count)


def always(low_c, high_c=None, **more):
    return [Swing(start_at=PULLED, low_c=low_c, high_c=low_c if high_c is None else high_c, **more)]


@st.composite
def histories(draw):
    """Some ramps and swings of two thermometers, one after the other, and a warm open end."""
    temps = st.floats(0, 45)
    parts = st.tuples(temps, temps, st.booleans(), st.sampled_from([SHELF, GARAGE]))
    history, at = [], PULLED
    for one, other, is_ramp, gauge in draw(st.lists(parts, max_size=8)):
        end_at = at + dt.timedelta(hours=draw(st.integers(1, 72)))
        held = {"start_at": at, "end_at": end_at, "drop_c": draw(st.sampled_from([0.0, 1.5, 6.0])), "gauge": gauge}
        if is_ramp:
            history.append(Ramp(from_c=one, to_c=other, **held))
        else:
            history.append(Swing(low_c=min(one, other), high_c=max(one, other), **held))
        at = end_at
    return [*history, Swing(start_at=at, low_c=20, high_c=30, drop_c=2, gauge=SHELF)]


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


@given(histories(), st.integers(1, 400))
def test_a_part_cut_in_two_goes_like_the_whole(history, hours):
    cut = PULLED + dt.timedelta(hours=hours) / 2
    parts = []
    for part in history:
        if not part.start_at < cut < (part.end_at or dt.datetime.max.replace(tzinfo=dt.UTC)):
            parts.append(part)
        elif isinstance(part, Swing):
            parts += [replace(part, end_at=cut), replace(part, start_at=cut)]
        else:
            at_cut = part.from_c + (part.to_c - part.from_c) * ((cut - part.start_at) / (part.end_at - part.start_at))
            parts += [replace(part, end_at=cut, to_c=at_cut), replace(part, start_at=cut, from_c=at_cut)]
    end = PULLED + days(60)

    whole, split = (DevelopmentCurve(warmth, HOUSE.egg) for warmth in (history, parts))

    assert len(parts) <= len(history) + 1
    assert split.progress(PULLED, cut) == pytest.approx(whole.progress(PULLED, cut), abs=1e-6)
    assert split.progress(PULLED, end) == pytest.approx(whole.progress(PULLED, end), abs=1e-6)


def logs_of_progress(history, held, end):
    curve = DevelopmentCurve(history, held)
    return math.log(curve.progress(PULLED, end) / held.constant)


def moved_by(held, index, step):
    values = list(held.values)
    values[index] += step
    return replace(held, values=tuple(values))


@given(histories(), st.integers(100, 600))
def test_sensitivity_is_how_the_whole_answer_moves_with_each_value(history, hours):
    gauges = segments(history).gauges
    held = replace(HELD, values=(0.2137, -0.03, 0.3519, 0.4071, *(0.3253, -0.6127)[: len(gauges)]), gauges=gauges)
    end = PULLED + dt.timedelta(hours=hours)
    curve = DevelopmentCurve(history, held)
    assume(curve.progress(PULLED, end) > 5)

    got = curve.sensitivity(PULLED, end)

    held_log = logs_of_progress(history, held, end)
    moved = [
        (logs_of_progress(history, moved_by(held, index, STEP), end) - held_log) / STEP
        for index in range(SHARED + len(gauges))
    ]
    # The step to one side is that of the sensitivity, for the rate bends; a ramp that is cut counts at its mean.
    is_cut = isinstance(end_part(history, end), Ramp)
    assert got[:SHARED] == pytest.approx(moved[:SHARED], abs=0.003, rel=0.02)
    assert got[SHARED:-1] == pytest.approx(moved[SHARED:], abs=0.2 if is_cut else 0.003, rel=0.02)


def end_part(history, end):
    return next(part for part in history if part.end_at is None or part.end_at >= end)


def test_the_last_sensitivity_is_that_of_the_days_to_come():
    known = Ramp(start_at=PULLED, end_at=PULLED + days(4), from_c=26, to_c=32)
    end, step = PULLED + days(10), 0.001

    def after(warmer):
        return [known, Swing(start_at=PULLED + days(4), low_c=22 + warmer, high_c=28 + warmer)]

    slope = (logs_of_progress(after(step), HELD, end) - logs_of_progress(after(0), HELD, end)) / step

    assert DevelopmentCurve(after(0), HELD).sensitivity(PULLED, end)[-1] == pytest.approx(slope, rel=1e-3)
    assert DevelopmentCurve(after(0), HELD).sensitivity(PULLED, PULLED + days(3))[-1] == 0


def test_a_thermometer_in_two_places_counts_for_both():
    def moving(first, second):
        middle = Ramp(start_at=PULLED + days(3), end_at=PULLED + days(5), from_c=24, to_c=27, gauge=GARAGE)
        first = Swing(start_at=PULLED, end_at=PULLED + days(3), low_c=24, high_c=26, gauge=first)
        return [first, middle, Swing(start_at=PULLED + days(5), low_c=27, high_c=33, gauge=second)]

    end = PULLED + days(11)
    one = DevelopmentCurve(moving(SHELF, SHELF), HELD).sensitivity(PULLED, end)
    two = DevelopmentCurve(moving(SHELF, Gauge("other shelf")), HELD).sensitivity(PULLED, end)

    assert len(two) == len(one) + 1
    assert one[SHARED] == pytest.approx(two[SHARED] + two[SHARED + 2])
    assert one[SHARED + 1] == pytest.approx(two[SHARED + 1])
    assert one[SHARED] + one[SHARED + 1] == pytest.approx(one[3])  # all together are the farm's


def test_mean_temperatures_are_of_what_was_told_and_of_the_eggs():
    held = replace(HELD, values=(0.0, 0.0, 0.5, 1.0))
    history = [
        Swing(start_at=PULLED, end_at=PULLED + days(1), low_c=20, high_c=24, drop_c=4),
        Swing(start_at=PULLED + days(1), low_c=30, high_c=30),
    ]

    told_c, eggs_c = DevelopmentCurve(history, held).mean_temps_c(PULLED, PULLED + days(4))

    assert told_c == pytest.approx((22 + 3 * 30) / 4)
    assert eggs_c == pytest.approx((21 + 3 * 31) / 4)


def test_what_is_to_come_is_the_part_that_goes_on():
    cooled = DevelopmentCurve(always(20, 32, drop_c=5), HOUSE.egg)
    closed = DevelopmentCurve([Ramp(start_at=PULLED, end_at=PULLED + days(2), from_c=30, to_c=30)], HOUSE.egg)

    assert (cooled.is_open, closed.is_open) == (True, False)
    assert cooled.coming_air_c == 26
    assert cooled.coming_c == pytest.approx(26 - 0.39 * 5)
    assert cooled.coming_rate == pytest.approx(cooled.progress(PULLED, PULLED + days(1)))
    assert (closed.coming_air_c, closed.coming_c, closed.coming_rate) == (None, None, None)
    assert not closed.is_foreseen(PULLED + days(3))


def test_arrays_are_taken_like_the_history_they_came_from():
    history = always(20, 32)

    arrays = DevelopmentCurve(segments(history), HOUSE.egg)

    assert arrays.reached_at(PULLED, 100) == DevelopmentCurve(history, HOUSE.egg).reached_at(PULLED, 100)


def test_a_lower_base_gets_there_sooner():
    lower = msgspec.structs.replace(HELD, values=(-1.0, 0.0, 0.39, 0.0))

    assert DevelopmentCurve(always(25), lower).progress(PULLED, PULLED + days(1)) == pytest.approx(25 - 13.8)


def test_nothing_needed_is_reached_at_once():
    assert DevelopmentCurve(always(30), HOUSE.egg).reached_at(PULLED, 0) == PULLED


@pytest.mark.parametrize("temp_c", [14, 42, 60])
def test_what_never_comes_is_never_reached(temp_c):
    assert DevelopmentCurve(always(temp_c), HOUSE.egg).reached_at(PULLED, 1) is None


def test_a_history_with_an_end_is_not_followed_beyond_it():
    curve = DevelopmentCurve([Ramp(start_at=PULLED, end_at=PULLED + days(2), from_c=30, to_c=30)], HOUSE.egg)

    assert curve.reached_at(PULLED, 30.4) == PULLED + days(2)
    assert curve.reached_at(PULLED, 31) is None
    with pytest.raises(HistoryError, match=r"time is 2026-05-04T18:00:00.* must lie within the history"):
        curve.progress(PULLED, PULLED + days(3))


def test_a_time_before_the_history_is_refused():
    with pytest.raises(HistoryError, match="must lie within the history"):
        DevelopmentCurve(always(30), HOUSE.egg).reached_at(PULLED - days(1), 10)


def test_times_out_of_order_are_refused():
    curve = DevelopmentCurve(always(30), HOUSE.egg)

    for question in (curve.progress, curve.sensitivity, curve.mean_temps_c):
        with pytest.raises(HistoryError, match="must not be before since"):
            question(PULLED + days(1), PULLED)


@pytest.mark.parametrize("needed", [-1, math.nan, math.inf])
def test_degree_days_that_are_none_are_refused(needed):
    with pytest.raises(OutOfRangeError, match=r"degree-days \[C\] is .*, must be at least 0"):
        DevelopmentCurve(always(30), HOUSE.egg).reached_at(PULLED, needed)


def test_the_covariance_is_in_the_order_of_the_sensitivity():
    history = [
        Ramp(start_at=PULLED, end_at=PULLED + days(1), from_c=20, to_c=20, gauge=GARAGE),
        Swing(start_at=PULLED + days(1), low_c=20, high_c=30, gauge=SHELF),
    ]
    curve = DevelopmentCurve(history, HOUSE.egg)

    got = curve.covariance

    assert len(got) == len(curve.sensitivity(PULLED, PULLED + days(5))) - 1
    assert np.diag(got)[SHARED:].tolist() == [GARAGE.sd_c**2, SHELF.sd_c**2]


def test_the_warmth_that_eggs_work_in_is_that_of_their_middays():
    steady = DevelopmentCurve([Swing(start_at=PULLED, low_c=19, high_c=19)], untaught(species("house").egg))
    nights = DevelopmentCurve([Swing(start_at=PULLED, low_c=10, high_c=26.7)], untaught(species("house").egg))
    # Days of 24 hours at a step of a second: the mean of the sine while it is above the base of 14.8 C.
    sine = 18.35 + 8.35 * np.sin(2 * np.pi * np.arange(86_400) / 86_400)

    assert steady.working_temp_c(PULLED, PULLED + days(9)) == pytest.approx(19, abs=1e-3)
    assert nights.working_temp_c(PULLED, PULLED + days(9)) == pytest.approx(sine[sine > 14.8].mean(), abs=0.02)


def test_where_there_is_a_least_rate_the_mean_is_taken():
    nymphs = DevelopmentCurve([Swing(start_at=PULLED, low_c=10, high_c=30)], untaught(species("house").nymph))

    assert nymphs.working_temp_c(PULLED, PULLED + days(9)) == pytest.approx(20)
