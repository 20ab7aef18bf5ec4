"""Answers that are handed to the delivery by whoever posts them."""

import asyncio
import random

import pytest

from bot.delivery import CLAIM_FOR, Delivery
from bot.ports.sending import SendError, Trouble
from tests.contracts.records import NOON, an_outgoing
from tests.fakes import FakeClock, RecordingChannel
from tests.memory import MemoryStore

ALICE, BOB = "telegram:1", "telegram:2"


@pytest.fixture
def clock():
    return FakeClock()


@pytest.fixture
def store():
    return MemoryStore()


@pytest.fixture
def channel():
    return RecordingChannel()


@pytest.fixture
async def delivery(store, channel, clock):
    """Give one that runs."""
    made = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1))  # noqa: S311
    stop = asyncio.Event()
    running = asyncio.create_task(made.run(stop))
    await asyncio.sleep(0.02)
    yield made
    stop.set()
    await running


async def until(holds):
    async with asyncio.timeout(5):
        while not holds():  # noqa: ASYNC110 - what it waits for sets no event
            await asyncio.sleep(0.001)


def hand_over(store, delivery, *outgoing):
    """Do what a desk does, which is in another thread."""
    with store.begin() as work:
        work.outbox.post_all(outgoing, NOON)
        claimed = delivery.claim_within(work)
    delivery.begin(claimed)
    return [one.outgoing.key for one in claimed]


def waiting(store, clock):
    with store.begin() as work:
        return [one.outgoing.key for one in work.outbox.waiting(clock.now() + CLAIM_FOR)]


async def test_an_answer_leaves_without_a_look_at_the_outbox_and_is_marked(store, channel, clock, delivery):
    posted = an_outgoing("a", ALICE), an_outgoing("b", BOB)

    assert await asyncio.to_thread(hand_over, store, delivery, *posted) == ["a", "b"]
    await until(lambda: sorted(channel.keys()) == ["a", "b"])
    await until(lambda: waiting(store, clock) == [])


async def test_of_a_chat_the_first_goes_ahead_and_the_rest_follows_in_order(store, channel, delivery):
    posted = [an_outgoing(key, ALICE) for key in "abc"]

    assert await asyncio.to_thread(hand_over, store, delivery, *posted) == ["a"]
    await until(lambda: channel.keys() == ["a", "b", "c"])


async def test_a_push_is_not_handed_over_and_leaves_all_the_same(store, channel, delivery):
    assert await asyncio.to_thread(hand_over, store, delivery, an_outgoing("push:1:1", ALICE, is_push=True)) == []
    await until(lambda: channel.keys() == ["push:1:1"])


async def test_a_delivery_that_does_not_run_takes_nothing(store, channel, clock):
    delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1), wait=clock.sleep)  # noqa: S311

    assert hand_over(store, delivery, an_outgoing("a", ALICE)) == []
    assert await delivery.deliver_once() == 1


async def test_while_the_service_is_out_nothing_is_handed_over(store, channel, clock, delivery):
    outage = delivery._outages["telegram"]
    for number in range(9):
        outage.failed(f"telegram:{number}", SendError("down", trouble=Trouble.NETWORK), clock.now())

    assert await asyncio.to_thread(hand_over, store, delivery, an_outgoing("a", ALICE)) == []
