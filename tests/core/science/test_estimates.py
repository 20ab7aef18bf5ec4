"""Estimates and their intervals."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.estimates import Estimate, lognormal
from core.science.ranges import OutOfRangeError


@given(likely=st.floats(1e-3, 1e6), sd=st.floats(0.0, 3.0))
def test_an_estimate_keeps_the_spread_it_was_made_with(likely, sd):
    estimate = lognormal(likely, sd)

    assert estimate.least <= estimate.likely == likely <= estimate.most
    assert estimate.sd == pytest.approx(sd, abs=1e-9)


def test_none_are_none_at_any_spread():
    none = lognormal(0.0, 0.5)

    assert (none.least, none.likely, none.most, none.sd) == (0.0, 0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("likely", "sd", "message"),
    [
        (-1.0, 0.5, "median .* is -1, must be at least 0"),
        (math.nan, 0.5, "median .* is nan"),
        (1.0, -0.1, "standard deviation .* is -0.1, must be from 0 to 5"),
        (1.0, math.inf, "standard deviation .* is inf"),
    ],
)
def test_an_absurd_median_or_spread_is_refused(likely, sd, message):
    with pytest.raises(OutOfRangeError, match=message):
        lognormal(likely, sd)


@pytest.mark.parametrize("bounds", [(2.0, 1.0, 3.0), (0.5, 1.0, 0.9), (0.0, 0.0, 2.0), (0.0, 1.0, 2.0)])
def test_quantiles_out_of_order_are_refused(bounds):
    least, likely, most = bounds

    with pytest.raises(OutOfRangeError):
        Estimate(least=least, likely=likely, most=most)
