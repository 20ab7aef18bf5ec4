"""The bot at work."""

import asyncio

import pytest

from bot.channels import serving
from bot.channels.serving import Service, Worker
from bot.ports.messages import Incoming, Sender
from bot.ports.outbox import NO_OUTLET, NoOutlet
from tests.bot.channels.desks import EchoDesk
from tests.fakes import SPRING, FakeClock
from tests.memory import MemoryStore


class Idle:
    """A part that has nothing to do."""

    def __init__(self):
        self.log = []

    async def run(self, stop):
        await stop.wait()
        self.log.append("ran")

    def start(self):
        self.log.append("started")

    def stop(self):
        self.log.append("stopped")


def a_message(number):
    sender = Sender(address="telegram:1", name="Noor")
    return Incoming(key=f"telegram:update:{number}", chat="telegram:1", sender=sender, sent_at=SPRING, text="a")


@pytest.fixture
def desk():
    return EchoDesk(MemoryStore(), FakeClock())


class Told(NoOutlet):
    """Sets an event for each unit of work that has ended."""

    def __init__(self, event):
        self._loop = asyncio.get_running_loop()
        self._event = event

    def begin(self, _claimed):
        self._loop.call_soon_threadsafe(self._event.set)


def a_service(worker, part, way_in, log):
    async def sign_out():
        log.append("signed out")

    parts = {"worker": worker, "delivery": part, "timetable": part, "way_in": way_in}
    return Service(**parts, sign_out=sign_out, close=lambda: log.append("closed"))


async def test_what_was_left_over_and_what_comes_in_is_handled(desk):
    stop, handled = asyncio.Event(), asyncio.Event()
    desk.take(a_message(1))
    worker = Worker(desk, Told(handled))
    working = asyncio.create_task(worker.run(stop))
    await handled.wait()
    handled.clear()

    assert await asyncio.to_thread(worker.take, a_message(2))
    await handled.wait()

    assert not worker.take(a_message(2))
    assert len(desk.heard) == 2
    stop.set()
    await working


async def test_a_worker_tries_again_after_a_failure(desk, monkeypatch):
    monkeypatch.setattr(serving, "AFTER_A_FAILURE", 0.01)
    work, stop, handled = desk.work, asyncio.Event(), asyncio.Event()
    failures = [OSError("disk"), OSError("disk")]

    def failing(is_over, outlet):
        if failures:
            raise failures.pop()
        return work(is_over, outlet)

    monkeypatch.setattr(desk, "work", failing)
    desk.take(a_message(1))
    working = asyncio.create_task(Worker(desk, Told(handled)).run(stop))
    await handled.wait()

    assert len(desk.heard) == 1
    stop.set()
    await working


async def test_told_to_stop_all_parts_end_and_then_the_store_is_closed(desk):
    part, log, stop = Idle(), [], asyncio.Event()
    serving_now = asyncio.create_task(a_service(Worker(desk, NO_OUTLET), part, part.run, log).run(stop))
    await asyncio.sleep(0.01)
    stop.set()
    await serving_now

    assert part.log == ["started", "ran", "ran", "stopped"]
    assert log == ["signed out", "closed"]


async def test_a_part_that_fails_stops_the_others_and_is_told(desk):
    part, log = Idle(), []

    async def refused(_):
        raise PermissionError("token")

    with pytest.raises(PermissionError):
        await a_service(Worker(desk, NO_OUTLET), part, refused, log).run(asyncio.Event())

    assert part.log == ["started", "ran", "stopped"]
    assert log == ["signed out", "closed"]


async def test_a_part_that_does_not_end_is_cancelled(desk, monkeypatch):
    monkeypatch.setattr(serving, "STOP_WITHIN", 0.05)
    stop = asyncio.Event()
    stop.set()

    async def stubborn(_):
        await asyncio.sleep(60)

    part, log = Idle(), []
    async with asyncio.timeout(5):
        await a_service(Worker(desk, NO_OUTLET), part, stubborn, log).run(stop)

    assert log[-1] == "closed"
