"""What whoever watches the program is told."""

import asyncio
import contextlib
import datetime as dt
import json
import threading

import aiohttp
import pytest

from bot.channels import watching
from bot.channels.listening import PortError, listen
from bot.channels.watching import Watch, reasons
from bot.ports.tally import Backlog, Counted
from tests.fakes import FakeClock

NOW = FakeClock().now()


def ago(**span):
    return NOW - dt.timedelta(**span)


class Waits:
    """A database that says what it is told to, or raises it."""

    def __init__(self):
        self.seen = Backlog()
        self.asked = 0
        self.free = threading.Event()
        self.free.set()

    def look(self, now):
        assert now == NOW
        self.asked += 1
        self.free.wait(10)
        if isinstance(self.seen, Exception):
            raise self.seen
        return self.seen


@pytest.fixture
def waits():
    made = Waits()
    yield made
    made.free.set()


@pytest.fixture
def watch(waits, unused_tcp_port):
    made = Watch(unused_tcp_port, FakeClock(), waits.look)
    made.url = f"http://127.0.0.1:{unused_tcp_port}"
    return made


@pytest.fixture
async def ask(watch):
    stop = asyncio.Event()
    running = asyncio.create_task(watch.run(stop))
    async with aiohttp.ClientSession() as session:

        async def asked(path):
            for _ in range(100):
                with contextlib.suppress(aiohttp.ClientConnectorError):
                    async with session.get(watch.url + path) as answer:
                        return answer.status, await answer.text()
                await asyncio.sleep(0.02)
            raise AssertionError("nobody listens")

        yield asked
    stop.set()
    await asyncio.wait_for(running, 5)


async def test_all_is_well_where_little_waits(ask, waits):
    waits.seen = Backlog(inbox_waiting=1, inbox_oldest=ago(seconds=60), outbox_waiting=2, outbox_oldest=ago(minutes=10))

    assert await ask("/health") == (200, '{"status":"ok","inbox":1,"outbox":2,"farms_due":0}')


async def test_what_waits_too_long_is_a_reason(ask, waits):
    waits.seen = Backlog(
        inbox_waiting=9, inbox_oldest=ago(seconds=61), outbox_waiting=1, outbox_oldest=ago(minutes=11), farms_due=3
    )

    status, text = await ask("/health")

    assert status == 503
    assert json.loads(text) == {
        "status": "look",
        "reasons": ["a message has waited for 61 s to be handled", "a message has waited for 660 s to be sent"],
        "inbox": 9,
        "outbox": 1,
        "farms_due": 3,
    }


async def test_a_database_that_fails_is_a_reason_and_its_words_are_not_told(ask, waits, caplog):
    waits.seen = OSError("tub 3 watered")

    assert await ask("/health") == (503, '{"status":"look","reasons":["the database does not answer"]}')
    status, text = await ask("/metrics")
    assert status == 200
    assert "ovipost_database_up 0.0" in text
    assert "ovipost_inbox_waiting" not in text
    assert "tub 3" not in caplog.text


async def test_a_database_that_hangs_is_asked_once_and_not_waited_for(ask, waits, monkeypatch):
    monkeypatch.setattr(watching, "LOOK_WITHIN", 0.1)
    waits.free.clear()

    for status, _ in await asyncio.gather(ask("/health"), ask("/health"), ask("/health")):
        assert status == 503
    assert (await ask("/health"))[0] == 503
    assert waits.asked == 1

    waits.free.set()
    monkeypatch.setattr(watching, "LOOK_WITHIN", 5)
    assert (await ask("/health"))[0] == 200


async def test_metrics_say_what_waits_and_what_was_done(ask, watch, waits):
    waits.seen = Backlog(inbox_waiting=4, inbox_oldest=ago(seconds=2.5), outbox_waiting=1, outbox_oldest=ago(minutes=1))
    for many, what in enumerate(Counted, start=1):
        watch.counters.count(what, many)
    watch.counters.count(Counted.SENT)

    status, text = await ask("/metrics")

    assert status == 200
    assert {line for line in text.splitlines() if not line.startswith("#") and "_created" not in line} == {
        "ovipost_database_up 1.0",
        "ovipost_inbox_waiting 4.0",
        "ovipost_inbox_age_seconds 2.5",
        "ovipost_outbox_waiting 1.0",
        "ovipost_outbox_age_seconds 60.0",
        "ovipost_farms_due 0.0",
        "ovipost_messages_handled_total 1.0",
        "ovipost_messages_failed_total 2.0",
        "ovipost_sent_total 4.0",
        "ovipost_send_retries_total 4.0",
        "ovipost_given_up_total 5.0",
        "ovipost_reminders_posted_total 6.0",
    }


async def test_only_this_machine_is_answered(watch, monkeypatch):
    asked = []
    monkeypatch.setattr(watching, "listen", lambda host, *_: asked.append(host) or listen("127.0.0.1", 0, "X"))
    stop = asyncio.Event()
    stop.set()

    await watch.run(stop)

    assert asked == ["127.0.0.1"]


async def test_two_watches_do_not_share_a_port(watch, ask):
    await ask("/health")

    with pytest.raises(PortError, match="set OVIPOST_METRICS_PORT to a port that is free"):
        await watch.run(asyncio.Event())


def test_a_clock_that_was_set_back_makes_nothing_older():
    assert reasons(Backlog(inbox_waiting=1, inbox_oldest=NOW), ago(days=1)) == []
