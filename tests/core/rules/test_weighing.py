"""How many crickets a mass of them is."""

import pytest

from core.farm.fold import fold
from core.journal import facts
from core.rules.weighing import each_g, mass_of
from core.units import SizeGrade
from tests.builders import NOON, a_journal, after


def test_a_grown_cricket_weighs_what_was_published():
    # Nakagaki and DeFoliart 1991, J. Econ. Entomol. 84:891-896: 0.418 and 0.443 g at harvest as 8th instar, near grown.
    assert mass_of(SizeGrade.ADULT) == pytest.approx(0.43, rel=0.12)


def test_three_crickets_of_the_last_stage_before_adult_weigh_a_gram():
    # Common practice: a grower's test of 2018 counted about 3 crickets a gram in the last stage before adult.
    assert 1 / mass_of(SizeGrade.THREE_QUARTERS) == pytest.approx(3, rel=0.25)


def test_each_grade_weighs_more_than_the_one_before():
    masses = [mass_of(size) for size in SizeGrade]

    assert masses == sorted(masses)


@pytest.mark.parametrize(
    ("journal", "least", "most"),
    [
        pytest.param([facts.Stocked(bin="B4", count=500)], 0.02, 0.12, id="four weeks old"),
        pytest.param([facts.Adults(bin="B4")], 0.35, 0.45, id="adults"),
        pytest.param([(facts.Sized(bin="B4", size=SizeGrade.HALF), after(days=28))], 0.08, 0.2, id="half an inch"),
        pytest.param([facts.Sized(bin="B4", size=SizeGrade.HALF)], 0.2, 0.45, id="half an inch four weeks ago"),
    ],
)
def test_a_cricket_of_a_bin_weighs_by_what_is_known_of_it(journal, least, most):
    farm = fold(a_journal(*journal))

    assert least < each_g(farm, farm.bins["B4"], after(days=28)) < most


def test_of_a_bin_that_nobody_told_of_nothing_is_known():
    farm = fold(a_journal(facts.Fed(bins=("B4",))))

    assert each_g(farm, farm.bins["B4"], NOON) is None
