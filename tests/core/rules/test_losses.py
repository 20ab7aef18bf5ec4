"""Deaths of a week against what is usual at the age."""

import pytest

from core.farm.fold import fold
from core.journal import facts
from core.rules.losses import losses_with
from core.science.mortality import dying, upper_limit
from tests.builders import NOON, a_journal, after

STOCKED = (facts.Stocked(bin="B4", count=1000), NOON)


def a_bin(*entries):
    return fold(a_journal(*entries)).bins["B4"]


def dead(count, **span):
    return (facts.Dead(bin="B4", count=count), after(**span))


def test_what_is_usual_is_that_of_the_age():
    found = [losses_with(a_bin(STOCKED), 0, after(days=days)).usual for days in (7, 20)]

    assert found == pytest.approx([1000 * dying(0, 7), 1000 * dying(13, 20)])
    assert found[0] > found[1]


def test_one_more_than_the_limit_is_unusual():
    limit = upper_limit(1000 * dying(13, 20))

    assert [losses_with(a_bin(STOCKED), n, after(days=20)).are_unusual for n in (limit, limit + 1)] == [False, True]


def test_the_dead_of_the_week_count_and_older_ones_do_not():
    house = a_bin(STOCKED, dead(40, days=5), dead(30, days=15), dead(20, days=18))

    found = losses_with(house, 10, after(days=20))

    assert found.dead == 60
    assert found.usual == pytest.approx((910 + 50) * dying(13, 20))


def test_each_batch_dies_at_its_own_age():
    house = a_bin(STOCKED, (facts.Stocked(bin="B4", count=500), after(days=20)))

    assert losses_with(house, 0, after(days=27)).usual == pytest.approx(1000 * dying(20, 27) + 500 * dying(0, 7))


def test_of_a_bin_that_nobody_counted_nothing_is_said():
    assert losses_with(a_bin((facts.Stocked(bin="B4"), NOON)), 500, after(days=20)) is None


def test_on_the_day_they_came_in_a_day_of_deaths_is_usual():
    assert losses_with(a_bin(STOCKED), 0, NOON).usual == pytest.approx(1000 * dying(0, 1))


def test_batches_of_unknown_age_are_taken_for_the_youngest_or_for_adults():
    unknown = (facts.Moved(from_="B1", to="B4", count=100), NOON)
    adults = (facts.Adults(bin="B4"), after(days=1))

    assert losses_with(a_bin(unknown), 0, after(days=9)).usual == pytest.approx(100 * dying(0, 7))
    assert losses_with(a_bin(unknown, adults), 0, after(days=9)).usual == pytest.approx(
        100 * dying(48.28, 55.28), rel=0.01
    )


def test_a_very_old_batch_makes_no_trouble():
    assert losses_with(a_bin(STOCKED), 0, after(days=2000)).usual == pytest.approx(0.0, abs=150)
