"""The cost of warmth against hand arithmetic and the definition of the kilowatt-hour."""

import itertools

import pytest

from core.science.heating import Cheaper, batch_cost, cheaper_way, heat_loss
from core.science.species import SpeciesName, species

EGG = species(SpeciesName.HOUSE).egg
BASE_C, CONSTANT, CUTOFF_C = EGG.base_temp_c.value, EGG.thermal_constant.value, EGG.cutoff_c.value
LINEAR_TEMPS_C = [18.0, 20.0, 22.5, 25.0, 27.5, 30.0, 32.5, CUTOFF_C]
AROUND_C = [-20.0, -5.0, 0.0, 5.0, 10.0, 14.0, 14.7, BASE_C, 14.9, 15.5, 16.0, 17.0, 18.0]


# Hand arithmetic: 1500 W a third of the time are 500 W; over 20 K that is 25 W/K. Exact.
def test_a_heater_that_runs_a_third_of_the_time_loses_25_watts_a_degree():
    assert heat_loss(1500.0, 1 / 3, 20.0) == pytest.approx(25.0, rel=1e-12)


# The kilowatt-hour is 3.6 MJ (NIST Special Publication 811, 2008, appendix B.8). The heat in joules, counted second by
# second: watts times 86,400 a day. Exact.
@pytest.mark.parametrize("temp_c", LINEAR_TEMPS_C)
@pytest.mark.parametrize("around_c", [-5.0, 10.0, 17.0])
def test_the_heat_in_joules_is_watts_times_seconds(temp_c, around_c):
    batch = batch_cost(EGG, temp_c, surroundings_c=around_c, loss_w_per_k=25.0, price_per_kwh=0.15)

    joules = 25.0 * (temp_c - around_c) * CONSTANT / (temp_c - BASE_C) * 86_400
    assert batch.kwh * 3.6e6 == pytest.approx(joules, rel=1e-12)
    assert batch.cost == pytest.approx(joules / 3.6e6 * 0.15, rel=1e-12)


# The sign of d/dT (T - Ts) / (T - T0) = (Ts - T0) / (T - T0)^2, derived by hand; on a grid in the linear range.
@pytest.mark.parametrize("around_c", AROUND_C)
def test_warmer_is_cheaper_just_where_the_surroundings_are_colder_than_the_base(around_c):
    rooms = {"surroundings_c": around_c, "loss_w_per_k": 25.0, "price_per_kwh": 0.15}
    steps = [
        batch_cost(EGG, warm_c, **rooms).kwh - batch_cost(EGG, cool_c, **rooms).kwh
        for cool_c, warm_c in itertools.pairwise(LINEAR_TEMPS_C)
    ]

    signs = {Cheaper.WARMER: -1, Cheaper.SAME: 0, Cheaper.COOLER: 1}
    assert {round(step / 1e-6) and (1 if step > 0 else -1) for step in steps} == {signs[cheaper_way(EGG, around_c)]}
