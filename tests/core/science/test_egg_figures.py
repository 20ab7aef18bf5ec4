"""The figures of eggs."""

import pytest

from core.science import egg_figures
from core.science.figures import Mark
from core.science.stage import Stage

EGGS = {name: value for name, value in vars(egg_figures).items() if isinstance(value, Stage)}
of_all = pytest.mark.parametrize("egg", EGGS.values(), ids=EGGS.keys())


@of_all
def test_the_limits_stand_in_order(egg):
    assert 10 < egg.base_temp_c.value < egg.too_cold_c.value < egg.tested_from_c.value < egg.cutoff_c.value
    assert egg.cutoff_c.value < egg.falls_from_c.value < egg.upper_limit_c.value
    assert egg.least_rate is None  # nothing is known to hatch so cool


def test_the_house_cricket_has_its_own_base_and_constant():
    egg = egg_figures.HOUSE

    assert (egg.base_temp_c.value, egg.thermal_constant.value) == (14.8, 162.0)
    assert not egg.base_temp_c.is_borrowed
    assert not egg.thermal_constant.is_borrowed
    assert egg.base_temp_c.mark is egg.thermal_constant.mark is Mark.DERIVED


# Days at 25 C by a supplier: to the rounding of the constant.
@pytest.mark.parametrize(("egg", "days"), [(egg_figures.BANDED, 16), (egg_figures.JAMAICAN, 12.5)])
def test_a_constant_of_days_told_at_25_c_gives_those_days(egg, days):
    assert egg.thermal_constant.value / (25 - egg.base_temp_c.value) == pytest.approx(days, abs=0.1)
    assert egg.base_temp_c.is_borrowed
    assert "house cricket" in egg.base_temp_c.source


def test_the_two_spotted_cricket_was_measured():
    egg = egg_figures.TWO_SPOTTED

    assert (egg.base_temp_c.value, egg.thermal_constant.value) == (15.9, 108.7)
    assert egg.base_temp_c.mark is egg.thermal_constant.mark is Mark.READ


@pytest.mark.parametrize("egg", [egg for egg in EGGS.values() if egg is not egg_figures.HOUSE])
def test_other_species_say_that_their_doubts_are_borrowed(egg):
    assert all(
        figure.is_borrowed
        for figure in (egg.cutoff_c, egg.upper_limit_c, egg.spread, egg.base_sd_c, egg.constant_sd, egg.too_cold_c)
    )


# 8 and 2 of a Beta distribution: its mean.
def test_the_share_that_hatches_is_of_eight_in_ten():
    assert egg_figures.HATCH_SUCCESS.value == pytest.approx(8 / 10)
