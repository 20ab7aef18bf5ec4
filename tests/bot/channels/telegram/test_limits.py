"""No more messages leave than Telegram takes."""

import asyncio

import pytest

from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.channel import TelegramChannel
from bot.channels.telegram.limits import GROUP_MESSAGES
from bot.ports.sending import SendError
from tests.bot.channels.telegram.conftest import an_outgoing


@pytest.fixture
async def make_channel(server):
    accounts = []

    def _make(send_rate):
        accounts.append(TelegramAccount(server.token, api=server.api, send_rate=send_rate))
        return TelegramChannel(accounts[-1])

    yield _make
    for account in accounts:
        await account.shutdown()


async def test_all_chats_together_keep_to_the_rate(server, make_channel):
    channel = make_channel(50)
    people = [server.person(f"P{number}") for number in range(30)]

    await asyncio.gather(*(channel.send(an_outgoing(person)) for person in people))

    times = [call.at for call in server.calls_of("sendmessage")]
    assert len(times) == 30
    assert (
        times[-1] - times[0] >= (30 - 5) / 50 - 0.1
    )  # a burst of a tenth of a second is let through, and clocks are rough


async def test_without_a_rate_nothing_waits(server, make_channel):
    channel = make_channel(0)
    group = server.group("Farm")

    await asyncio.gather(*(channel.send(an_outgoing(group, key=str(number))) for number in range(GROUP_MESSAGES + 5)))

    assert len(server.sent(group)) == GROUP_MESSAGES + 5


async def test_a_group_that_had_its_share_is_sent_away_and_holds_nobody_up(server, make_channel):
    channel = make_channel(1000)
    group, noor = server.group("Farm"), server.person("Noor")
    for number in range(GROUP_MESSAGES):
        await channel.send(an_outgoing(group, key=str(number)))

    with pytest.raises(SendError) as caught:
        await channel.send(an_outgoing(group, key="one more"))
    await channel.send(an_outgoing(noor))

    assert caught.value.retry_after == 3
    assert len(server.sent(noor)) == 1
