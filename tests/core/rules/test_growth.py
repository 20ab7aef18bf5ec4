"""How far the crickets of a bin have grown."""

import datetime as dt

import pytest

from core.journal.kinds import Holds
from core.rules.growth import BIN_C, growth_of, hatched, hatched_by_size, taught_by_sizes
from core.science.species import species
from core.units import SizeGrade
from tests.builders import NOON, a_bin, a_climate, a_farm, a_tub, after

USUAL = species("house").nymph.thermal_constant.value
WARM = (a_climate(NOON, temp_c=30.0),)


def growth(now, *things, **fields):
    house = a_bin(**({"holds": Holds.PINHEADS, "hatched_at": NOON, "readings": WARM} | fields))
    return growth_of(a_farm(house, *things), house, now)


def test_crickets_grow_through_the_sizes():
    sizes = [growth(after(days=days)).body.size for days in (1, 15, 30, 43)]

    assert sizes == sorted(set(sizes), key=list(SizeGrade).index)
    assert growth(after(days=1)).adult.earliest < growth(after(days=1)).adult.latest


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"hatched_at": None}, id="nobody said since when"),
        pytest.param({"holds": Holds.ADULTS}, id="grown"),
        pytest.param({"hatched_at": after(days=9)}, id="not hatched yet"),
    ],
)
def test_a_bin_without_growing_crickets_has_no_growth(fields):
    assert growth(after(days=5), **fields) is None


def test_a_bin_without_a_thermometer_is_assumed_to_be_warm():
    found = growth(after(days=10), readings=())

    assert found.is_assumed
    assert found.body.size is growth(after(days=10), readings=(a_climate(NOON, temp_c=BIN_C),)).body.size
    assert not growth(after(days=10)).is_assumed


def test_where_it_stays_too_cold_nobody_gets_wings():
    assert growth(after(days=10), readings=(a_climate(NOON, temp_c=10.0),)).adult is None


def test_the_hatch_of_the_tubs_counts_before_the_day_of_stocking():
    tub = a_tub(hatch_at=after(days=-3))
    house = a_bin(hatched_at=NOON, from_tubs=("T1", "T9"))

    assert hatched(a_farm(house, tub), house) == after(days=-3)
    assert hatched(a_farm(house), house) == NOON


def test_what_is_read_or_seen_later_changes_the_growth_at_once():
    known = growth(after(days=20)).body.share
    warmer = growth(after(days=20), readings=(*WARM, a_climate(after(days=2), temp_c=34.0))).body.share
    seen_small = growth(after(days=20), sizes=((after(days=19), SizeGrade.EIGHTH),)).body.share

    assert seen_small < known < warmer
    assert growth(after(days=20)).body.share == known


class TestLearning:
    def taught(self, *sizes):
        return taught_by_sizes(a_farm(a_bin(hatched_at=NOON, readings=WARM, sizes=sizes)))

    def test_sizes_seen_late_make_the_crickets_slower(self):
        late = self.taught((after(days=30), SizeGrade.QUARTER), (after(days=60), SizeGrade.ADULT))
        early = self.taught((after(days=10), SizeGrade.QUARTER))

        assert early.constant < USUAL < late.constant

    def test_of_adults_only_the_first_teach(self):
        first = (after(days=40), SizeGrade.ADULT)

        assert self.taught(first).seen == 1
        assert self.taught(first, (after(days=60), SizeGrade.ADULT)).seen == 1

    def test_what_was_seen_before_the_hatch_is_of_others(self):
        assert self.taught((after(days=-1), SizeGrade.HALF)).seen == 0

    def test_a_bin_teaches_the_others(self):
        teacher = a_bin("B2", hatched_at=NOON, readings=WARM, sizes=((after(days=33), SizeGrade.QUARTER),))

        assert growth(after(days=9), teacher).adult.likely > growth(after(days=9)).adult.likely + dt.timedelta(days=1)


def test_crickets_of_unknown_age_are_as_old_as_their_first_size():
    assert 30 < (NOON - hatched_by_size(a_bin(sizes=((NOON, SizeGrade.HALF),)))).days < 45
    assert hatched_by_size(a_bin(sizes=((NOON, SizeGrade.ADULT),))) is None
