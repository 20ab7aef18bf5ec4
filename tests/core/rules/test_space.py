"""How much room a bin has."""

from core.farm.fold import fold
from core.journal import facts
from core.rules.space import BIN_CM2, ROOM, crowd, is_crowded
from tests.builders import NOON, a_journal, after


def a_bin(count):
    return fold(a_journal(facts.Stocked(bin="B4", count=count))).bins["B4"]


def test_room_is_for_the_density_at_which_survival_was_not_cut():
    # Mahavidanage et al. 2023, J. Orthoptera Res. 32(1):25-31, abstract: no cut at 0.19 per cm2, 31 % at 0.47.
    assert 0.19 <= ROOM / BIN_CM2 < 0.47


def test_of_pinheads_those_count_that_will_be_alive_at_two_weeks():
    assert crowd(a_bin(4000), after(days=1)) == 3000.0
    assert crowd(a_bin(4000), after(days=20)) == 4000.0


def test_a_bin_that_nobody_counted_is_not_called_crowded():
    assert crowd(a_bin(None), NOON) is None
    assert not is_crowded(a_bin(None), after(days=20))


def test_the_same_bin_is_crowded_once_they_are_too_many():
    assert [is_crowded(a_bin(count), after(days=20)) for count in (ROOM, ROOM + 1)] == [False, True]
