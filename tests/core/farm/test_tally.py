"""What was harvested and found dead lately."""

from core.farm.fold import fold
from core.farm.tally import KEPT, Tally
from core.journal import facts, wants
from tests.builders import NOON, a_journal, after

STOCKED = facts.Stocked(bin="B4", tubs=("T1",), count=500)


def test_harvests_and_deaths_are_kept_by_time():
    journal = (
        STOCKED,
        (facts.Harvested(bin="B4", count=100), after(days=2)),
        (facts.Dead(bin="B4", count=7), after(days=1)),
    )

    tally = fold(a_journal(*journal)).tally

    assert tally == Tally(harvested=((after(days=2), 100),), dead=((after(days=1), 7),))


def test_what_is_taken_back_is_not_in_it():
    journal = (STOCKED, (facts.Dead(bin="B4", count=7), after(days=1)), (wants.Undo(of=(2,)), after(days=2)))

    assert fold(a_journal(*journal)).tally == Tally()


def test_no_more_is_harvested_than_was_there():
    journal = (facts.Stocked(bin="B4", tubs=("T1",), count=50), (facts.Harvested(bin="B4", count=100), after(days=2)))

    assert [count for _, count in fold(a_journal(*journal)).tally.harvested] == [50]


def test_the_newest_are_kept():
    tally = Tally()
    for number in range(KEPT + 5):
        tally = tally.and_dead(NOON, number).and_harvested(NOON, number)

    assert [len(tally.dead), tally.dead[0][1], len(tally.harvested)] == [KEPT, 5, KEPT]
