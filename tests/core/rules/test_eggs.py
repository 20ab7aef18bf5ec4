"""How many eggs a tub holds."""

import pytest

from core.journal.kinds import Density, Holds
from core.rules.eggs import clutch_of, container_cm2
from tests.builders import a_bin, a_climate, a_farm, a_tub, settings

ADULTS = a_bin(holds=Holds.ADULTS, count=150)


def eggs(*things, **tub):
    made = a_tub(**tub)
    return clutch_of(a_farm(made, *things), made)


def test_more_crickets_lay_more():
    few, many = (eggs(a_bin(holds=Holds.ADULTS, count=count)) for count in (50, 500))

    assert few.eggs.likely < many.eggs.likely
    assert few.eggs.least < few.eggs.likely < few.eggs.most
    assert few.pinheads.likely < few.eggs.likely


@pytest.mark.parametrize(
    "house",
    [
        pytest.param(a_bin(), id="nobody said what is in the bin"),
        pytest.param(a_bin(holds=Holds.ADULTS), id="nobody said how many"),
        pytest.param(a_bin(holds=Holds.PINHEADS, count=900), id="pinheads lay no eggs"),
        pytest.param(a_bin("B9"), id="the bin is not known"),
    ],
)
def test_without_knowing_who_laid_or_what_was_seen_there_is_no_number(house):
    assert eggs(house) is None


def test_what_was_seen_of_the_eggs_counts_with_and_without_the_crickets():
    seen = [eggs(ADULTS, density=density).eggs.likely for density in (Density.FEW, Density.SOME, Density.MANY)]

    assert seen == sorted(seen)
    assert seen[0] < eggs(ADULTS).eggs.likely < seen[2]
    assert eggs(a_bin(), density=Density.MANY).eggs.likely > eggs(a_bin(), density=Density.FEW).eggs.likely


def test_a_cold_bin_lays_less():
    steady, swinging = (
        a_bin(holds=Holds.ADULTS, count=150, readings=(a_climate(**figures),))
        for figures in ({"temp_c": 20.0}, {"low_c": 16.0, "high_c": 24.0})
    )

    assert eggs(steady).eggs.likely < eggs(ADULTS).eggs.likely / 2
    assert eggs(swinging) == eggs(steady)


def test_a_longer_lay_wants_a_bigger_container():
    usual, long = (container_cm2(a_farm(settings=settings(lay_hours=hours)), 100.0) for hours in (24.0, 48.0))

    assert usual < long
    assert container_cm2(a_farm(), 0.0) == 0
