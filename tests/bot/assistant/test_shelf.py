"""Folded farms at hand."""

import pytest

from bot.assistant import shelf as shelves
from bot.assistant.shelf import Shelf
from core.journal import facts
from tests.builders import NOON, an_event
from tests.memory import MemoryStore


class CountingJournal:
    """A journal that remembers from which event on it was asked."""

    def __init__(self, journal):
        self._journal = journal
        self.asked = []

    def since(self, farm, number=0):
        self.asked.append((farm, number))
        return self._journal.since(farm, number)

    def of(self, farms):
        self.asked += [(farm, 0) for farm in farms]
        return self._journal.of(farms)


@pytest.fixture
def journal():
    with MemoryStore().begin() as work:
        for _ in range(3):
            work.journal.append(work.farms.found(NOON), [an_event(number=1)])
        yield work.journal


def test_a_farm_at_hand_takes_only_what_is_new(journal):
    shelf, counting = Shelf(), CountingJournal(journal)
    shelf.fold(1, 0, counting)
    journal.append(1, [an_event(facts.Chirp(bin="B2"), number=2)])

    fold = shelf.fold(1, 0, counting)

    assert counting.asked == [(1, 0), (1, 1)]
    assert list(fold.farm.bins) == ["B1", "B2"]


def test_a_farm_that_was_forgotten_is_folded_again(journal):
    shelf, counting = Shelf(), CountingJournal(journal)
    for farm in (1, 2):
        shelf.fold(farm, 0, counting)

    shelf.forget([1, 3])
    shelf.fold(1, 0, counting)
    shelf.forget()
    shelf.fold(2, 0, counting)

    assert counting.asked == [(1, 0), (2, 0), (1, 0), (2, 0)]


def test_the_farm_used_longest_ago_makes_room(journal, monkeypatch):
    monkeypatch.setattr(shelves, "KEPT", 2)
    shelf, counting = Shelf(), CountingJournal(journal)

    for farm in (1, 2, 1, 3, 1, 2):
        shelf.fold(farm, 0, counting)

    assert [farm for farm, number in counting.asked if number == 0] == [1, 2, 3, 2]


def test_a_farm_of_another_edition_is_folded_again(journal):
    shelf, counting = Shelf(), CountingJournal(journal)
    shelf.fold(1, 0, counting)
    shelf.fold(1, 1, counting)
    shelf.fold(1, 1, counting)

    assert counting.asked == [(1, 0), (1, 0), (1, 1)]


def test_several_farms_are_given_those_at_hand_with_what_is_new(journal):
    shelf, counting = Shelf(), CountingJournal(journal)
    shelf.fold(2, 0, counting)
    journal.append(2, [an_event(facts.Chirp(bin="B2"), number=2)])

    folds = shelf.folds({1: 0, 2: 0, 3: 0}, counting)

    assert counting.asked == [(2, 0), (1, 0), (3, 0), (2, 1)]
    assert [list(folds[farm].farm.bins) for farm in (1, 2, 3)] == [["B1"], ["B1", "B2"], ["B1"]]
    assert shelf.fold(1, 0, counting) is folds[1]
