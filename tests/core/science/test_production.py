import pytest
from msgspec.structs import replace

from core.science.production import Demand, LayingBin, Works
from core.science.ranges import OutOfRangeError
from tests.core.science.farmed import DAYS, works


def test_only_ages_with_a_good_part_of_the_best_share_are_of_use():
    farm = works(counts=(100.0,), dues=(40,))
    demand = farm.demands[0]

    assert [farm.share(demand, day) for day in (6, 7, 8, 9, 10, 11)] == pytest.approx([0.0, 0.05, 0.1, 0.1, 0.05, 0.0])
    assert farm.tray_days(demand) == (7, 10)


def test_a_grade_that_nothing_grows_to_has_no_tray_days():
    farm = replace(works(counts=(100.0,), dues=(40,)), shares=((0.0,) * 50,))

    assert farm.tray_days(farm.demands[0]) is None


@pytest.mark.parametrize(
    "change",
    [
        {"demands": (Demand(day=40, grade=0, count=0.0),)},
        {"demands": (Demand(day=DAYS, grade=0, count=10.0),)},
        {"demands": (Demand(day=40, grade=3, count=10.0),)},
        {"empty": (0.0,) * 3},
        {"bins": (LayingBin(eggs=(0.0,) * 3, stock=(0.0,), kept_until=1, free_from=1),)},
        {"lay_days": 0},
        {"eggs_a_bin": 0.0},
    ],
    ids=["none wanted", "too far off", "no such grade", "empty bins", "laying bin", "no lay", "no room"],
)
def test_what_cannot_be_is_refused(change):
    with pytest.raises(OutOfRangeError):
        replace(works(counts=(100.0,), dues=(40,)), **change)


def test_works_may_be_without_anything():
    farm = Works(
        days=5, demands=(), shares=((0.0,) * 3,), bins=(), hatch_age=2, eggs_a_bin=5.0, empty=(0.0,) * 5
    )  # fmt: skip

    assert farm.demands == ()
