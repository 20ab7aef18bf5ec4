"""The figures of growing crickets."""

from itertools import pairwise

import numpy as np
import pytest

from core.science import nymph_figures
from core.science.nymph_figures import CROWDING, INSTARS
from core.science.stage import Stage, response

NYMPHS = {name: value for name, value in vars(nymph_figures).items() if isinstance(value, Stage)}


@pytest.mark.parametrize("nymph", NYMPHS.values(), ids=NYMPHS.keys())
def test_the_limits_stand_in_order(nymph):
    assert nymph.base_temp_c.value < nymph.tested_from_c.value < nymph.cutoff_c.value
    assert nymph.cutoff_c.value < nymph.falls_from_c.value < nymph.upper_limit_c.value
    assert nymph.too_cold_c.value < nymph.base_temp_c.value + nymph.least_rate.value < nymph.tested_from_c.value


# Worked out beforehand from 530 degree-days above 18 C, to the whole day; at 18 C the 150 days that are left of
# 200 from egg to adult.
@pytest.mark.parametrize(
    ("temp_c", "days"), [(18, 150), (27, 59), (28, 53), (29, 48), (30, 44), (32.2, 37), (35, 31), (37, 31)]
)
def test_the_house_cricket_grows_up_in_the_days_worked_out_beforehand(temp_c, days):
    nymph = nymph_figures.HOUSE
    rate = response(nymph, [nymph.base_temp_c.value]).rate(np.array([[float(temp_c)]]))[0, 0]

    assert nymph.thermal_constant.value / rate == pytest.approx(days, abs=0.5)


def test_each_instar_begins_later_heavier_and_longer_by_the_same_step():
    assert [instar.number for instar in INSTARS] == list(range(1, 10))
    assert (INSTARS[0].starts_at, INSTARS[-1].starts_at) == (0, 1)
    assert (INSTARS[0].mass_mg, INSTARS[-1].mass_mg) == (0.8, 393)
    assert all(after.starts_at > before.starts_at for before, after in pairwise(INSTARS))
    for moults, instar in enumerate(INSTARS):
        assert instar.mass_mg == pytest.approx(0.8 * 2.17**moults, rel=0.025)  # to the digits kept
        assert instar.length_mm == pytest.approx(2.3 * 1.31**moults, rel=0.025)


def test_the_fourth_instar_begins_at_two_weeks_at_29_c():
    fourth = INSTARS[3]
    nymph = nymph_figures.HOUSE

    assert fourth.starts_at == nymph_figures.YOUNG_UNTIL
    assert fourth.starts_at * nymph.thermal_constant.value / (29 - nymph.base_temp_c.value) == pytest.approx(
        14, abs=0.1
    )


def test_fewer_live_the_more_are_crowded():
    densities, shares = zip(*CROWDING, strict=True)

    assert shares[0] == 1
    assert list(densities) == sorted(densities)
    assert list(shares) == sorted(shares, reverse=True)


def test_the_two_spotted_cricket_was_measured():
    nymph = nymph_figures.TWO_SPOTTED

    assert (nymph.base_temp_c.value, nymph.thermal_constant.value) == (16.2, 555.6)
    assert not nymph.base_temp_c.is_borrowed
