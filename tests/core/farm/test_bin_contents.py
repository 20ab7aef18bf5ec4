"""What comes into bins and goes out of them."""

import pytest

from core.farm.fold import fold
from core.journal import facts
from core.journal.kinds import Holds
from core.units import SizeGrade
from tests.builders import NOON, a_journal, after

PINHEADS = (facts.Stocked(bin="B4", tubs=("T1",), count=1000), NOON)


def bins(*entries):
    return fold(a_journal(*entries)).bins


def test_a_bin_that_is_split_keeps_where_they_come_from():
    house = bins(PINHEADS, (facts.Moved(from_="B4", to="B5", count=400), after(days=10)))

    assert (house["B4"].count, house["B5"].count) == (600, 400)
    assert house["B5"].from_tubs == ("T1",)
    assert house["B5"].hatched_at == house["B4"].hatched_at == NOON
    assert house["B5"].holds is Holds.PINHEADS


def test_all_that_are_moved_leave_an_empty_bin():
    house = bins(PINHEADS, (facts.Moved(from_="B4", to="B5"), after(days=10)))

    assert (house["B4"].holds, house["B4"].cohorts, house["B4"].emptied_at) == (Holds.NOTHING, (), after(days=10))
    assert house["B5"].count == 1000


def test_two_ages_in_one_bin_stay_two_batches():
    second = (facts.Stocked(bin="B5", tubs=("T2",), count=300), after(days=5))
    house = bins(PINHEADS, second, (facts.Moved(from_="B5", to="B4"), after(days=6)))["B4"]

    assert [(c.tubs, c.count, c.hatched_at) for c in house.cohorts] == [
        (("T1",), 1000, NOON),
        (("T2",), 300, after(days=5)),
    ]
    assert (house.count, house.hatched_at, house.from_tubs) == (1300, NOON, ("T1", "T2"))


def test_the_dead_of_a_bin_are_written_off():
    house = bins(PINHEADS, (facts.Dead(bin="B4", count=30), after(days=2)))["B4"]

    assert (house.count, house.lost) == (970, 30)


def test_a_sale_out_of_a_bin_is_taken_out_of_it():
    sold = facts.Sold(who="Dana", count=200, size=SizeGrade.HALF, bin="B4", price_each=0.04)
    farm = fold(a_journal(PINHEADS, (sold, after(days=30))))

    assert (farm.bins["B4"].count, farm.bins["B4"].sold) == (800, 200)
    [sale] = farm.sales
    assert (sale.who, sale.count, sale.bin, sale.tubs, sale.price) == ("Dana", 200, "B4", ("T1",), pytest.approx(8.0))


@pytest.mark.parametrize("bin_", [pytest.param("B4", id="bin named"), pytest.param(None, id="no bin named")])
def test_what_was_taken_out_for_a_sale_is_not_taken_out_twice(bin_):
    taken = (facts.Harvested(bin="B4", count=200), after(days=30))
    farm = fold(a_journal(PINHEADS, taken, (facts.Sold(who="Dana", count=150, bin=bin_), after(days=30, hours=3))))

    assert (farm.bins["B4"].count, farm.bins["B4"].sold) == (800, 150)
    assert [(taken.count, taken.tubs) for taken in farm.bins["B4"].in_hand] == [(50, ("T1",))]
    assert farm.sales[0].tubs == ("T1",)


def test_what_was_taken_out_days_ago_is_not_what_is_sold_now():
    taken = (facts.Harvested(bin="B4", count=200), after(days=20))
    house = bins(PINHEADS, taken, (facts.Sold(count=150, bin="B4"), after(days=30)))["B4"]

    assert (house.count, [taken.count for taken in house.in_hand]) == (650, [200])


def test_grown_crickets_that_move_into_an_empty_bin_make_it_a_bin_of_adults():
    grown = facts.Moved(from_="B4", to="B9", count=200, size=SizeGrade.ADULT)

    assert bins(PINHEADS, (grown, after(days=50)))["B9"].holds is Holds.ADULTS


def test_a_bin_thrown_away_counts_what_it_held():
    house = bins(PINHEADS, (facts.Discarded(bin="B4"), after(days=3)))["B4"]

    assert (house.holds, house.count, house.discarded) == (Holds.NOTHING, None, 1000)


def test_moving_a_bin_into_itself_changes_nothing():
    assert bins(PINHEADS, (facts.Moved(from_="B4", to="B4", count=5), after(days=1)))["B4"].count == 1000
