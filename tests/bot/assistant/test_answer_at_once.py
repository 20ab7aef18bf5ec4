"""A message that comes in alone: stored, handled and answered in one unit of work, and never less than stored."""

from contextlib import contextmanager

import pytest

from bot.assistant.pace import Pace
from bot.ports.intents import Intent
from bot.ports.outbox import NO_OUTLET
from bot.ports.stores import StoreDownError
from tests.bot.assistant.talk import Talk
from tests.memory import MemoryStore


class Prompt:
    """A desk that answers as messages come in, and is set to work only where it says that something is left."""

    def __init__(self, desk):
        self._desk = desk
        self.is_left = []

    def take(self, *messages):
        new, is_left = self._desk.take_and_answer(messages, NO_OUTLET)
        self.is_left.append(is_left)
        return new

    def work(self):
        return self._desk.work() if self.is_left[-1] else 0


class CountingStore(MemoryStore):
    """A store that counts its units of work, and is down where it is told to be."""

    units = 0
    is_down = False

    @contextmanager
    def begin(self):
        if self.is_down:
            raise StoreDownError
        self.units += 1
        with super().begin() as work:
            yield work


@pytest.fixture
def talk():
    talk = Talk(store=CountingStore())
    talk.means("chirp", Intent(kind="chirp", slots={"bin": "B1"}))
    talk.desk = Prompt(talk.desk)
    talk.store.units = 0
    return talk


def test_one_unit_of_work_takes_and_answers_it(talk):
    units = []
    talk.desk.work = lambda: units.append(talk.store.units)

    assert [t.lines[0] for t in talk.says("Noor", "chirp")] == ["Bin 1: first chirp."]

    assert units == [1]
    assert talk.desk.is_left == [False]


def test_one_that_comes_again_is_not_handled_again(talk):
    talk.says("Noor", "chirp")
    before = talk.last_number

    talk._count -= 2  # the service sends the same update again

    assert talk.says("Noor", "chirp") == []
    assert talk.last_number == before


def test_one_that_fails_is_stored_all_the_same_and_tried_again(talk):
    talk.reader.known["boom"] = RuntimeError("boom")

    told = talk.says("Noor", "boom")

    assert talk.desk.is_left == [True]
    assert [t.text[:20] for t in told] == ["Something went wrong"]


def test_while_the_desk_is_at_work_it_is_stored_only(talk):
    desk, work = talk.desk._desk, talk.desk.work
    talk.desk.work = lambda: 0
    with desk._busy:
        assert talk.says("Noor", "chirp") == []

    assert talk.desk.is_left == [True]
    assert work() == 1
    assert talk.farm.bins["B1"].chirped_at is not None


def test_who_has_to_wait_is_told_so_once_and_waits(talk):
    talk.desk._desk._pace = Pace(2)

    told = [len(talk.says("Noor", "/due")) for _ in range(4)]

    assert told == [1, 1, 1, 0]
    assert talk.desk.is_left == [False, False, True, True]


def test_where_the_store_is_down_whoever_brings_the_message_hears_of_it(talk):
    talk.store.is_down = True

    with pytest.raises(StoreDownError):
        talk.says("Noor", "chirp")
