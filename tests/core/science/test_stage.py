"""The rates of a stage. Degree-days of a day are checked against published tables in tests/outside."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science import degree_days
from core.science.species import SpeciesName, species
from core.science.stage import response

HOUSE = species(SpeciesName.HOUSE)
STAGES = [stage for name in SpeciesName for stage in (species(name).egg, species(name).nymph)]
temps = st.floats(-30, 60)
stages = st.sampled_from(STAGES)
bases = st.floats(10, 20)


def rates_at(stage, temps_c):
    return response(stage, [stage.base_temp_c.value]).rate(np.array([temps_c], dtype=float))[0]


def test_eggs_are_fastest_from_34_to_36_and_stand_still_from_41_on():
    got = rates_at(HOUSE.egg, [-30, 14.8, 24.8, 34, 35, 36, 38.5, 41, 60])

    assert got == pytest.approx([0, 0, 10, 19.2, 19.2, 19.2, 9.6, 0, 0])


def test_nymphs_keep_a_least_rate_in_the_cold_down_to_16():
    least = 530 / 150

    got = rates_at(HOUSE.nymph, [14.9, 15, 15.5, 16, 18, 18 + least, 30, 36, 42])

    assert got == pytest.approx([0, 0, least / 2, least, least, least, 12, 17, 0])


@given(stages, temps)
def test_a_rate_is_never_negative_nor_above_that_at_the_cutoff(stage, temp_c):
    rate = rates_at(stage, [temp_c])[0]

    assert -1e-9 <= rate <= stage.cutoff_c.value - stage.base_temp_c.value + 1e-9


@given(stages, bases, temps, temps)
def test_the_integral_is_that_of_the_rate(stage, base_c, one, other):
    low_c, high_c = sorted((one, other))
    rates = response(stage, [base_c])
    grid = np.linspace(low_c, high_c, 20_001)[None, :]

    got = rates.integral(np.array([[high_c]])) - rates.integral(np.array([[low_c]]))

    assert got[0, 0] == pytest.approx(np.trapezoid(rates.rate(grid)[0], grid[0]), abs=1e-3)


@given(stages, bases, temps, st.floats(0, 30))
def test_the_rate_of_a_day_is_the_mean_of_its_moments(stage, base_c, low_c, range_c):
    rates = response(stage, [base_c])
    phases = 2 * np.pi * (np.arange(20_000) + 0.5) / 20_000
    moments = low_c + range_c / 2 * (1 - np.cos(phases))

    got = rates.rate_of_day(np.array([[low_c]]), np.array([[low_c + range_c]]))[0, 0]

    assert got == pytest.approx(rates.rate(moments[None, :])[0].mean(), abs=1e-4)


@given(temps, temps)
def test_below_the_heat_the_rate_of_a_day_is_the_single_sine(one, other):
    low_c, high_c = (min(temp_c, 36.0) for temp_c in sorted((one, other)))

    got = response(HOUSE.egg, [14.8]).rate_of_day(np.array([[low_c]]), np.array([[high_c]]))[0, 0]

    assert got == pytest.approx(degree_days.single_sine(low_c, high_c, 14.8, cutoff=34), abs=1e-6)


@given(stages, st.lists(bases, min_size=2, max_size=4), st.lists(temps, min_size=1, max_size=5))
def test_several_bases_at_once_are_like_each_alone(stage, bases_c, temps_c):
    rows = np.array([temps_c] * len(bases_c))
    together = response(stage, bases_c)

    for row, base_c in enumerate(bases_c):
        alone = response(stage, [base_c])
        assert together.rate(rows)[row] == pytest.approx(alone.rate(rows[:1])[0])
        assert together.integral(rows)[row] == pytest.approx(alone.integral(rows[:1])[0])
        assert together.rate_of_day(rows, rows + 8)[row] == pytest.approx(alone.rate_of_day(rows[:1], rows[:1] + 8)[0])
