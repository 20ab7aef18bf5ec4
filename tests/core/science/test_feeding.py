"""How much dry feed crickets eat."""

import pytest

from core.science.feeding import ADULT_A_DAY, FEED_PER_GAIN, eaten_by_hatched_g, eaten_g
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS, SURVIVAL_TO_ADULT
from core.science.ranges import OutOfRangeError

SHARES = [n / 50 for n in range(51)]
ALL_ALONG = SURVIVAL_TO_14_DAYS.value * SURVIVAL_TO_ADULT.value


def test_feed_for_gain_is_what_was_published():
    # Bawa M. et al. 2020, J. Insect Sci. 20(2): 1.50 and 1.51 on 22 % protein, 1.73 mixed, 1.81 on 16 %.
    assert pytest.approx(1.505, abs=0.006) == FEED_PER_GAIN.value
    # Morales-Ramos et al. 2018, 10.3920/JIFF2017.0062: 20 to 22 % of the dry feed becomes cricket in weeks 1 to 7 at
    # 27 C; a live cricket is about 30 % dry matter.
    assert pytest.approx(0.30 / 0.21, abs=0.08) == FEED_PER_GAIN.value


def test_a_cricket_at_harvest_has_eaten_what_was_published():
    # Nakagaki and DeFoliart 1991: 0.443 g live with 0.923 g of feed a gram; Bawa et al. 2020: up to 1.81 g a gram.
    assert 0.443 * 0.923 < eaten_g(1.0) < 0.443 * 1.81


def test_who_just_hatched_has_eaten_nothing_and_nobody_ever_gives_feed_back():
    assert eaten_g(0.0) == eaten_by_hatched_g(0.0) == 0.0
    for eaten in (eaten_g, eaten_by_hatched_g):
        amounts = [eaten(share) for share in SHARES]
        assert amounts == sorted(set(amounts))


def test_those_that_die_eat_less_than_the_living_and_more_than_nothing():
    for share in SHARES[1:]:
        assert ALL_ALONG * eaten_g(share) < eaten_by_hatched_g(share) < eaten_g(share)


def test_half_of_the_feed_is_eaten_in_the_last_instar():
    # The last of the nymphs' instars, from 80 % of the development on, more than doubles the mass.
    assert eaten_g(1.0) - eaten_g(0.8) == pytest.approx(0.5 * eaten_g(1.0), rel=0.15)


def test_a_grown_cricket_eats_less_a_day_than_one_about_to_be_grown():
    assert 0 < ADULT_A_DAY.value < 8.8 * (eaten_g(1.0) - eaten_g(0.8))  # 8.8 days of the last instar, at 30 C


@pytest.mark.parametrize("share", [-0.01, 1.01, float("nan")])
def test_a_share_that_cannot_be_is_refused(share):
    with pytest.raises(OutOfRangeError):
        eaten_g(share)
