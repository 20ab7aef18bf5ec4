"""Degree-days: what must hold for any day. Published values are in tests/outside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science import degree_days
from core.science.ranges import OutOfRangeError

temps = st.floats(-30, 60)
single = pytest.mark.parametrize(
    "method", [degree_days.single_sine, degree_days.single_triangle], ids=lambda method: method.__name__
)
double = pytest.mark.parametrize(
    "method", [degree_days.double_sine, degree_days.double_triangle], ids=lambda method: method.__name__
)


@single
@given(one=temps, other=temps)
def test_a_day_gains_no_more_than_its_range_allows(method, one, other):
    low, high = sorted((one, other))

    got = method(low, high, 14.9, cutoff=34)

    assert -1e-9 <= got <= 34 - 14.9 + 1e-9
    assert got <= max(0, high - 14.9) + 1e-9
    assert got >= min(max(0, low - 14.9), 34 - 14.9) - 1e-9


@single
def test_a_constant_day_gains_the_difference_to_the_base(method):
    assert method(30, 30, 14.9, cutoff=34) == pytest.approx(15.1)
    assert method(14.9, 14.9, 14.9) == 0


@single
def test_a_day_is_the_mean_of_its_moments(method):
    def temp(share):  # share of the day since the low
        if method is degree_days.single_sine:
            return 20 - 10 * math.cos(2 * math.pi * share)
        return 10 + 40 * min(share, 1 - share)

    moments = [min(max(temp((i + 0.5) / 20_000), 14.9), 26) - 14.9 for i in range(20_000)]

    assert method(10, 30, 14.9, cutoff=26) == pytest.approx(sum(moments) / len(moments), abs=1e-6)


@double
def test_a_next_low_like_the_first_changes_nothing(method):
    single_method = getattr(degree_days, method.__name__.replace("double", "single"))

    assert method(10, 30, 10, 14.9, cutoff=26) == pytest.approx(single_method(10, 30, 14.9, cutoff=26))


@double
def test_a_next_low_above_the_high_is_a_way_up(method):
    assert method(10, 12, 18, 0) == pytest.approx((11 + 15) / 2)


def test_the_share_of_a_day_above_a_threshold_runs_from_none_to_all():
    shares = [degree_days.share_of_day_above(10, 20, threshold) for threshold in (9, 12.5, 15, 17.5, 20)]

    assert shares == pytest.approx([1, 2 / 3, 1 / 2, 1 / 3, 0])


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (
            lambda: degree_days.single_sine(30, 20, 10),
            r"highest temperature \[degrees\] is 20, must be at least the lowest",
        ),
        (lambda: degree_days.single_sine(math.nan, 20, 10), r"lowest temperature \[degrees\] is nan"),
        (
            lambda: degree_days.single_triangle(10, 20, 10, cutoff=10),
            r"cutoff temperature \[degrees\] is 10, must be above",
        ),
        (lambda: degree_days.single_sine(10, 20, 10, cutoff=math.nan), r"cutoff temperature \[degrees\] is nan"),
        (lambda: degree_days.double_sine(10, 20, math.inf, 10), r"next day's lowest temperature \[degrees\] is inf"),
        (lambda: degree_days.plain_average(10, 20, math.inf), r"base temperature \[degrees\] is inf"),
        (lambda: degree_days.days_at_constant(10, 10, 90), r"temperature \[degrees\] is 10, must be above the base 10"),
        (lambda: degree_days.days_at_constant(20, 10, 0), r"thermal constant \[degree-days\] is 0, must be above 0"),
    ],
)
def test_a_wrong_number_is_named(wrong, message):
    with pytest.raises(OutOfRangeError, match=message):
        wrong()
