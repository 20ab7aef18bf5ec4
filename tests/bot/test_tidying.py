"""What is old leaves the store."""

import asyncio
import datetime as dt

import pytest

from bot import tidying as module
from bot.ports.stores import StoreDownError
from bot.tidying import Tidying
from tests.contracts.records import NOON, after, an_incoming, an_outgoing
from tests.contracts.test_people import an_invite
from tests.fakes import FakeClock
from tests.memory import MemoryStore

TELEGRAM_KEEPS_UPDATES = dt.timedelta(hours=24)  # https://core.telegram.org/bots/api#getting-updates
TELEGRAM_NUMBERS_ANEW = dt.timedelta(days=7)  # without updates: https://core.telegram.org/bots/api#update


@pytest.fixture
def store():
    made = MemoryStore()
    with made.begin() as work:
        work.inbox.store(an_incoming("handled"), NOON)
        work.inbox.mark_handled(work.inbox.claim()[0].id, NOON)
        work.inbox.store(an_incoming("waiting"), NOON)
        work.outbox.post(an_outgoing("sent"), NOON)
        work.outbox.post(an_outgoing("given up"), NOON)
        sent, given_up = work.outbox.waiting(NOON)
        work.outbox.mark_sent(sent.id, NOON, "17")
        work.outbox.give_up(given_up.id, NOON, "blocked")
        farm = work.farms.found(NOON)
        work.people.put_invite(an_invite(farm, after(days=1)))
    return made


def test_a_key_is_known_for_longer_than_telegram_sends_again_and_for_less_than_until_it_numbers_anew():
    assert TELEGRAM_KEEPS_UPDATES < module.HANDLED_FOR < TELEGRAM_NUMBERS_ANEW


@pytest.mark.parametrize(("days", "gone"), [(0.9, 0), (1.1, 1), (3.1, 3), (29, 3), (31, 4)])
def test_what_is_old_enough_is_gone_and_what_waits_stays(store, days, gone):
    assert Tidying(store, FakeClock(after(days=days))).tidy() == gone

    with store.begin() as work:
        assert [received.incoming.key for received in work.inbox.claim()] == ["waiting"]


async def test_it_tidies_at_the_start_and_again_whatever_ails_the_store(store, monkeypatch):
    monkeypatch.setattr(module, "EVERY", 0.01)
    begin, ailments, is_well = store.begin, [StoreDownError("locked")], asyncio.Event()
    loop = asyncio.get_running_loop()

    def ailing():
        if ailments:
            raise ailments.pop()
        loop.call_soon_threadsafe(is_well.set)
        return begin()

    monkeypatch.setattr(store, "begin", ailing)
    stop = asyncio.Event()
    running = asyncio.create_task(Tidying(store, FakeClock(after(days=4))).run(stop))
    async with asyncio.timeout(5):
        await is_well.wait()
    stop.set()
    await running

    with begin() as work:
        assert work.inbox.store(an_incoming("handled"), NOON)
