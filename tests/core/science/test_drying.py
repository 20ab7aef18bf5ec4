"""How fast tubs dry, and how that is learned. The rules of practice that it must meet are in tests/outside."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from core.science.drying import (
    LONGEST_HOURS,
    Inspection,
    Wetness,
    hours_to_dry,
    learned_drying,
    tub_evaporation,
    water_reserve,
)
from core.science.ranges import OutOfRangeError

EXPECTED_HOURS = 24.0
WET_TOO_LATE = Inspection(hours=4 * EXPECTED_HOURS, expected_hours=EXPECTED_HOURS, found=Wetness.WET)
DRY_TOO_SOON = Inspection(hours=EXPECTED_HOURS / 12, expected_hours=EXPECTED_HOURS, found=Wetness.DRY)


def simulated(multiplier, number, generator):
    """What a farm finds that looks at its tubs at any time up to twice the time expected."""
    ratios = generator.uniform(0.2, 2, number)
    noises = generator.normal(0, 0.3, number)
    return [
        Inspection(hours=ratio * EXPECTED_HOURS, expected_hours=EXPECTED_HOURS, found=as_found(multiplier * noisy))
        for ratio, noisy in zip(ratios, ratios * np.exp(noises), strict=True)
    ]


def as_found(share_of_its_time):
    if share_of_its_time >= 1:
        return Wetness.DRY
    return Wetness.WET if share_of_its_time < 0.5 else Wetness.DAMP


def found_by_search(inspections):
    """The highest of a fine grid, with another library's normal distribution."""
    grid = np.linspace(-3, 3, 6001)
    height = norm.logpdf(grid, 0, 0.5)
    for look in inspections:
        middle = grid + math.log(look.hours / look.expected_hours)
        low, high = {"wet": (-np.inf, math.log(0.5)), "damp": (math.log(0.5), 0), "dry": (0, np.inf)}[look.found]
        chance = norm.cdf((high - middle) / 0.3) - norm.cdf((low - middle) / 0.3)
        height += np.log(0.95 * chance + 0.05 / 3)
    return grid[np.argmax(height)]


# 2.5 cm x 0.15 g/cm3 x (1 - 2/3) = 0.125 g/cm2.
def test_the_layer_of_the_eggs_gives_a_millimeter_and_a_quarter():
    assert water_reserve() == pytest.approx(1.25)
    assert water_reserve(depth_cm=30) == pytest.approx(1.25)
    assert water_reserve(depth_cm=1) == pytest.approx(0.5)


def test_more_is_left_the_wetter_it_was_and_the_drier_it_may_become():
    assert water_reserve(moisture=60) == pytest.approx(2.5 * 0.15 * (1.5 - 2 / 3) * 10)
    assert water_reserve(wanted=20) == pytest.approx(2.5 * 0.15 * (1 - 0.25) * 10)


def test_what_is_dry_already_wants_water_now():
    assert water_reserve(moisture=35) == 0
    assert hours_to_dry(30, 100, moisture=35) == 0


@given(temp_c=st.floats(-30, 60), rh=st.floats(0, 100), share=st.floats(0, 1))
def test_any_air_has_a_time_and_a_cover_makes_it_longer(temp_c, rh, share):
    open_hours = hours_to_dry(temp_c, rh, cooling_share=share)
    covered = hours_to_dry(temp_c, rh, cooling_share=share, is_covered=True)

    assert 0 < open_hours <= covered <= LONGEST_HOURS
    assert covered == pytest.approx(min(7 * open_hours, LONGEST_HOURS))


def test_a_cooler_surface_gives_less():
    rates = [tub_evaporation(32, 40, cooling_share=share) for share in (0, 0.38, 0.7, 1)]

    assert rates == sorted(rates, reverse=True)
    assert rates[-1] > 0


@pytest.mark.parametrize("factor", [0.5, 2])
def test_a_farms_multiplier_makes_the_time_shorter_by_as_much(factor):
    assert hours_to_dry(30, 60, drying=factor) == pytest.approx(hours_to_dry(30, 60) / factor)


def test_saturated_air_dries_nothing_within_a_month():
    assert hours_to_dry(30, 100) == LONGEST_HOURS


def test_no_findings_are_the_prior():
    nothing = learned_drying([])

    assert (nothing.multiplier, nothing.sd_log) == (1, 0.5)


@pytest.mark.parametrize("multiplier", [0.5, 0.8, 1.25, 2])
def test_a_known_multiplier_is_found_again(multiplier):
    learned = learned_drying(simulated(multiplier, 60, np.random.default_rng(7)))

    assert learned.multiplier == pytest.approx(multiplier, rel=0.15)
    assert learned.sd_log < 0.12


# 89 % with these; a count of 400 is 90 % within 3 % two times in three.
@pytest.mark.parametrize("number", [3, 10])
def test_nine_of_ten_farms_lie_in_the_interval_of_nine_in_ten(number):
    generator = np.random.default_rng(0)
    inside = 0
    for _ in range(400):
        log_multiplier = generator.normal(0, 0.5)
        learned = learned_drying(simulated(math.exp(log_multiplier), number, generator))
        inside += abs(math.log(learned.multiplier) - log_multiplier) < 1.645 * learned.sd_log

    assert 0.85 <= inside / 400 <= 0.95


@pytest.mark.parametrize("number", [1, 3, 10, 40])
def test_the_mode_is_the_one_that_a_search_finds(number):
    for seed in range(10):
        generator = np.random.default_rng(seed)
        found = [*simulated(math.exp(generator.normal(0, 0.5)), number, generator), WET_TOO_LATE]

        assert math.log(learned_drying(found).multiplier) == pytest.approx(found_by_search(found), abs=0.001)


@pytest.mark.parametrize("absurd", [WET_TOO_LATE, DRY_TOO_SOON], ids=["wet too late", "dry too soon"])
@pytest.mark.parametrize("multiplier", [0.6, 1, 1.6])
def test_one_absurd_finding_among_eleven_changes_nothing(multiplier, absurd):
    for seed in range(20):
        sound = simulated(multiplier, 10, np.random.default_rng(seed))

        with_it, without = learned_drying([*sound, absurd]), learned_drying(sound)

        assert with_it.multiplier == pytest.approx(without.multiplier, rel=0.01)


def test_what_is_absurd_once_is_believed_when_it_goes_on():
    once, four_times = (learned_drying([DRY_TOO_SOON] * number) for number in (1, 4))

    assert once.multiplier == pytest.approx(1, rel=0.01)
    assert four_times.multiplier > 3


inspections = st.builds(
    Inspection, hours=st.floats(0, 1e5), expected_hours=st.floats(0.01, 720), found=st.sampled_from(Wetness)
)


@given(found=st.lists(inspections, max_size=12))
def test_no_findings_break_it_nor_make_it_less_sure(found):
    learned = learned_drying(found)

    assert 0.01 <= learned.multiplier <= 100  # what hours_to_dry takes
    assert 0 < learned.sd_log <= 0.5 + 1e-9


@given(found=st.lists(inspections, max_size=6))
def test_the_order_of_the_findings_does_not_matter(found):
    assert learned_drying(found[::-1]).multiplier == pytest.approx(learned_drying(found).multiplier, rel=1e-4)


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        (lambda: hours_to_dry(30, 101), r"humidity \[%\] is 101, must be from 0 to 100"),
        (lambda: hours_to_dry(86, 50), r"air temperature \[C\] is 86"),
        (lambda: hours_to_dry(30, 50, depth_cm=-1), r"depth of the substrate \[cm\] is -1, must be from 0 to 60"),
        (lambda: hours_to_dry(30, 50, moisture=100), r"moisture \[%\] is 100, must be from 0 to 95"),
        (lambda: hours_to_dry(30, 50, wanted=math.nan), r"moisture to water at \[%\] is nan"),
        (lambda: hours_to_dry(30, 50, drying=0), r"drying multiplier \[1\] is 0, must be from 0.01 to 100"),
        (lambda: hours_to_dry(30, 50, cooling_share=1.2), r"cooling share \[1\] is 1.2, must be from 0 to 1"),
        (
            lambda: learned_drying([Inspection(hours=-1, expected_hours=24, found=Wetness.DRY)]),
            r"hours since the last watering \[h\] is -1, must be at least 0",
        ),
        (
            lambda: learned_drying([Inspection(hours=5, expected_hours=0, found=Wetness.DRY)]),
            r"hours expected to dry \[h\] is 0, must be above 0",
        ),
    ],
)
def test_a_wrong_number_is_named(wrong, message):
    with pytest.raises(OutOfRangeError, match=message):
        wrong()
