"""The share of eggs that hatch, and what counted hatches teach."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.estimates import lognormal
from core.science.hatch_success import CountedHatch, HatchSuccess, learned, pinheads_to_expect, prior
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species

PRIOR = HatchSuccess(hatched=8.0, failed=2.0)


def a_hatch(eggs=1000.0, pinheads=400.0, sd=0.0):
    return CountedHatch(eggs=lognormal(eggs, sd), pinheads=pinheads)


@pytest.mark.parametrize("name", SpeciesName)
def test_before_any_hatch_a_species_weighs_ten_eggs(name):
    belief = prior(species(name).hatch_success)

    assert belief.hatched + belief.failed == 10.0
    assert belief.share == pytest.approx(species(name).hatch_success.value)


def test_a_few_counted_eggs_are_taken_at_nearly_their_number():
    got = learned(PRIOR, [a_hatch(eggs=3.0, pinheads=3.0)])

    assert (got.hatched, got.failed) == (pytest.approx(8 + 1 / (1 / 3 + 1 / 30)), 2.0)


def test_a_thousand_tubs_worth_of_eggs_weigh_no_more_than_a_tub():
    got = learned(PRIOR, [a_hatch(eggs=1e6, pinheads=5e5)])

    assert got.hatched + got.failed == pytest.approx(40.0, abs=0.01)


def test_eggs_that_were_only_estimated_teach_less_than_counted_ones():
    guessed, counted = (learned(PRIOR, [a_hatch(sd=sd)]) for sd in (0.4, 0.0))

    assert 0.7 < guessed.share < PRIOR.share
    assert counted.share < 0.55


@given(pinheads=st.lists(st.floats(0.0, 1500.0), min_size=1, max_size=6), sd=st.floats(0.0, 1.0))
def test_the_order_of_the_hatches_does_not_matter(pinheads, sd):
    hatches = [a_hatch(pinheads=number, sd=sd) for number in pinheads]

    there, back = learned(PRIOR, hatches), learned(PRIOR, hatches[::-1])

    assert there.hatched == pytest.approx(back.hatched)
    assert 0 < there.share < 1


def test_more_pinheads_than_eggs_were_guessed_count_as_all_of_them():
    assert learned(PRIOR, [a_hatch(pinheads=1e9)]) == learned(PRIOR, [a_hatch(pinheads=1000.0)])


def test_the_share_of_a_farm_is_found_from_its_tubs():
    chance = np.random.default_rng(1)
    shares = chance.beta(0.6 * 30, 0.4 * 30, 40)
    hatches = [a_hatch(pinheads=chance.binomial(1000, share)) for share in shares]

    got = learned(PRIOR, hatches)

    # 40 tubs that differ by 0.09 tell their mean to 0.014; three of those, and what is left of the prior
    assert got.share == pytest.approx(0.6, abs=0.05)
    assert got.tub_sd == pytest.approx(math.sqrt(0.24 / 31), rel=0.05)


def test_never_more_pinheads_than_there_may_be_eggs():
    pinheads = pinheads_to_expect(lognormal(500.0, 0.0), PRIOR)

    assert pinheads.most == 500.0
    assert pinheads.least < pinheads.likely == 400.0


def test_no_eggs_no_pinheads():
    assert pinheads_to_expect(lognormal(0.0, 0.4), PRIOR).most == 0.0


@pytest.mark.parametrize(
    ("hatch", "message"),
    [
        (a_hatch(eggs=0.0), "eggs of a hatch .* is 0, must be above 0"),
        (a_hatch(pinheads=-1.0), "pinheads .* is -1, must be at least 0"),
        (a_hatch(pinheads=math.nan), "pinheads .* is nan"),
    ],
)
def test_an_absurd_count_is_refused(hatch, message):
    with pytest.raises(OutOfRangeError, match=message):
        learned(PRIOR, [hatch])


def test_a_belief_that_leaves_nothing_open_is_refused():
    with pytest.raises(OutOfRangeError, match="eggs failed"):
        HatchSuccess(hatched=8.0, failed=0.0)
