"""From the outbox to people: a service that is out, a chat that has moved, a reminder that makes no sense any more."""

import random

import pytest
from msgspec.structs import replace

from bot import outages
from bot.delivery import Delivery
from bot.ports.sending import SendError, Trouble
from bot.ports.stores import Chat
from tests.contracts.records import NOON, after, an_outgoing
from tests.fakes import FakeClock, RecordingChannel
from tests.memory import MemoryStore

ALICE, BOB, OLD, NEW = "telegram:1", "telegram:2", "telegram:-5", "telegram:-1005"
BEAT = 1.0  # seconds between two looks of these tests
CHATS = [f"telegram:{number}" for number in range(1, 41)]


class DownChannel(RecordingChannel):
    """A service that is out until a time."""

    def __init__(self, clock, until, trouble=Trouble.NETWORK, **fields):
        super().__init__()
        self._clock = clock
        self._until = until
        self._error = {"trouble": trouble} | fields
        self.tries = []  # when, and to which chat
        self.sent_at = {}  # by chat

    async def send(self, outgoing, *, late_since=None):
        now = self._clock.now()
        self.tries.append((now, outgoing.chat))
        if now < self._until:
            raise SendError("no connection", **self._error)
        self.sent_at.setdefault(outgoing.chat, now)
        return await super().send(outgoing, late_since=late_since)


@pytest.fixture
def clock():
    return FakeClock()


@pytest.fixture
def store():
    return MemoryStore()


def deliver(store, channel, clock, **options):
    chance = random.Random(1)  # noqa: S311 - no secret hangs on it
    return Delivery(store, {"telegram": channel}, clock, chance=chance, wait=clock.sleep, **options)


def post(store, *keys, chat=ALICE, **fields):
    with store.begin() as work:
        for key in keys:
            work.outbox.post(an_outgoing(key, chat, **fields), NOON)


async def go_on_until(delivery, clock, at):
    """Look again and again as time passes."""
    while clock.now() < at:
        await delivery.deliver_once()
        clock.forward(seconds=BEAT)


class TestOutage:
    @pytest.mark.parametrize("trouble", [Trouble.NETWORK, Trouble.SERVER])
    async def test_of_an_hour_costs_few_tries_and_all_have_left_within_five_minutes_of_its_end(
        self, store, clock, trouble
    ):
        channel = DownChannel(clock, after(hours=1), trouble)
        for chat in CHATS:
            post(store, "a", "b", chat=chat)

        await go_on_until(deliver(store, channel, clock), clock, after(hours=1, minutes=5))

        assert sorted(channel.sent_at) == sorted(CHATS)
        assert all(channel.keys(chat) == ["a", "b"] for chat in CHATS)
        in_vain = [chat for at, chat in channel.tries if at < after(hours=1)]
        assert 60 <= len(in_vain) <= len(CHATS) + 140
        late = max(channel.sent_at.values()) - after(hours=1)
        assert late.total_seconds() <= 2 * outages.LONGEST_PAUSE[trouble]

    async def test_while_it_lasts_one_message_tries_at_a_time(self, store, clock):
        channel = DownChannel(clock, after(hours=1))
        for chat in CHATS:
            post(store, "a", chat=chat)

        await go_on_until(deliver(store, channel, clock), clock, after(minutes=30))

        first = channel.tries[0][0]
        later = [at for at, _ in channel.tries if at > first]
        assert len(later) == len(set(later))

    async def test_of_a_farm_with_two_chats_is_over_for_them_within_a_minute(self, store, clock):
        channel = DownChannel(clock, after(hours=1))
        for chat in (ALICE, BOB):
            post(store, "a", chat=chat)

        await go_on_until(deliver(store, channel, clock), clock, after(hours=1, minutes=2))

        late = max(channel.sent_at.values()) - after(hours=1)
        assert late.total_seconds() <= outages.LONGEST_PAUSE[Trouble.NETWORK] + BEAT

    async def test_what_the_service_asks_of_all_is_kept_to_and_then_all_leave(self, store, clock):
        channel = DownChannel(clock, after(seconds=40), Trouble.FLOOD, retry_after=40)
        for chat in CHATS:
            post(store, "a", chat=chat)

        await go_on_until(deliver(store, channel, clock), clock, after(seconds=45))

        assert sorted(channel.sent_at) == sorted(CHATS)
        assert len(channel.tries) == 2 * len(CHATS)

    async def test_a_message_that_always_fails_does_not_keep_the_others_from_finding_out(self, store, clock):
        channel = DownChannel(clock, after(minutes=10))
        for chat in CHATS:
            post(store, "a", chat=chat)
        channel.fail(CHATS[0], *[SendError("cut", trouble=Trouble.NETWORK)] * 500)

        await go_on_until(deliver(store, channel, clock), clock, after(minutes=14))

        assert {outgoing.chat for outgoing in channel.sent} == set(CHATS[1:])

    async def test_a_chat_that_is_flooded_holds_up_no_other(self, store, clock):
        channel = RecordingChannel()
        channel.fail(ALICE, SendError("wait", trouble=Trouble.FLOOD, retry_after=600))
        post(store, "a", "b")
        for chat in CHATS[1:]:
            post(store, "a", chat=chat)

        await deliver(store, channel, clock).deliver_once()

        assert {outgoing.chat for outgoing in channel.sent} == set(CHATS[1:])


class TestMoved:
    def moved(self):
        return SendError("moved", moved_to=NEW)

    async def test_the_message_and_all_behind_it_go_to_the_new_address_in_order_and_once(self, store, clock):
        channel = RecordingChannel()
        channel.fail(OLD, self.moved())
        post(store, "a", "b", "c", chat=OLD)
        with store.begin() as work:
            farm = work.farms.found(NOON)
            work.people.put_chat(Chat(address=OLD, farm=farm, is_group=True))
            work.dialogs.save(OLD, OLD, b"open")

        await deliver(store, channel, clock).deliver_once()

        assert channel.keys(OLD) == []
        assert channel.keys(NEW) == ["a", "b", "c"]
        with store.begin() as work:
            assert [chat.address for chat in work.people.chats(farm)] == [NEW]
            assert work.dialogs.load(NEW, NEW) == b"open"

    async def test_what_went_to_the_new_address_already_does_not_go_twice(self, store, clock):
        channel = RecordingChannel()
        channel.fail(OLD, self.moved())
        post(store, "push", chat=NEW)
        post(store, "push", "b", chat=OLD)

        await deliver(store, channel, clock).deliver_once()

        assert sorted(channel.keys(NEW)) == ["b", "push"]

    async def test_two_addresses_that_name_each_other_are_asked_less_and_less_often(self, store, clock):
        channel = RecordingChannel()
        for old, new in ((OLD, NEW), (NEW, OLD)):
            channel.fail(old, *[SendError("moved", moved_to=new)] * 1000)
        tries = 0
        post(store, "a", chat=OLD)
        delivery = deliver(store, channel, clock)

        await go_on_until(delivery, clock, after(hours=1))

        tries = 2000 - sum(len(errors) for errors in channel._failures.values())
        assert tries <= 30

    async def test_a_chat_that_moves_to_where_it_is_is_tried_again_like_any_other(self, store, clock):
        channel = RecordingChannel()
        channel.fail(OLD, SendError("moved", moved_to=OLD))
        post(store, "a", chat=OLD)

        await go_on_until(deliver(store, channel, clock), clock, after(seconds=10))

        assert channel.keys(OLD) == []
        with store.begin() as work:
            assert work.outbox.waiting(after(days=1)) == []


class TestOvertaken:
    async def test_a_reminder_that_makes_no_sense_any_more_is_not_sent_and_holds_up_nothing(self, store, clock):
        channel = RecordingChannel()
        post(store, "push:1:1", is_push=True)
        post(store, "reply")
        clock.forward(minutes=20)

        sent = await deliver(store, channel, clock, as_it_stands=lambda _: None).deliver_once()

        assert (sent, channel.keys()) == (1, ["reply"])

    async def test_it_is_sent_as_it_stands(self, store, clock):
        channel = RecordingChannel()
        post(store, "push:1:1", is_push=True, text="Water tubs 1 and 2.")
        clock.forward(minutes=20)

        delivery = deliver(store, channel, clock, as_it_stands=lambda out: replace(out, text="Water tub 2."))
        await delivery.deliver_once()

        assert [outgoing.text for outgoing in channel.sent] == ["Water tub 2."]
        assert channel.late == {"push:1:1": NOON}

    async def test_it_is_looked_at_only_where_it_is_late_or_was_tried(self, store, clock):
        channel, looked_at = RecordingChannel(), []

        def look(outgoing):
            looked_at.append(outgoing.key)
            return outgoing

        delivery = deliver(store, channel, clock, as_it_stands=look)
        channel.fail(BOB, SendError("cut", trouble=Trouble.NETWORK))
        post(store, "timely", is_push=True)
        post(store, "tried", chat=BOB, is_push=True)
        await delivery.deliver_once()
        assert looked_at == []

        clock.forward(seconds=2)
        await delivery.deliver_once()
        assert looked_at == ["tried"]

        post(store, "late", is_push=True)
        post(store, "late reply")
        clock.forward(minutes=2)
        await delivery.deliver_once()
        assert looked_at == ["tried", "late"]
        assert sorted(channel.keys()) == ["late", "late reply", "timely", "tried"]

    async def test_one_that_cannot_be_looked_at_is_sent_as_it_was(self, store, clock, caplog):
        def look(_):
            raise OSError("a page with tub 3 is missing")

        channel = RecordingChannel()
        post(store, "push:1:1", is_push=True)
        clock.forward(minutes=20)

        await deliver(store, channel, clock, as_it_stands=look).deliver_once()

        assert channel.keys() == ["push:1:1"]
        assert "tub 3" not in caplog.text

    async def test_one_that_takes_long_to_be_looked_at_is_claimed_anew_before_it_is_sent(self, store, clock):
        looks = iter([30, 0])  # seconds that each takes

        def look(outgoing):
            clock.forward(seconds=next(looks))
            return outgoing

        channel = RecordingChannel()
        post(store, "push:1:1", is_push=True)
        clock.forward(minutes=20)
        delivery = deliver(store, channel, clock, as_it_stands=look)
        assert await delivery.deliver_once() == 1

        assert channel.keys() == ["push:1:1"]
        assert next(looks, None) is None
