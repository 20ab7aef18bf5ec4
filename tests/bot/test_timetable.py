"""The alarm clock."""

import asyncio
import datetime as dt
import logging
import threading
import time

import pytest

from bot import timetable as module
from bot.timetable import Timetable
from tests.contracts.records import NOON
from tests.fakes import FakeClock
from tests.memory import MemoryStore


@pytest.fixture(autouse=True)
def short_pauses(monkeypatch):
    monkeypatch.setattr(module, "AFTER_NOTHING", 0.02)
    monkeypatch.setattr(module, "AFTER_A_FAILURE", 0.04)


class Assistant:
    """Counts the calls, and moves the farms that are due as the real one does."""

    def __init__(self, store, clock):
        self.store = store
        self.clock = clock
        self.calls = []  # the thread of each
        self.errors = []
        self.stays_due = False

    def remind(self):
        self.calls.append(threading.current_thread())
        if self.errors:
            raise self.errors.pop(0)
        with self.store.begin() as work:
            due = work.farms.claim_due(self.clock.now())
            for farm in due:
                work.farms.set_next_due(farm, self.clock.now() if self.stays_due else None)
        return len(due)


@pytest.fixture
def store():
    return MemoryStore()


@pytest.fixture
def clock():
    return FakeClock()


@pytest.fixture
def assistant(store, clock):
    return Assistant(store, clock)


@pytest.fixture
async def timetable(store, clock, assistant):
    made = Timetable(store, clock, assistant.remind)
    yield made
    made.stop()


def set_due(store, at, farm=None):
    with store.begin() as work:
        work.farms.set_next_due(farm or work.farms.found(NOON), at)


def in_seconds(clock, seconds):
    return clock.now() + dt.timedelta(seconds=seconds)


async def until(holds):
    for _ in range(2000):
        if holds():
            return
        await asyncio.sleep(0.001)
    raise AssertionError("it never came to hold")


async def test_what_fell_due_while_it_was_not_running_is_asked_for_at_once(timetable, store, clock, assistant):
    set_due(store, in_seconds(clock, -3600))

    timetable.start()
    await until(lambda: len(assistant.calls) == 1)

    assert assistant.calls[0] is not threading.main_thread()


async def test_it_rings_when_a_farm_is_due_and_not_before(timetable, store, clock, assistant):
    timetable.start()
    await until(lambda: len(assistant.calls) == 1)
    set_due(store, in_seconds(clock, 0.1))

    began = time.monotonic()
    await asyncio.to_thread(timetable.rearm)
    await until(lambda: len(assistant.calls) == 2)

    assert 0.09 < time.monotonic() - began < 30  # and not at the next minute


async def test_a_farm_that_became_due_earlier_moves_the_alarm(timetable, store, clock, assistant):
    set_due(store, in_seconds(clock, 50))
    timetable.start()
    await until(lambda: len(assistant.calls) == 1)

    set_due(store, clock.now())
    timetable.rearm()
    await until(lambda: len(assistant.calls) == 2)

    with store.begin() as work:
        assert work.farms.claim_due(clock.now()) == {}


async def test_an_alarm_that_is_no_longer_wanted_does_not_ring(timetable, store, clock, assistant):
    set_due(store, in_seconds(clock, 0.2))
    timetable.start()
    await until(lambda: len(assistant.calls) == 1)

    set_due(store, None, farm=1)
    timetable.rearm()
    await asyncio.sleep(0.3)

    assert len(assistant.calls) == 1


async def test_it_rings_again_for_as_long_as_farms_are_due(timetable, store, clock, assistant, caplog):
    caplog.set_level(logging.WARNING)
    assistant.stays_due = True
    set_due(store, clock.now())

    timetable.start()
    await until(lambda: len(assistant.calls) >= 5)

    assert caplog.text == ""


async def test_a_farm_that_stays_due_without_a_word_does_not_keep_the_program_busy(store, clock):
    set_due(store, clock.now())
    calls = []
    silent = Timetable(store, clock, lambda: calls.append(time.monotonic()) or 0)
    silent.start()
    await until(lambda: len(calls) == 4)
    silent.stop()

    assert calls[3] - calls[0] >= 3 * module.AFTER_NOTHING


async def test_a_failure_is_logged_without_its_words_and_the_next_ring_comes(
    timetable, store, clock, assistant, log_lines
):
    assistant.errors = [ValueError("what Noor wrote")]
    set_due(store, clock.now())

    timetable.start()
    await until(lambda: len(assistant.calls) >= 2)

    (line,) = (line for line in log_lines() if "reminding failed" in line)
    assert "error=ValueError" in line
    assert " remind" in line.partition("trace=")[2]  # the frames are there
    assert "Noor" not in line


async def test_calls_never_overlap(store, clock):
    now, most = 0, 0

    def remind():
        nonlocal now, most
        now += 1
        most = max(most, now)
        time.sleep(0.02)
        now -= 1
        return 1

    set_due(store, clock.now())
    timetable = Timetable(store, clock, remind)
    timetable.start()
    for _ in range(30):
        timetable.rearm()
        await asyncio.sleep(0.003)
    timetable.stop()
    await until(lambda: now == 0)

    assert most == 1


async def test_many_messages_at_once_set_the_alarm_a_few_times_only(timetable, store, clock, monkeypatch):
    looks = []
    monkeypatch.setattr(timetable, "_next_due", lambda: looks.append(1))
    timetable.start()

    for _ in range(500):
        timetable.rearm()
    await asyncio.sleep(0.05)

    assert len(looks) <= 5


async def test_without_a_due_farm_it_rings_once_a_minute(timetable, assistant):
    timetable.start()
    await until(lambda: len(assistant.calls) == 1)
    await asyncio.sleep(0.05)

    (job,) = timetable._scheduler.get_jobs()
    assert 58 < (job.next_run_time - module._wall()).total_seconds() <= 60
    assert job.misfire_grace_time is None


async def test_it_keeps_ringing_when_the_store_cannot_be_read(timetable, assistant, monkeypatch, log_lines):
    def broken():
        raise OSError("disk")

    monkeypatch.setattr(timetable, "_next_due", broken)
    timetable.start()
    await until(lambda: any("error=OSError" in line for line in log_lines()))

    (job,) = timetable._scheduler.get_jobs()
    assert (job.next_run_time - module._wall()).total_seconds() <= 60


async def test_it_can_be_stopped_at_any_time(store, clock, assistant):
    never_started = Timetable(store, clock, assistant.remind)
    never_started.rearm()
    never_started.stop()

    stopped = Timetable(store, clock, assistant.remind)
    stopped.start()
    stopped.stop()
    stopped.rearm()
    stopped.stop()
    await asyncio.sleep(0.05)
    assert assistant.calls == []
