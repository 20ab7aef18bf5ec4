"""The farm is what its events have made of it, however and whenever they came."""

import random

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from core.farm.fold import FarmFold, fold
from core.journal import codec
from core.journal.wants import Undo
from tests.builders import NOON, an_event
from tests.properties.strategies import bodies, corrections, journals, untied_journals, work

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
