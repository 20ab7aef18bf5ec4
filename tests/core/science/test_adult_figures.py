"""The figures of grown crickets."""

import math

import pytest

from core.science import adult_figures
from core.science.figures import Mark

of_both = pytest.mark.parametrize("adult", [adult_figures.HOUSE, adult_figures.OTHERS], ids=["house", "others"])


@of_both
def test_a_life_goes_in_order(adult):
    assert 0 < adult.first_chirp_days.value < adult.first_lay_days.value
    assert adult.first_lay_days.value + adult.laying_days.value <= adult.half_life_days.value


@of_both
def test_warmth_for_eggs_stands_in_order(adult):
    assert adult.no_eggs_c.value < adult.full_from_c.value < adult.full_to_c.value


# Tasee et al.: 1,059 eggs by night and 688 by day; 856 in nine good days, which is within two standard deviations.
def test_eggs_are_those_of_the_source():
    adult = adult_figures.HOUSE

    assert adult.night_share.value == pytest.approx(1059 / (1059 + 688), abs=0.005)
    assert adult.night_share.mark is Mark.READ
    assert adult.eggs_a_day.value * math.exp(2 * adult.eggs_a_day_sd.value) > 856 / 9


def test_other_species_are_like_the_house_cricket_and_say_so():
    for name in adult_figures.HOUSE.__struct_fields__:
        own, theirs = getattr(adult_figures.HOUSE, name), getattr(adult_figures.OTHERS, name)
        assert theirs.value == own.value
        assert (own.is_borrowed, theirs.is_borrowed) == (False, True)
