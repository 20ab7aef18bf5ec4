"""What was bought and what uses it up, as the journal tells it."""

from core.farm.fold import fold
from core.farm.stores import KEPT, Feeding, Purchase, Taken, with_newest
from core.journal import facts
from tests.builders import NOON, a_journal, after


def stores(*journal):
    return fold(a_journal(*journal)).stores


def test_what_was_bought_is_kept_with_its_amounts_and_by_time():
    found = stores(
        (facts.Bought(item="coir", count=3), after(days=2)), (facts.Bought(item="oats", mass_g=900.0, price=4.0), NOON)
    )

    assert found.purchases == (
        Purchase(at=NOON, item="oats", mass_g=900.0),
        Purchase(at=after(days=2), item="coir", count=3),
    )


def test_feed_is_kept_whether_it_was_weighed_or_not():
    found = stores(facts.Fed(all=True), facts.Fed(bins=("B1",), feed="oats", mass_g=150.0))

    assert [(f.feed, f.mass_g) for f in found.feedings] == [(None, None), ("oats", 150.0)]
    assert isinstance(found.feedings[0], Feeding)


def test_trays_and_cleanings_are_kept_bin_by_bin():
    found = stores(facts.TrayIn(bin="B1"), facts.Cleaned(bins=("B1", "B2")), facts.Cleaned(all=True))

    assert len(found.trays) == 1
    assert len(found.cleaned) == 4


def test_those_that_were_taken_out_are_remembered_by_when_they_hatched():
    found = stores(
        (facts.Stocked(bin="B4", count=1000), NOON),
        (facts.Stocked(bin="B4", tubs=("T2",), count=3000), after(days=9)),
        (facts.Harvested(bin="B4", count=400), after(days=20)),
        (facts.Sold(bin="B4", count=400), after(days=21)),
        (facts.Sold(bin="B4", count=400), after(days=40)),
    )

    assert found.taken == (
        Taken(at=after(days=20), bin="B4", hatched_at=NOON, count=100),
        Taken(at=after(days=20), bin="B4", hatched_at=after(days=9), count=300),
        Taken(at=after(days=40), bin="B4", hatched_at=NOON, count=100),
        Taken(at=after(days=40), bin="B4", hatched_at=after(days=9), count=300),
    )


def test_only_the_newest_are_kept():
    assert with_newest(tuple(range(KEPT)), 1000) == (*range(1, KEPT), 1000)
