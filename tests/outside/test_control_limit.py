"""The control limit of deaths against scipy's distributions and the limits of a c-chart."""

import math

import pytest
from scipy import stats

from core.science.mortality import THREE_SIGMA, upper_limit

SPREAD = 0.5


def test_the_chance_is_that_of_three_standard_deviations():
    assert pytest.approx(stats.norm.sf(3.0), rel=1e-12) == THREE_SIGMA


@pytest.mark.parametrize("expected", [0.1, 0.5, 1.0, 4.0, 10.0, 20.0, 100.0, 1000.0, 4999.0])
def test_without_spread_it_is_the_quantile_of_the_poisson_distribution(expected):
    assert upper_limit(expected, 0.0) == stats.poisson.isf(THREE_SIGMA, expected)


@pytest.mark.parametrize("expected", [0.1, 1.0, 4.0, 20.0, 100.0, 1000.0, 4999.0])
def test_with_spread_it_is_the_quantile_of_the_negative_binomial_distribution(expected):
    shape = 1.0 / SPREAD**2
    known = stats.nbinom(shape, shape / (shape + expected))

    assert known.var() == pytest.approx(expected + (SPREAD * expected) ** 2)
    assert upper_limit(expected, SPREAD) == known.isf(THREE_SIGMA)


@pytest.mark.parametrize("expected", [25.0, 100.0, 400.0])
def test_for_many_deaths_it_is_near_the_limit_of_a_c_chart(expected):
    # NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.1: c + 3 sqrt(c); from memory, as other manuals have it.
    assert upper_limit(expected, 0.0) == pytest.approx(expected + 3.0 * math.sqrt(expected), abs=3.0)
