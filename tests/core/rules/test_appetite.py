"""How much feed the crickets of a farm eat."""

import pytest

from core.farm.fold import fold
from core.journal import facts
from core.rules.appetite import Eater, eaten_between, eaters_of, uncounted
from core.rules.growth import BIN_C, growth_of
from core.science.feeding import ADULT_A_DAY, eaten_by_hatched_g, eaten_g
from core.units import SizeGrade
from tests.builders import NOON, a_journal, after

STOCKED = facts.Stocked(bin="B4", tubs=("T1",), count=1000)


def an_eater(share=0.0, **fields):
    defaults = {"path": ((NOON, share),), "a_day": 0.02, "count": 100}
    return Eater(**(defaults | fields))


def eaten(*journal, days=(0, 50)):
    eaters = eaters_of(fold(a_journal(*journal)))
    return eaten_between(eaters, after(days=days[0]), after(days=days[1]))


def test_until_they_are_grown_they_eat_what_science_says():
    assert an_eater().eaten_g(NOON, after(days=50)) == pytest.approx(100 * eaten_by_hatched_g(1.0))
    assert an_eater(is_counted_now=True).eaten_g(NOON, after(days=25)) == pytest.approx(100 * eaten_g(0.5))


def test_what_is_eaten_on_two_days_is_the_sum_of_both():
    eater = an_eater()
    parts = [eater.eaten_g(after(days=n), after(days=n + 1)) for n in range(80)]

    assert sum(parts) == pytest.approx(eater.eaten_g(NOON, after(days=80)))
    assert min(parts) > 0


def test_grown_ones_go_on_eating_and_those_counted_alive_do_not_die():
    counted = an_eater(share=1.0, is_counted_now=True).eaten_g(NOON, after(days=45))
    dying = an_eater().eaten_g(after(days=50), after(days=95))

    assert counted == pytest.approx(100 * 45 * ADULT_A_DAY.value)
    assert 0 < dying < 0.6 * counted


def test_nobody_eats_before_the_hatch_nor_after_leaving():
    assert an_eater().eaten_g(after(days=-9), NOON) == 0
    assert an_eater(until=after(days=10)).eaten_g(after(days=10), after(days=20)) == 0
    assert an_eater(until=after(days=10)).eaten_g(NOON, after(days=20)) == an_eater().eaten_g(NOON, after(days=10))


def test_those_who_were_sold_have_eaten_until_then():
    sold = facts.Sold(bin="B4", count=400)
    all_along, some_sold = eaten((STOCKED, NOON)), eaten((STOCKED, NOON), (sold, after(days=30)))

    # None of the 400 died young: they had eaten more by then than as many of those who merely hatched.
    assert 0.6 * all_along < some_sold < all_along
    assert eaten((STOCKED, NOON), (sold, after(days=30)), days=(31, 50)) == pytest.approx(
        0.6 * eaten((STOCKED, NOON), days=(31, 50))
    )


def test_a_move_changes_nothing_of_what_is_eaten():
    moved = (facts.Moved(from_="B4", to="B5", count=400), after(days=20))

    assert eaten((STOCKED, NOON), moved) == pytest.approx(eaten((STOCKED, NOON)))


def test_in_a_warm_bin_more_is_eaten_sooner():
    def at(temp_c):
        return eaten((STOCKED, NOON), (facts.Reading(bin="B4", temp_c=temp_c), NOON), days=(0, 20))

    (eater,) = eaters_of(fold(a_journal((STOCKED, NOON), (facts.Reading(bin="B4", temp_c=23.0), after(days=10)))))
    halfway = an_eater(path=eater.path, a_day=eater.a_day, count=1000)
    assert halfway.eaten_g(NOON, after(days=10)) == eaten(
        (STOCKED, NOON), days=(0, 10)
    )  # nothing is put off afterwards
    assert halfway.eaten_g(NOON, after(days=20)) < eaten((STOCKED, NOON), days=(0, 20))
    assert at(10.0) < at(22.0) < at(BIN_C) < at(33.0) < at(35.0) == at(40.0)


def test_a_size_that_was_seen_goes_before_the_age():
    small = (facts.Sized(bin="B4", size=SizeGrade.EIGHTH), after(days=20))
    big = (facts.Sized(bin="B4", size=SizeGrade.HALF), after(days=20))

    assert eaten((STOCKED, NOON), small, days=(20, 25)) < eaten((STOCKED, NOON), big, days=(20, 25))


def test_the_quick_growth_is_near_the_finer_one():
    farm = fold(a_journal((STOCKED, NOON)))
    house, (eater,) = farm.bins["B4"], eaters_of(farm)

    for days in (10, 20, 30, 40):
        fine = growth_of(farm, house, after(days=days)).body.share
        assert eater.a_day * days == pytest.approx(fine, rel=0.05)


def test_bins_of_which_nobody_said_how_many_are_named():
    farm = fold(
        a_journal(
            STOCKED,
            facts.Adults(bin="B1"),
            facts.Stocked(bin="B2", tubs=("T3",)),
            facts.Fed(bins=("B3",)),
        )
    )

    assert uncounted(farm) == ("B1", "B2")
