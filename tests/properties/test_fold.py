"""The farm is what its events have made of it, however and whenever they came."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from core.farm import fold as folding
from core.farm.fold import FarmFold, fold
from core.journal import codec
from core.journal.wants import Fix, Undo
from tests.builders import NOON, an_event
from tests.properties import plainly
from tests.properties.strategies import bodies, corrections, journals, season, untied_journals, work

ANYTHING = work | corrections | bodies


def without_numbers(farm):
    """A farm without what tells how its journal was written: numbers, and what was said last."""
    return replace(farm, last_number=0, last_said=(), known_since=None)


@given(journals(work | corrections), st.data())
def test_a_farm_with_an_event_taken_back_is_the_farm_without_it(journal, data):
    number = data.draw(st.integers(1, len(journal)))
    undo = an_event(Undo(of=(number,)), len(journal) + 1, NOON, by="Omar")

    with_undo = fold([*journal, undo])

    assert without_numbers(with_undo) == without_numbers(fold([e for e in journal if e.number != number]))
    assert number not in {e.number for e in with_undo.last_said}


@given(journals(work | corrections))
def test_an_undo_taken_back_leaves_the_farm_as_it_was(journal):
    count = len(journal)
    undo = an_event(Undo(of=tuple(e.number for e in journal)), count + 1, NOON)
    redo = an_event(Undo(of=(count + 1,)), count + 2, NOON)

    assert without_numbers(fold([*journal, undo, redo])) == without_numbers(fold(journal))


@given(untied_journals(work), st.randoms(use_true_random=False))
def test_the_order_in_which_events_arrive_does_not_matter(journal, chance: random.Random):
    numbers = [e.number for e in journal]
    chance.shuffle(numbers)
    arrived = [replace(e, number=number) for e, number in zip(journal, numbers, strict=True)]

    assert without_numbers(fold(arrived)) == without_numbers(fold(journal))
    assert fold(arrived[::-1]) == fold(arrived)


@given(journals(ANYTHING))
def test_events_taken_one_by_one_make_the_farm_of_all_in_one_go(journal):
    one_by_one = FarmFold()
    for entry in journal:
        one_by_one.add([entry])

    assert one_by_one.farm == fold(journal)


@given(journals(ANYTHING), st.integers(0, 12))
def test_a_farm_that_was_read_from_the_store_is_the_same(journal, read):
    stored = [replace(e, body=codec.decode(codec.encode(e.body))) for e in journal]
    known = FarmFold(stored[:read])

    assert known.add(stored[read:]) == fold(journal)


@pytest.fixture(params=[1, 2, 5, 16], ids="a mark each {}".format, scope="module")
def _marks(request):
    """Marks set closer than a journal of a test is long."""
    usual, folding.APART = folding.APART, request.param
    yield
    folding.APART = usual


@pytest.mark.usefixtures("_marks")
class TestMarks:
    """A fold that goes back to its marks makes the farm of one that goes back to the beginning."""

    @settings(max_examples=60, deadline=None)
    @given(journals(ANYTHING, most=40), st.lists(st.integers(1, 9), max_size=9))
    def test_news_in_pieces_make_the_farm_that_is_folded_plainly(self, journal, pieces):
        known, read = FarmFold(), 0
        for count in [*pieces, *[1] * len(journal)]:
            known.add(journal[read : read + count])
            read += count
            assert plainly.shown(known.farm) == plainly.shown(plainly.folded(journal[:read]))
            assert known.in_force == plainly.in_force(journal[:read])

    @settings(max_examples=60, deadline=None)
    @given(journals(ANYTHING, most=25), st.randoms(use_true_random=False), st.integers(1, 6))
    def test_so_do_news_that_come_in_any_order(self, journal, chance: random.Random, count):
        chance.shuffle(journal)
        known = FarmFold(journal[:3])
        for start in range(3, len(journal), count):
            known.add(journal[start : start + count])
            assert plainly.shown(known.farm) == plainly.shown(plainly.folded(journal[: start + count]))

    @settings(max_examples=60, deadline=None)
    @given(season(most=60), st.data())
    def test_so_do_a_season_and_what_is_put_right_in_it(self, journal, data):
        known = FarmFold(journal)
        for _ in range(3):
            last = known.farm.last_number
            number = data.draw(st.integers(max(1, last - 20), last))
            known.add([an_event(Undo(of=(number,)), last + 1, NOON)])
            assert plainly.shown(known.farm) == plainly.shown(plainly.folded(known.events))
        assert plainly.derived_anew(known.farm)[0] == known.farm.tubs.incubating

    @settings(max_examples=60, deadline=None)
    @given(
        journals(ANYTHING, most=25), st.sets(st.integers(1, 25), max_size=4), st.lists(journals(ANYTHING), max_size=1)
    )
    def test_other_events_instead_make_the_farm_of_a_journal_with_those(self, journal, numbers, others):
        known = FarmFold(journal)
        told = [e for journal in others for e in journal if not isinstance(e.body, Undo | Fix)]
        entries = [replace(e, number=len(journal) + e.number) for e in told]
        kept = [e for e in known.in_force if e.number not in numbers]

        found, wanted = known.instead(numbers, entries), plainly.folded([*kept, *entries])

        assert without_numbers(found) == without_numbers(wanted)
        assert plainly.shown(known.farm) == plainly.shown(plainly.folded(journal))


@given(journals(ANYTHING), st.sampled_from(["Ines", "Omar", ""]))
def test_what_somebody_recorded_last_is_what_the_whole_journal_says(journal, by):
    assert FarmFold(journal).standing.last_recorded(by) == (plainly.last_recorded(journal, by) if by else ())


@given(journals(ANYTHING, most=30), st.sets(st.sampled_from(sorted(codec.RECORDS)), max_size=3))
def test_events_of_some_kinds_come_newest_first(journal, kinds):
    known = FarmFold(journal)
    known.add([an_event(Undo(of=(len(journal),)), len(journal) + 1)])

    found = list(known.newest_first(*(codec.RECORDS[kind] for kind in kinds)))

    assert found == [e for e in reversed(known.in_force) if not kinds or codec.kind_of(e.body) in kinds]
