"""From the outbox to people."""

import asyncio
import random

import pytest

from bot import delivery as module
from bot.delivery import Delivery
from bot.ports.sending import SendError
from bot.ports.stores import Chat
from tests.contracts.records import NOON, after, an_outgoing
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
def delivery(store, channel, clock):
    return Delivery(store, {"telegram": channel}, clock, chance=random.Random(1), wait=clock.sleep)  # noqa: S311


def post(store, *keys, chat=ALICE, at=NOON, text="Noted."):
    with store.begin() as work:
        for key in keys:
            work.outbox.post(an_outgoing(key, chat, text=text), at)


def next_at(store):
    with store.begin() as work:
        return work.outbox.next_at()


def seconds_to_next(store, clock):
    return (next_at(store) - clock.now()).total_seconds()


class GatedChannel(RecordingChannel):
    """Holds every message to the given chats until the gate opens."""

    def __init__(self, *chats):
        super().__init__()
        self.chats = chats
        self.gate = asyncio.Event()
        self.begun = 0

    async def send(self, outgoing, *, late_since=None):
        self.begun += 1
        if outgoing.chat in self.chats:
            await self.gate.wait()
        return await super().send(outgoing, late_since=late_since)


class TestInOrder:
    async def test_all_that_may_leave_is_sent_in_order_and_once(self, delivery, store, channel):
        post(store, "a", "b", "c")
        post(store, "d", chat=BOB)
        post(store, "later", at=after(minutes=1))

        assert await delivery.deliver_once() == 4
        assert await delivery.deliver_once() == 0
        assert channel.keys(ALICE) == ["a", "b", "c"]
        assert channel.keys(BOB) == ["d"]
        assert next_at(store) == after(minutes=1)

    async def test_all_that_waits_is_sent_in_one_go(self, delivery, store, channel):
        keys = [f"{number:03}" for number in range(150)]
        post(store, *keys)
        post(store, *keys, chat=BOB)

        assert await delivery.deliver_once() == 2 * len(keys)
        assert channel.keys(ALICE) == channel.keys(BOB) == keys

    async def test_a_chat_that_hangs_holds_up_no_other(self, store, clock):
        channel = GatedChannel(ALICE)
        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1))  # noqa: S311
        post(store, *(str(number) for number in range(10)), chat=ALICE)
        stop = asyncio.Event()
        running = asyncio.create_task(delivery.run(stop))
        await until(lambda: channel.begun == 1)

        post(store, "b", chat=BOB)
        delivery.wake()
        await until(lambda: channel.keys() == ["b"])

        stop.set()
        channel.gate.set()
        await running
        assert channel.keys(ALICE) == ["0"]  # what was in flight is done with, no more is begun

    async def test_chats_are_served_side_by_side_up_to_a_bound(self, store, clock):
        chats = [f"telegram:{number}" for number in range(10)]
        channel = GatedChannel(*chats)
        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1), at_once=4)  # noqa: S311
        for chat in chats:
            post(store, "k", chat=chat)

        sending = asyncio.create_task(delivery.deliver_once())
        await until(lambda: channel.begun == 4)
        await asyncio.sleep(0.02)
        assert channel.begun == 4

        channel.gate.set()
        assert await sending == 10

    async def test_messages_of_a_channel_that_is_not_here_are_left_alone(self, delivery, store, channel):
        post(store, *(str(number) for number in range(200)), chat="replay:Noor", at=after(days=-1))
        post(store, "a")

        assert await delivery.deliver_once() == 1
        with store.begin() as work:
            waiting = work.outbox.waiting(NOON, 1000)
        assert [entry.tries for entry in waiting] == [0] * 200


class TestLate:
    @pytest.mark.parametrize(("minutes", "is_late"), [(0, False), (10, False), (10.1, True), (600, True)])
    async def test_a_message_says_so_when_it_leaves_more_than_ten_minutes_late(
        self, delivery, store, channel, clock, minutes, is_late
    ):
        post(store, "a")
        clock.forward(minutes=minutes)

        await delivery.deliver_once()

        assert channel.late == ({"a": NOON} if is_late else {})

    async def test_a_retried_message_is_late_since_it_was_first_due(self, delivery, store, channel, clock):
        post(store, "a")
        channel.fail(ALICE, SendError("slow down", retry_after=900))
        await delivery.deliver_once()
        clock.forward(minutes=16)

        await delivery.deliver_once()

        assert channel.late == {"a": NOON}


class TestFailures:
    async def test_a_failed_message_is_tried_again_before_what_follows_it_in_its_chat(
        self, delivery, store, channel, clock
    ):
        post(store, "a", "b")
        post(store, "c", chat=BOB)
        channel.fail(ALICE, SendError("timed out"))

        assert await delivery.deliver_once() == 1
        assert channel.keys() == ["c"]

        clock.set(next_at(store))
        assert await delivery.deliver_once() == 2
        assert channel.keys(ALICE) == ["a", "b"]

    async def test_pauses_double_up_to_five_minutes_and_are_spread(self, delivery, store, channel, clock):
        post(store, "a")
        channel.fail(ALICE, *(SendError("no network") for _ in range(12)))
        pauses = []
        for _ in range(12):
            await delivery.deliver_once()
            pauses.append(seconds_to_next(store, clock))
            clock.set(next_at(store))

        longest = [min(2.0 * 2**tries, 300.0) for tries in range(12)]
        assert all(0.5 * most <= pause <= most for pause, most in zip(pauses, longest, strict=True))
        assert len(set(pauses)) == 12

        assert await delivery.deliver_once() == 1

    async def test_the_service_is_not_asked_before_it_said(self, delivery, store, channel, clock):
        post(store, "a")
        channel.fail(ALICE, SendError("slow down", retry_after=30))

        await delivery.deliver_once()

        assert 30 < seconds_to_next(store, clock) <= 31

    async def test_what_can_never_be_sent_is_given_up_and_the_next_one_sent(self, delivery, store, channel):
        post(store, "a", "b")
        channel.fail(ALICE, SendError("bad request", is_final=True))

        assert await delivery.deliver_once() == 1
        assert channel.keys() == ["b"]
        assert next_at(store) is None

    async def test_a_chat_that_is_gone_gets_no_more_reminders(self, delivery, store, channel):
        with store.begin() as work:
            farm = work.farms.found(NOON)
            for chat in (ALICE, BOB):
                work.people.put_chat(Chat(address=chat, farm=farm, is_group=False))
        post(store, "a")
        channel.fail(ALICE, SendError("blocked", chat_gone=True))

        assert await delivery.deliver_once() == 0
        assert next_at(store) is None
        with store.begin() as work:
            assert [chat.address for chat in work.people.chats(farm)] == [BOB]

    async def test_a_message_that_breaks_its_channel_is_given_up_in_the_end(self, delivery, store, channel, clock):
        post(store, "a", "b")
        channel.fail(ALICE, *(RuntimeError("a fault") for _ in range(module.UNEXPECTED_TRIES)))

        for _ in range(module.UNEXPECTED_TRIES - 1):
            assert await delivery.deliver_once() == 0
            clock.set(next_at(store))

        assert await delivery.deliver_once() == 1
        assert channel.keys() == ["b"]

    async def test_no_text_gets_into_the_log(self, delivery, store, channel, log_lines):
        post(store, "a", "b", text="the secret of tub 3")
        channel.fail(ALICE, SendError("the form is refused", is_final=True))
        channel.fail(ALICE, ValueError("the secret of tub 3"))

        await delivery.deliver_once()

        lines = [line for line in log_lines() if "part=delivery" in line]
        assert any(line.endswith('is_chat_gone=false error="SendError: the form is refused"') for line in lines)
        assert any('event="message broke its channel"' in line for line in lines)
        assert "secret" not in "".join(lines)


class FailingStore(MemoryStore):
    """Refuses a number of units of work from now on."""

    def __init__(self):
        super().__init__()
        self.refusals = 0

    def begin(self):
        if self.refusals:
            self.refusals -= 1
            raise OSError("disk full")
        return super().begin()


class TestCrashes:
    async def test_a_message_that_was_sent_is_not_sent_again_because_the_store_was_away(self, clock):
        store = FailingStore()

        class Channel(RecordingChannel):
            async def send(self, outgoing, *, late_since=None):
                store.refusals = 5
                return await super().send(outgoing, late_since=late_since)

        channel = Channel()
        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1), wait=clock.sleep)  # noqa: S311
        post(store, "a")

        assert await delivery.deliver_once() == 1
        assert channel.keys() == ["a"]
        assert next_at(store) is None

    async def test_a_kill_between_send_and_mark_repeats_that_one_message_and_loses_none(self, store, clock):
        class Killed(RecordingChannel):
            async def send(self, outgoing, *, late_since=None):
                await super().send(outgoing, late_since=late_since)
                if outgoing.key == "b":
                    raise asyncio.CancelledError
                return "17"

        killed = Killed()
        post(store, "a", "b", "c")
        await Delivery(store, {"telegram": killed}, clock, chance=random.Random(1)).deliver_once()  # noqa: S311

        channel = RecordingChannel()
        restarted = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1))  # noqa: S311
        await restarted.deliver_once()
        assert channel.keys() == []  # for all that it knows, another process is still at it

        clock.forward(seconds=module.CLAIM_FOR.total_seconds())
        await restarted.deliver_once()

        assert killed.keys() == ["a", "b"]
        assert channel.keys() == ["b", "c"]

    async def test_running_goes_on_when_the_store_is_back(self, clock, channel):
        store = FailingStore()
        store.refusals = 3
        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1), wait=clock.sleep)  # noqa: S311
        stop = asyncio.Event()
        running = asyncio.create_task(delivery.run(stop))
        await until(lambda: store.refusals == 0)

        post(store, "a")
        await until(lambda: channel.keys() == ["a"])

        stop.set()
        await running
        assert channel.keys() == ["a"]


class TestOneAtATime:
    async def test_of_what_leaves_by_itself_one_is_sent_and_marked_before_the_next_and_holds_up_no_answer(
        self, store, clock
    ):
        chats = [f"telegram:{number}" for number in range(11, 16)]
        channel = GatedChannel(*chats)
        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1))  # noqa: S311
        with store.begin() as work:
            work.outbox.post_all([an_outgoing("push", chat, is_push=True) for chat in chats], after(minutes=-1))
        post(store, "reply", chat=BOB)

        sending = asyncio.create_task(delivery.deliver_once())
        await until(lambda: channel.keys() == ["reply"])
        await asyncio.sleep(0.02)
        assert channel.begun == 2  # the answer, and one of the five

        channel.gate.set()
        assert await sending == 6
        assert channel.keys() == ["reply", *["push"] * 5]

    async def test_a_kill_repeats_one_of_them_at_most(self, store, clock):
        chats = [f"telegram:{number}" for number in range(11, 16)]
        with store.begin() as work:
            work.outbox.post_all([an_outgoing("push", chat, is_push=True) for chat in chats], NOON)

        class Killed(RecordingChannel):
            async def send(self, outgoing, *, late_since=None):
                await super().send(outgoing, late_since=late_since)
                if len(self.sent) == 3:
                    raise asyncio.CancelledError
                return "17"

        killed, channel = Killed(), RecordingChannel()
        await Delivery(store, {"telegram": killed}, clock, chance=random.Random(1)).deliver_once()  # noqa: S311
        clock.forward(seconds=module.CLAIM_FOR.total_seconds())
        await Delivery(store, {"telegram": channel}, clock, chance=random.Random(1)).deliver_once()  # noqa: S311

        assert sorted(o.chat for o in killed.sent + channel.sent) == sorted([*chats, killed.sent[2].chat])


class TestRunning:
    async def test_what_is_posted_leaves_when_it_is_woken_from_another_thread(self, store, channel, clock):
        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1))  # noqa: S311
        delivery.wake()  # before it runs: nothing to do
        stop = asyncio.Event()
        running = asyncio.create_task(delivery.run(stop))
        await asyncio.sleep(0.02)

        def answer():
            post(store, "a", "b")
            delivery.wake()

        await asyncio.to_thread(answer)
        await until(lambda: channel.keys() == ["a", "b"])

        stop.set()
        await running
        delivery.wake()  # after it ran: nothing to do
        assert channel.keys() == ["a", "b"]

    async def test_it_sleeps_until_the_next_message_may_leave(self, store, channel, clock):
        waits = []

        async def wait(seconds):
            waits.append(seconds)
            await clock.sleep(seconds)

        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1), wait=wait)  # noqa: S311
        post(store, "a", at=after(seconds=3))
        post(store, "b", at=after(seconds=200))
        stop = asyncio.Event()
        running = asyncio.create_task(delivery.run(stop))
        await until(lambda: channel.keys() == ["a", "b"])

        stop.set()
        await running
        assert waits[0] == 3
        assert max(waits) == module.LOOK_AGAIN

    async def test_nothing_is_begun_while_it_stops(self, store, clock):
        channel = GatedChannel(ALICE)
        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1))  # noqa: S311
        post(store, "a")
        stop = asyncio.Event()
        running = asyncio.create_task(delivery.run(stop))
        await until(lambda: channel.begun == 1)

        stop.set()
        await asyncio.sleep(0.02)
        post(store, "b", chat=BOB)
        with store.begin() as work:
            claimed = delivery.claim_within(work)
        delivery.begin(claimed)
        channel.gate.set()
        await running

        assert claimed == []
        assert channel.keys() == ["a"]
        assert next_at(store) == NOON  # it leaves at the next start

    async def test_stopping_does_not_wait_for_a_service_that_hangs(self, store, clock, monkeypatch):
        monkeypatch.setattr(module, "STOP_WITHIN", 0.02)
        channel = GatedChannel(ALICE)
        delivery = Delivery(store, {"telegram": channel}, clock, chance=random.Random(1))  # noqa: S311
        post(store, "a")
        stop = asyncio.Event()
        running = asyncio.create_task(delivery.run(stop))
        await until(lambda: channel.begun == 1)

        stop.set()
        await asyncio.wait_for(running, 5)

        assert next_at(store) == NOON + module.CLAIM_FOR  # not marked: it is sent again once its claim has run out


async def until(holds):
    for _ in range(2000):
        if holds():
            return
        await asyncio.sleep(0.001)
    raise AssertionError("it never came to hold")
