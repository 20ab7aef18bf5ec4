"""The spread of a hatch: what must hold for any counts. Reference values are in tests/outside."""

import math
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.hatch_spread import hatch_spread
from core.science.ranges import OutOfRangeError

LOOKS = ((9.0, 1), (10.0, 3), (11.0, 4), (12.0, 2), (13.0, 1), (14.0, 1))
counts = st.lists(st.integers(0, 500), min_size=6, max_size=6).filter(lambda found: sum(n > 0 for n in found) >= 2)


def log_likelihood(looks, unhatched, log_mean, spread):
    """Of the counts, up to a constant; the tail is erfc and its series far out."""
    end = (math.log(max(days for days, _ in looks)) - log_mean) / spread
    tail = math.log(math.erfc(end / math.sqrt(2)) / 2) if end < 25 else -(end**2) / 2 - math.log(end * 2.5066)
    deviates = [(pinheads, (math.log(days) - log_mean) / spread) for days, pinheads in looks]
    return sum(-n * (math.log(spread) + z**2 / 2) for n, z in deviates) + (unhatched * tail if unhatched else 0)


def is_at_the_top(looks, unhatched, fit):
    """Whether a step of a thousandth of the spread to either side makes the counts less likely."""
    step = fit.spread / 1000
    around = [(step, 0), (-step, 0), (0, step), (0, -step), (step, step), (-step, -step)]
    top = log_likelihood(looks, unhatched, fit.log_mean, fit.spread)
    return all(log_likelihood(looks, unhatched, fit.log_mean + a, fit.spread + b) < top for a, b in around)


@given(found=counts, unhatched=st.integers(0, 3000))
def test_no_other_curve_near_by_makes_the_counts_more_likely(found, unhatched):
    looks = [(9.0 + number, pinheads) for number, pinheads in enumerate(found)]

    assert is_at_the_top(looks, unhatched, hatch_spread(looks, unhatched=unhatched))


def test_one_egg_left_far_behind_ten_thousand_others_is_fitted_too():
    looks = [(9.0, 10_000), (9.01, 1), (14.0, 0)]

    assert is_at_the_top(looks, 1, hatch_spread(looks, unhatched=1))


def test_with_no_egg_left_it_is_the_mean_and_deviation_of_the_logarithms():
    fit = hatch_spread([(8.0, 1), (16.0, 1), (4.0, 1), (8.0, 1)])

    assert fit.log_mean == pytest.approx(math.log(8))
    assert fit.spread == pytest.approx(math.log(2) / math.sqrt(2))


# Looked at each tenth of a day, dated to its middle; 0.001 is what that blurs, most where looking stops early.
@pytest.mark.parametrize("last_day", [10, 11, 12, 15])
def test_a_known_spread_is_found_again_however_early_looking_stops(last_day):
    curve = NormalDist(math.log(11), 0.06)
    edges = [tenth / 10 for tenth in range(50, 10 * last_day + 1)]
    shares = [curve.cdf(math.log(edge)) for edge in edges]
    looks = [
        (edge - 0.05, round(100_000 * (share - before)))
        for edge, share, before in zip(edges[1:], shares[1:], shares, strict=False)
    ]
    unhatched = round(100_000 * (1 - shares[-1]))

    fit = hatch_spread([*looks, (last_day, 0)], unhatched=unhatched)

    assert (fit.log_mean, fit.spread) == (pytest.approx(math.log(11), abs=0.001), pytest.approx(0.06, abs=0.001))


def test_the_order_of_the_looks_does_not_matter():
    assert hatch_spread(LOOKS[::-1], unhatched=1) == hatch_spread(LOOKS, unhatched=1)


@pytest.mark.parametrize(("unhatched", "median"), [(0, 11), (4, 11), (5, 12), (12, 14), (13, None)])
def test_the_median_is_the_day_by_which_half_of_all_eggs_had_hatched(unhatched, median):
    assert hatch_spread(LOOKS, unhatched=unhatched).median_days == median


@pytest.mark.parametrize(
    ("looks", "unhatched", "message"),
    [
        ([], 0, "number of days with pinheads is 0, must be at least 2"),
        ([(11.0, 8), (12.0, 0)], 3, "number of days with pinheads is 1, must be at least 2"),
        ([(11.0, 8), (11.0, 2)], 3, "number of days with pinheads is 1, must be at least 2"),
        ([(0.0, 8), (12.0, 1)], 0, r"time since the lay \[days\] is 0, must be above 0"),
        ([(math.nan, 8), (12.0, 1)], 0, r"time since the lay \[days\] is nan"),
        ([(11.0, -1), (12.0, 1)], 0, "pinheads is -1, must be at least 0"),
        ([(11.0, 1), (12.0, 1)], -2, "unhatched eggs is -2, must be at least 0"),
    ],
)
def test_wrong_numbers_are_named(looks, unhatched, message):
    with pytest.raises(OutOfRangeError, match=message):
        hatch_spread(looks, unhatched=unhatched)
