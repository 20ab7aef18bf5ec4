"""The cost of warmth."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.heating import Cheaper, batch_cost, cheaper_way, compared, heat_loss
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species

EGG = species(SpeciesName.HOUSE).egg
BASE_C, CUTOFF_C = EGG.base_temp_c.value, EGG.cutoff_c.value
ROOM = {"surroundings_c": 20.0, "loss_w_per_k": 25.0, "price_per_kwh": 0.15}


def a_batch(temp_c=30.0, **room):
    return batch_cost(EGG, temp_c, **{**ROOM, **room})


def test_a_warmer_batch_is_done_sooner():
    days = [a_batch(temp_c).days for temp_c in (20.0, 25.0, 30.0, 34.0)]

    assert days == sorted(days, reverse=True)
    assert days[2] == pytest.approx(EGG.thermal_constant.value / (30.0 - BASE_C))


def test_above_the_linear_range_warmth_saves_no_time_and_then_costs_some():
    assert a_batch(36.0).days == pytest.approx(a_batch(34.0).days)
    assert a_batch(38.0).days > a_batch(36.0).days


def test_warm_surroundings_cost_nothing():
    batch = a_batch(25.0, surroundings_c=28.0)

    assert (batch.kwh, batch.cost) == (0.0, 0.0)
    assert batch.days > 0


@given(
    surroundings_c=st.floats(-20.0, 45.0),
    temps_c=st.lists(st.sampled_from([18.0, 25.0, 30.0, 34.0, 36.0, 38.0]), min_size=1),
)
def test_36_degrees_are_never_the_cheapest(surroundings_c, temps_c):
    got = compared(EGG, temps_c, **{**ROOM, "surroundings_c": surroundings_c}).cheapest

    assert got is None or got.temp_c <= CUTOFF_C


def test_hot_batches_alone_have_no_cheapest():
    assert compared(EGG, [36.0, 37.0], **ROOM).cheapest is None


def test_of_batches_that_cost_the_same_the_quicker_one_is_cheapest():
    at_base = compared(EGG, [22.0, 34.0, 28.0], **{**ROOM, "surroundings_c": BASE_C})
    for_nothing = compared(EGG, [22.0, 26.0], **{**ROOM, "surroundings_c": 30.0})

    assert at_base.cheaper is Cheaper.SAME
    assert at_base.cheapest.temp_c == 34.0
    assert for_nothing.cheapest.temp_c == 26.0


def test_a_comparison_keeps_the_order_and_says_what_it_turns_on():
    got = compared(EGG, [32.0, 27.0, 30.0], **ROOM)

    assert [batch.temp_c for batch in got.batches] == [32.0, 27.0, 30.0]
    assert (got.surroundings_c, got.base_temp_c) == (20.0, BASE_C)
    assert got.cheapest == got.batches[1]


@pytest.mark.parametrize(
    "temp_c",
    [-10.0, BASE_C, EGG.upper_limit_c.value, math.nextafter(EGG.upper_limit_c.value, 0.0), 60.0, math.nan, math.inf],
)
def test_a_batch_that_would_never_hatch_is_refused(temp_c):
    with pytest.raises(OutOfRangeError, match="temperature of the batch"):
        a_batch(temp_c)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: a_batch(surroundings_c=math.nan), "temperature of the surroundings"),
        (lambda: a_batch(loss_w_per_k=-1.0), "loss of heat"),
        (lambda: a_batch(price_per_kwh=-0.1), "price of a kilowatt-hour"),
        (lambda: cheaper_way(EGG, 90.0), r"temperature of the surroundings \[C\] is 90"),
        (lambda: heat_loss(-1.0, 0.5, 20.0), "power of the heater"),
        (lambda: heat_loss(1500.0, 1.5, 20.0), "share of the time"),
        (lambda: heat_loss(1500.0, 0.5, 0.0), "degrees warmer inside than outside"),
    ],
)
def test_absurd_numbers_are_refused_by_name(wrong, message):
    with pytest.raises(OutOfRangeError, match=message):
        wrong()
