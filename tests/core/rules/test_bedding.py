"""How much is left of substrate, lime and egg cartons."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import facts
from core.rules.bedding import CARTONS, LIME_G, TRAY_ML, bedding_left
from core.rules.supplies import Article
from tests.builders import NOON, a_journal, after

TRAY = facts.TrayIn(bin="B1")


def left(*journal, days=1):
    (found,) = bedding_left(fold(a_journal(*journal)), after(days=days))
    return found


@pytest.mark.parametrize(
    ("bought", "uses"),
    [
        pytest.param(facts.Bought(item="peat", volume_ml=10 * TRAY_ML), 10, id="a bag by volume"),
        pytest.param(facts.Bought(item="coir", count=1), 6, id="a brick of coir is 9 liters"),
        pytest.param(facts.Bought(item="coir", mass_g=650.0), 6, id="the same by mass"),
        pytest.param(facts.Bought(item="peat", count=2), None, id="bags of any size"),
        pytest.param(facts.Bought(item="lime", mass_g=20 * LIME_G), 20, id="lime"),
        pytest.param(facts.Bought(item="egg flats", count=3 * CARTONS + 1), 3, id="cartons"),
    ],
)
def test_it_reaches_for_so_many_trays_or_bins(bought, uses):
    found = left(bought)

    assert found.uses == uses
    assert found.used_up_at is None


def test_each_tray_takes_its_share_and_the_pace_tells_for_how_long():
    trays = [(TRAY, after(days=n)) for n in (4, 11, 18, 25)]
    found = left((facts.Bought(item="peat", volume_ml=10 * TRAY_ML), NOON), *trays, days=28)

    assert found.uses == 6
    assert found.lasts_until == after(days=28) + dt.timedelta(days=6 * 7)


def test_where_none_was_used_nobody_knows_for_how_long():
    assert left(facts.Bought(item="lime", mass_g=100.0)).lasts_until is None


def test_there_is_never_less_than_nothing_and_what_ran_out_is_not_owed():
    trays = [(TRAY, after(days=n)) for n in range(1, 6)]
    one = (facts.Bought(item="peat", volume_ml=2 * TRAY_ML), NOON)
    more = (facts.Bought(item="peat", volume_ml=3 * TRAY_ML), after(days=9))

    assert left(one, *trays, days=8).uses == 0
    assert left(one, *trays, days=8).used_up_at == after(days=2)
    assert left(one, *trays, more, days=10).uses == 3


def test_what_was_set_before_anything_was_bought_came_from_elsewhere():
    assert left((TRAY, NOON), (facts.Bought(item="peat", volume_ml=2 * TRAY_ML), after(days=1)), days=2).uses == 2


def test_cleaning_a_bin_takes_cartons():
    cleaned = (facts.Cleaned(bins=("B1", "B2")), after(days=3))
    found = left((facts.Bought(item="egg flats", count=5 * CARTONS), NOON), cleaned, days=4)

    assert (found.supply, found.uses) == (Article.CARTONS, 3)


def test_of_a_farm_that_bought_none_nothing_is_said():
    assert list(bedding_left(fold(a_journal(TRAY)), after(days=9))) == []
