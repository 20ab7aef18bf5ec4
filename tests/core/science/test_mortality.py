"""How many die in a span of their life, and how many are too many."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.mortality import ADULT_DAYS, MOST_EXPECTED, dying, upper_limit
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS, SURVIVAL_TO_ADULT
from core.science.ranges import OutOfRangeError


def test_over_a_stage_as_many_die_as_its_survival_says():
    assert dying(0.0, 14.0) == pytest.approx(1 - SURVIVAL_TO_14_DAYS.value)
    assert dying(14.0, ADULT_DAYS) == pytest.approx(1 - SURVIVAL_TO_ADULT.value)


def test_half_of_the_adults_are_dead_after_their_half_life():
    assert dying(ADULT_DAYS, ADULT_DAYS + 45.0) == pytest.approx(0.5)


@given(st.floats(0.0, 300.0), st.floats(0.0, 300.0), st.floats(0.0, 300.0))
def test_who_lives_through_two_spans_lives_through_both(first, second, third):
    a, b, c = sorted((first, second, third))

    assert (1 - dying(a, b)) * (1 - dying(b, c)) == pytest.approx(1 - dying(a, c))


def test_where_none_is_expected_none_is_usual():
    assert upper_limit(0.0) == 0


@given(st.floats(0.01, 6000.0), st.floats(0.0, 1.0))
def test_the_limit_lies_above_what_is_expected_and_grows_with_the_spread(expected, spread):
    assert upper_limit(expected, spread) >= math.floor(expected)
    assert upper_limit(expected, spread + 0.5) >= upper_limit(expected, spread)


def test_the_limit_goes_on_where_the_distribution_is_taken_for_a_normal_one():
    below, above = upper_limit(MOST_EXPECTED, 0.0), upper_limit(MOST_EXPECTED + 1.0, 0.0)

    assert above == pytest.approx(below, rel=0.01)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: dying(-1.0, 3.0),
        lambda: dying(5.0, 3.0),
        lambda: dying(0.0, math.nan),
        lambda: upper_limit(-1.0),
        lambda: upper_limit(1.0, spread=-0.1),
        lambda: upper_limit(1.0, chance=0.9),
    ],
    ids=[
        "age below 0",
        "ages the wrong way",
        "age not a number",
        "expected below 0",
        "spread below 0",
        "chance too large",
    ],
)
def test_what_is_out_of_range_is_refused(wrong):
    with pytest.raises(OutOfRangeError):
        wrong()
