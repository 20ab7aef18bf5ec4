"""Eggs seen through the wall of a container."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.journal.kinds import Density
from core.science.estimates import lognormal
from core.science.ranges import OutOfRangeError
from core.science.seen_eggs import SEEN, seen_through_wall

EXPECTED = lognormal(3600.0, 0.45)
AREA_CM2 = 375.0


def test_the_more_is_seen_the_more_eggs_there_are():
    likely = [seen_through_wall(EXPECTED, density, AREA_CM2).likely for density in Density]

    assert list(Density) == [Density.NONE, Density.FEW, Density.SOME, Density.MANY]
    assert likely == sorted(set(likely))
    assert likely[0] < EXPECTED.likely < likely[-1]


@given(density=st.sampled_from(Density), likely=st.floats(1.0, 1e5), sd=st.floats(0.05, 2.0))
def test_a_look_lands_between_belief_and_sight_and_narrows_it(density, likely, sd):
    sight = SEEN[density][0] * AREA_CM2

    got = seen_through_wall(lognormal(likely, sd), density, AREA_CM2)

    assert min(likely, sight) * (1 - 1e-9) <= got.likely <= max(likely, sight) * (1 + 1e-9)
    assert got.sd < sd


def test_the_update_is_that_of_bayes_on_a_grid():
    logs = np.linspace(2.0, 14.0, 20_001)
    per_cm2, sd = SEEN[Density.FEW]
    weights = np.exp(
        -(((logs - math.log(3600.0)) / 0.45) ** 2) / 2 - ((logs - math.log(per_cm2 * AREA_CM2)) / sd) ** 2 / 2
    )
    quantiles = np.exp(np.interp((0.05, 0.5, 0.95), np.cumsum(weights) / weights.sum(), logs))

    got = seen_through_wall(EXPECTED, Density.FEW, AREA_CM2)

    assert (got.least, got.likely, got.most) == pytest.approx(tuple(quantiles), rel=2e-3)  # the step of the grid


def test_eggs_that_nobody_expected_are_taken_as_seen():
    got = seen_through_wall(lognormal(0.0, 0.4), Density.MANY, AREA_CM2)

    assert got.likely == pytest.approx(SEEN[Density.MANY][0] * AREA_CM2)


def test_none_expected_and_none_seen_are_none():
    assert seen_through_wall(lognormal(0.0, 0.4), Density.NONE, AREA_CM2).most == 0.0


def test_counted_eggs_are_not_talked_away():
    counted = lognormal(500.0, 0.0)

    assert seen_through_wall(counted, Density.MANY, AREA_CM2) == counted


@pytest.mark.parametrize("area_cm2", [0.0, -5.0, math.nan, math.inf])
def test_an_absurd_container_is_refused(area_cm2):
    with pytest.raises(OutOfRangeError, match="area of the container"):
        seen_through_wall(EXPECTED, Density.FEW, area_cm2)
