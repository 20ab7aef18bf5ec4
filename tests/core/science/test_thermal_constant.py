"""Thermal constants from observed times: what must hold for any data. Published values are in tests/outside."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.ranges import OutOfRangeError
from core.science.thermal_constant import ikemoto_takai_fit, x_intercept_fit

TEMPS_C = (20.0, 23.0, 26.0, 29.0, 32.0)
FACTORS = (1.02, 0.99, 1.01, 0.98, 1.0)  # of the times: as exact as counting by the day is
either = pytest.mark.parametrize("fit", [x_intercept_fit, ikemoto_takai_fit], ids=lambda fit: fit.__name__)


def observed(base_c=14.9, constant=167.0, factors=FACTORS):
    return [(temp, factor * constant / (temp - base_c)) for temp, factor in zip(TEMPS_C, factors, strict=True)]


@either
@given(base_c=st.floats(2, 18), constant=st.floats(10, 1000))
def test_times_on_a_line_give_that_line_back(fit, base_c, constant):
    got = fit(observed(base_c, constant, factors=[1.0] * 5))

    assert got.base_temp_c == pytest.approx(base_c)
    assert got.thermal_constant == pytest.approx(constant)


@either
def test_a_stage_that_takes_twice_as_long_has_twice_the_constant_and_the_same_base(fit):
    once, twice = fit(observed()), fit([(temp, 2 * days) for temp, days in observed()])

    assert twice.base_temp_c == pytest.approx(once.base_temp_c)
    assert twice.thermal_constant == pytest.approx(2 * once.thermal_constant)


def test_the_standard_errors_are_how_far_the_fits_of_many_trials_scatter():
    rates = np.array([1 / days for _, days in observed(factors=[1.0] * 5)])
    trials = rates + np.random.default_rng(4).normal(0, 0.001, size=(4000, 5))

    fits = [x_intercept_fit(list(zip(TEMPS_C, 1 / trial, strict=True))) for trial in trials]

    for value, error in (("base_temp_c", "base_se_c"), ("thermal_constant", "constant_se")):
        scatter = np.std([getattr(fit, value) for fit in fits])
        typical = math.sqrt(np.mean([getattr(fit, error) ** 2 for fit in fits]))
        assert typical == pytest.approx(scatter, rel=0.05)


def test_times_on_a_line_have_no_error_and_the_axis_never_tells_one():
    exact = x_intercept_fit(observed(factors=[1.0] * 5))
    axis = ikemoto_takai_fit(observed())

    assert (exact.base_se_c, exact.constant_se) == pytest.approx((0, 0), abs=1e-9)
    assert (axis.base_se_c, axis.constant_se) == (None, None)


@either
@pytest.mark.parametrize(
    ("pairs", "message"),
    [
        ([], "number of pairs is 0, must be at least 3"),
        ([(20, 30), (30, 10)], "number of pairs is 2, must be at least 3"),
        ([(30, 11), (30, 12), (30, 13)], "number of different temperatures is 1, must be at least 2"),
        ([(20, 12), (25, 12), (30, 12)], "number of different times taken is 1, must be at least 2"),
        ([(20, 10), (25, 15), (30, 20)], r"slope of the rate \[1/\(C d\)\] is -0.005, must be above 0"),
        ([(20, math.nan), (25, 15), (30, 10)], r"time taken \[days\] is nan"),
        ([(20, math.inf), (25, 15), (30, 10)], r"time taken \[days\] is inf"),
        ([(20, 30), (25, 0), (30, 10)], r"time taken \[days\] is 0, must be above 0"),
        ([(math.nan, 30), (25, 15), (30, 10)], r"temperature \[C\] is nan"),
        ([(68, 30), (77, 15), (86, 10)], r"temperature \[C\] is 68, must be from -30 to 60"),
    ],
)
def test_wrong_numbers_are_named(fit, pairs, message):
    with pytest.raises(OutOfRangeError, match=message):
        fit(pairs)


def test_times_too_unlike_a_line_have_no_axis():
    with pytest.raises(OutOfRangeError, match=r"thermal constant \[degree-days C\] is -98.9062, must be above 0"):
        ikemoto_takai_fit([(28, 30), (31, 15), (19, 23)])
