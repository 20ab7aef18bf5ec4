"""Numbers alive by day."""

import math

import msgspec
import numpy as np
import pytest

from core.science import population
from core.science.estimates import lognormal
from core.science.hatch_success import HatchSuccess
from core.science.population import Cohort, project
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.units import SizeGrade

HOUSE = species(SpeciesName.HOUSE)
DAYS = 90
EGG_RATE, NYMPH_RATE = 16.2, 13.25  # degree-days a day: eggs take 10 days, nymphs 40


def a_cohort(**changes):
    given = {
        "start": lognormal(1000.0, 0.0),
        "egg_degree_days": np.full(DAYS, EGG_RATE),
        "nymph_degree_days": np.full(DAYS, NYMPH_RATE),
    }
    return Cohort(**{**given, **changes})


def likely(projection, grade):
    return projection.sizes[grade].likely


def test_eggs_hatch_around_their_thermal_constant():
    eggs = project([a_cohort()], HOUSE).eggs.likely

    assert eggs[0] == eggs[6] == pytest.approx(1000.0)
    assert eggs[10] == pytest.approx(500.0, rel=0.02)
    assert eggs[20] == pytest.approx(0.0, abs=0.5)


def test_sizes_peak_one_after_the_other():
    got = project([a_cohort()], HOUSE)

    peaks = [int(likely(got, grade).argmax()) for grade in list(SizeGrade)[:-1]]
    assert peaks == sorted(set(peaks))
    assert peaks[-1] == pytest.approx(50 + 8, abs=4)  # the adults: most have moulted by then


def test_an_inch_and_adult_are_the_same_crickets():
    got = project([a_cohort()], HOUSE)

    assert set(got.sizes) == set(SizeGrade)
    assert got.sizes[SizeGrade.INCH] is got.sizes[SizeGrade.ADULT]


def test_none_are_there_before_the_cohort_is():
    got = project([a_cohort(day=4.5)], HOUSE)

    assert got.eggs.most[:5].max() == 0.0
    assert got.eggs.least[5] == pytest.approx(1000.0)
    assert got.alive.most[:5].max() == 0.0


def test_pinheads_need_not_hatch_first():
    got = project([a_cohort(is_hatched=True)], HOUSE)

    assert got.eggs.most.max() == 0.0
    assert likely(got, SizeGrade.PINHEAD)[0] == pytest.approx(1000.0, rel=0.03)


@pytest.mark.parametrize("name", ["least", "likely", "most"])
def test_the_crickets_alive_never_get_more_once_all_are_hatched(name):
    alive = getattr(project([a_cohort()], HOUSE).alive, name)

    assert np.all(np.diff(alive[25:]) <= 1e-6)
    assert alive[-1] > 0


def test_half_of_the_adults_are_dead_after_their_half_life():
    warm = np.full(200, NYMPH_RATE)
    adults = likely(
        project([a_cohort(is_hatched=True, egg_degree_days=warm, nymph_degree_days=warm)], HOUSE), SizeGrade.ADULT
    )

    assert adults[145] / adults[100] == pytest.approx(0.5, rel=0.03)


def test_a_day_of_moults_is_half_a_day_old_at_its_end():
    adults = population._adults(np.array([[0.0, 1.0, 1.0]]), np.array([[1.0]]))

    assert adults[0] == pytest.approx([0.0, 2**-0.5, 2**-1.5])


def test_how_long_adults_live_is_known_the_less_the_older_they_are():
    warm = np.full(200, NYMPH_RATE)
    got = project([a_cohort(is_hatched=True, egg_degree_days=warm, nymph_degree_days=warm)], HOUSE)

    adults = got.sizes[SizeGrade.ADULT]
    young, old = (np.log(adults.most[day] / adults.least[day]) for day in (70, 190))
    assert old > 1.25 * young


def test_eggs_that_hatch_one_by_one_spread_every_size():
    egg = msgspec.structs.replace(HOUSE.egg, spread=msgspec.structs.replace(HOUSE.egg.spread, value=0.3))
    motley = msgspec.structs.replace(HOUSE, egg=egg)

    together, apart = (likely(project([a_cohort()], kind), SizeGrade.QUARTER) for kind in (HOUSE, motley))

    assert apart.max() < 0.9 * together.max()
    assert np.count_nonzero(apart > 20) > np.count_nonzero(together > 20)


def test_the_cold_holds_eggs_and_crickets_where_they_are():
    cold = np.zeros(DAYS)
    got = project([a_cohort(egg_degree_days=cold, nymph_degree_days=cold)], HOUSE)

    assert got.eggs.least[-1] == pytest.approx(1000.0)
    assert got.alive.most[-1] == pytest.approx(0.0, abs=1e-3)


def test_eggs_may_lie_where_nymphs_would_not_grow():
    nymphs = np.where(np.arange(DAYS) < 15, 0.0, NYMPH_RATE)
    got = project([a_cohort(nymph_degree_days=nymphs)], HOUSE)

    assert got.eggs.most[15] == pytest.approx(0.0, abs=1.0)
    assert likely(got, SizeGrade.PINHEAD)[15] == pytest.approx(800.0, rel=0.05)
    assert likely(got, SizeGrade.ADULT)[63] > likely(got, SizeGrade.ADULT)[50]


def test_what_a_farm_has_seen_hatch_moves_its_numbers():
    usual, poor = (
        project([a_cohort(hatch=hatch)], HOUSE).alive.likely[20]
        for hatch in (None, HatchSuccess(hatched=40, failed=60))
    )

    assert poor / usual == pytest.approx(0.4 / 0.8, rel=0.03)


def test_a_crowded_cohort_ends_with_fewer():
    free, crowded = (project([a_cohort(area_cm2=area)], HOUSE).alive.likely[60] for area in (1e5, 1000.0))

    assert crowded < 0.8 * free


def test_the_interval_widens_with_what_is_not_known_of_the_start():
    known, guessed = (project([a_cohort(start=lognormal(1000.0, sd))], HOUSE).alive for sd in (0.0, 0.6))

    assert guessed.likely[40] == pytest.approx(known.likely[40], rel=0.05)
    assert guessed.least[40] < known.least[40]
    assert guessed.most[40] > known.most[40]


def test_many_cohorts_are_better_known_than_one_of_their_size():
    one = project([a_cohort(start=lognormal(9000.0, 0.5))], HOUSE).alive
    nine = project([a_cohort(start=lognormal(1000.0, 0.5))] * 9, HOUSE).alive

    width_of_one, width_of_nine = (np.log(band.most[40] / band.least[40]) for band in (one, nine))
    assert width_of_nine == pytest.approx(width_of_one / 3, rel=0.2)  # as a third, where errors are small


def test_it_is_the_same_each_time():
    first, second = (project([a_cohort(area_cm2=900.0)], HOUSE).alive.most for _ in range(2))

    assert np.array_equal(first, second)


@pytest.mark.parametrize("name", SpeciesName)
def test_every_species_can_be_projected(name):
    alive = project([a_cohort()], species(name)).alive

    assert 100 < alive.likely[40] < 1000


def test_no_eggs_give_no_crickets():
    got = project([a_cohort(start=lognormal(0.0, 0.5))], HOUSE)

    assert (got.eggs.most.max(), got.alive.most.max()) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"egg_degree_days": np.array([1.0, 2.0])}, "days of nymph degree-days"),
        ({"egg_degree_days": np.full(DAYS, math.nan)}, r"egg degree-days of a day \[degree-days C\] is nan"),
        ({"nymph_degree_days": np.full(DAYS, -1.0)}, r"nymph degree-days of a day \[degree-days C\] is -1"),
        ({"nymph_degree_days": np.ones((DAYS, 2))}, "days of nymph degree-days"),
        ({"egg_degree_days": np.array([]), "nymph_degree_days": np.array([])}, "days of warmth"),
        ({"day": DAYS + 1.0}, "start of the cohort"),
        ({"day": math.nan}, r"start of the cohort \[d\] is nan"),
        ({"area_cm2": 0.0}, "area of the cohort"),
    ],
)
def test_an_absurd_cohort_is_refused(changes, message):
    with pytest.raises(OutOfRangeError, match=message):
        a_cohort(**changes)


def test_no_cohort_at_all_is_refused():
    with pytest.raises(OutOfRangeError, match="number of cohorts"):
        project([], HOUSE)


def test_cohorts_of_different_days_are_refused():
    short = a_cohort(egg_degree_days=np.ones(5), nymph_degree_days=np.ones(5))

    with pytest.raises(OutOfRangeError, match=r"days of warmth .* is 5, must be 90, as of the first cohort"):
        project([a_cohort(), short], HOUSE)
