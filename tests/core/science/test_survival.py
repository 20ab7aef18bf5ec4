"""Survival from stage to stage."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.nymph_figures import YOUNG_UNTIL
from core.science.ranges import OutOfRangeError
from core.science.survival import alive_at, crowding, shares


@given(densities=st.tuples(st.floats(0.0, 5.0), st.floats(0.0, 5.0)))
def test_a_thicker_crowd_never_fares_better(densities):
    thin, thick = crowding(np.array(sorted(densities)))

    assert 0.55 <= thick <= thin <= 1.0


@given(density=st.floats(0.01, 2.0))
def test_more_crickets_on_the_same_floor_never_end_as_fewer(density):
    left = crowding(np.array([density, density * 1.01])) * np.array([density, density * 1.01])

    assert left[0] <= left[1]


def test_between_two_densities_measured_it_is_a_straight_line():
    assert crowding(np.array(0.33)) == pytest.approx((1.0 + 0.69) / 2)


@given(middle=st.floats(0.01, 0.99), sd=st.floats(0.0, 0.3), deviate=st.floats(-3.0, 3.0))
def test_a_share_stays_a_share(middle, sd, deviate):
    below, at, above = shares(middle, sd, np.array([-abs(deviate), 0.0, abs(deviate)]))

    assert 0 <= below <= at <= above <= 1
    assert at == pytest.approx(middle)


def test_shares_spread_about_as_far_as_told():
    deviates = np.random.default_rng(3).standard_normal(20_000)

    assert shares(0.75, 0.1, deviates).std() == pytest.approx(0.1, abs=0.01)


@pytest.mark.parametrize(
    ("progress", "alive"), [(0.0, 1.0), (YOUNG_UNTIL / 2, math.sqrt(0.75)), (YOUNG_UNTIL, 0.75), (1.0, 0.6)]
)
def test_crickets_die_evenly_along_their_development(progress, alive):
    assert alive_at(np.array(progress), np.array(0.75), np.array(0.8)) == pytest.approx(alive)


@pytest.mark.parametrize(("middle", "sd"), [(0.0, 0.1), (1.0, 0.1), (math.nan, 0.1), (0.5, -0.1), (0.5, math.inf)])
def test_an_absurd_share_is_refused(middle, sd):
    with pytest.raises(OutOfRangeError, match="share"):
        shares(middle, sd, np.array([0.0]))
