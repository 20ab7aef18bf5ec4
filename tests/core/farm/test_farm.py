"""The farm as it is known at one moment."""

import pytest

from core.farm.farm import KEPT_HATCHES, Readings, Tubs
from core.farm.orders import CustomerOrder, Orders
from core.journal.kinds import Chore
from core.units import SizeGrade
from tests.builders import NOON, a_bin, a_climate, a_farm, a_tub, after, an_asked


@pytest.mark.parametrize(
    ("taken", "expected"),
    [
        pytest.param([], "T1", id="the first"),
        pytest.param(["T1", "T7"], "T8", id="past the highest"),
        pytest.param(["B9", "T2"], "T3", id="numbers of bins do not count"),
        pytest.param(["nursery", "T", "T²", "Tx1"], "T1", id="nor do names without a number"),
    ],
)
def test_the_next_number_is_one_past_the_highest(taken, expected):
    assert a_farm(*map(a_tub, taken)).next_tub == expected


def test_a_farm_knows_its_next_tub_and_bin():
    farm = a_farm(a_tub("T4"), a_bin("B2"))

    assert (farm.next_tub, farm.next_bin) == ("T5", "B3")


def test_tubs_that_hatched_out_or_were_thrown_out_are_not_incubating():
    farm = a_farm(
        a_tub("T1"), a_tub("T2", hatch_done_at=NOON), a_tub("T3", emptied_at=NOON), a_tub("T4", hatch_at=NOON)
    )

    assert [tub.name for tub in farm.incubating()] == ["T1", "T4"]


def test_bins_with_a_tray():
    farm = a_farm(a_bin("B1"), a_bin("B2", tray_in_at=NOON))

    assert [house.name for house in farm.bins_with_tray()] == ["B2"]


def test_the_last_reminder_is_the_newest_by_time():
    farm = a_farm(an_asked(number=1, at=after(hours=1)), an_asked(Chore.PULL_TRAY, number=2))

    assert farm.last_asked.number == 1
    assert a_farm().last_asked is None


def test_readings_of_warmth_and_of_humidity_are_at_hand():
    warm, humid, low = a_climate(temp_c=30.0), a_climate(rh=80.0), a_climate(low_c=20.0)
    both, swing = a_climate(temp_c=30.0, rh=80.0), a_climate(low_c=20.0, high_c=30.0)

    for readings in (
        Readings((warm, humid, low, both, swing)), Readings((warm, humid)).extended((low, both)).extended((swing,))
    ):  # fmt: skip
        assert list(readings) == [warm, humid, low, both, swing]
        assert list(readings.warm) == [warm, both, swing]
        assert list(readings.humid) == [humid, both]


def test_customers_are_named_once_each():
    orders = [
        CustomerOrder(number=number, who=who, count=1, size=SizeGrade.ADULT, due=NOON.date(), every=None)
        for number, who in enumerate(("Dana", None, "Rio Herps", "Dana"))
    ]

    assert Orders(orders).customers == Orders(orders[:1]).extended(orders[1:]).customers == ("Dana", "Rio Herps")


def test_of_the_tubs_that_hatched_the_newest_are_at_hand():
    hatched = [a_tub(f"T{number}", hatch_at=after(days=number)) for number in range(1, KEPT_HATCHES + 3)]

    tubs = Tubs({tub.name: tub for tub in hatched})

    assert [tub.name for tub in tubs.hatched][:2] == ["T3", "T4"]
    assert len(tubs) == KEPT_HATCHES + 2
