"""What every store promises: a unit of work is done as a whole or not at all."""

import contextlib
import threading

import pytest

from bot.ports.stores import NumberTakenError
from tests.contracts.records import ADDRESS, CHAT, NOON, an_event, an_incoming, an_outgoing


class LostPowerError(Exception):
    pass


def test_what_a_unit_of_work_did_is_there_in_the_next(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.journal.append(farm, [an_event(1)])

    with store.begin() as work:
        assert work.journal.since(farm) == [an_event(1)]


def test_a_unit_of_work_reads_what_it_wrote(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.journal.append(farm, [an_event(1)])

        assert work.journal.since(farm) == [an_event(1)]


def test_a_unit_of_work_that_raises_leaves_no_trace(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.inbox.store(an_incoming(), NOON)
        (received,) = work.inbox.claim()

    def do_all_and_fail():
        with store.begin() as work:
            work.journal.append(farm, [an_event(1)])
            work.outbox.post(an_outgoing(), NOON)
            work.farms.set_next_due(farm, NOON)
            work.dialogs.save(CHAT, ADDRESS, b"open")
            work.inbox.mark_handled(received.id, NOON)
            raise LostPowerError

    with pytest.raises(LostPowerError):
        do_all_and_fail()

    with store.begin() as work:
        assert work.journal.since(farm) == []
        assert work.outbox.waiting(NOON) == []
        assert work.farms.next_due() is None
        assert work.dialogs.load(CHAT, ADDRESS) is None
        assert work.inbox.claim() == [received]


def test_threads_that_read_and_then_write_do_not_lose_one_another(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)

    def write():
        with store.begin() as work:
            work.journal.append(farm, [an_event(len(work.journal.since(farm)) + 1)])

    def write_ten():
        for _ in range(10):
            while True:
                with contextlib.suppress(NumberTakenError):
                    write()
                    break

    threads = [threading.Thread(target=write_ten) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    with store.begin() as work:
        assert [event.number for event in work.journal.since(farm)] == list(range(1, 41))


def test_a_name_is_held_by_one_at_a_time(store):
    hold = store.hold("polling")
    assert hold.is_good()
    assert store.hold("polling") is None
    other = store.hold("sweeping")
    assert other is not None

    hold.release()
    again = store.hold("polling")
    assert again is not None
    again.release()
    other.release()
