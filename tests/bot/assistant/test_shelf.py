"""Folded farms at hand."""

import pytest

from bot.assistant import shelf as shelves
from bot.assistant.shelf import A_FARM, Shelf
from core.farm.fold import fold
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
            work.journal.append(work.farms.found(NOON), [an_event(number=1), an_event(number=2)])
        yield work.journal


def test_a_farm_at_hand_takes_only_what_is_new(journal):
    shelf, counting = Shelf(), CountingJournal(journal)
    shelf.fold(1, 0, counting)
    journal.append(1, [an_event(facts.Chirp(bin="B2"), number=3)])

    found = shelf.fold(1, 0, counting)

    assert counting.asked == [(1, 0), (1, 1)]  # from the last event on that is known: it has to be there still
    assert list(found.farm.bins) == ["B1", "B2"]


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
    monkeypatch.setattr(shelves, "KEPT_EVENTS", 2 * (2 + A_FARM))
    shelf, counting = Shelf(), CountingJournal(journal)

    for farm in (1, 2, 1, 3, 1, 2):
        shelf.fold(farm, 0, counting)

    assert [farm for farm, number in counting.asked if number == 0] == [1, 2, 3, 2]


def test_a_farm_that_has_grown_leaves_room_for_fewer_others(journal, monkeypatch):
    monkeypatch.setattr(shelves, "KEPT_EVENTS", 3 * (2 + A_FARM) + 9)
    shelf, counting = Shelf(), CountingJournal(journal)
    for farm in (1, 2, 3, 1):
        shelf.fold(farm, 0, counting)
    journal.append(1, [an_event(number=number) for number in range(3, 13)])

    for farm in (1, 3, 2):
        shelf.fold(farm, 0, counting)

    assert [farm for farm, number in counting.asked if number == 0] == [1, 2, 3, 2]


def test_the_farm_in_use_stays_however_large_it_is(journal, monkeypatch):
    monkeypatch.setattr(shelves, "KEPT_EVENTS", 1)
    shelf, counting = Shelf(), CountingJournal(journal)

    for farm in (1, 1, 2, 1):
        shelf.fold(farm, 0, counting)

    assert [farm for farm, number in counting.asked if number == 0] == [1, 2, 1]


def test_the_forecasts_at_hand_go_with_the_farm(journal):
    shelf = Shelf()
    shelf.fold(1, 0, journal)
    forecaster = shelf.forecaster(1)

    assert shelf.forecaster(1) is forecaster
    shelf.forget([1])
    assert shelf.forecaster(1) is not shelf.forecaster(1)


@pytest.mark.parametrize("others", [0, 1, 2], ids="{} events of another process instead".format)
def test_what_did_not_get_into_the_journal_is_folded_no_longer(journal, others):
    shelf = Shelf()
    shelf.fold(1, 0, journal).add([an_event(facts.Chirp(bin="B8"), number) for number in (3, 4)])
    news = [an_event(facts.Chirp(bin="B9"), number, message="chat:of another") for number in (3, 4)]
    journal.append(1, news[:others])

    assert shelf.fold(1, 0, journal).farm == fold(journal.since(1))


def test_a_farm_of_another_edition_is_folded_again(journal):
    shelf, counting = Shelf(), CountingJournal(journal)
    shelf.fold(1, 0, counting)
    shelf.fold(1, 1, counting)
    shelf.fold(1, 1, counting)

    assert counting.asked == [(1, 0), (1, 0), (1, 1)]


def test_several_farms_are_given_those_at_hand_with_what_is_new(journal):
    shelf, counting = Shelf(), CountingJournal(journal)
    shelf.fold(2, 0, counting)
    journal.append(2, [an_event(facts.Chirp(bin="B2"), number=3)])

    folds = shelf.folds({1: 0, 2: 0, 3: 0}, counting)

    assert counting.asked == [(2, 0), (2, 1), (1, 0), (3, 0)]
    assert [list(folds[farm].farm.bins) for farm in (1, 2, 3)] == [["B1"], ["B1", "B2"], ["B1"]]
    assert shelf.fold(1, 0, counting) is folds[1]
