"""What the doctor sees of Telegram."""

import datetime as dt
import time

import pytest

from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.examination import examine
from tests.botapi.faults import Drop, broken, too_many
from tests.botapi.server import BotApiServer
from tests.fakes import FakeClock

OURS = "https://farm.example/telegram"


@pytest.fixture
def seen(server):
    async def look(*, token=None, api=None, webhook=None, clock=None):
        account = TelegramAccount(token or server.token, api=api or server.api, send_rate=0)
        return await examine(account, clock or FakeClock(dt.datetime.fromtimestamp(time.time(), dt.UTC)), webhook)  # noqa: TID251 - as the server's

    return look


async def test_a_sound_account_is_well(seen):
    look = await seen()

    assert look.trouble is None
    assert abs(look.clock.ahead) < dt.timedelta(seconds=5)
    assert [(finding.is_well, finding.text) for finding in look.more] == [
        (True, "messages: `ovipost serve` asks Telegram for them")
    ]


async def test_a_wrong_token_is_told(seen):
    look = await seen(token="1:wrong")  # noqa: S106 - of no bot

    assert look.trouble.startswith("it refuses the token; copy the token")
    assert abs(look.clock.ahead) < dt.timedelta(seconds=5)  # a refusal is dated as well


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        (broken(), "no answer (HTTP 500); check the network"),
        (Drop(), "no answer (Connection failed: ServerDisconnectedError); check the network"),
        (too_many(7), "it has had too many calls; look again in 7 seconds."),
    ],
    ids=["broken", "dropped", "too many"],
)
@pytest.mark.parametrize("method", ["getMe", "getWebhookInfo"])
async def test_a_service_that_does_not_answer_is_told(server, seen, method, fault, told):
    server.faults(method, fault)

    assert (await seen()).trouble.startswith(told)


async def test_an_address_where_nothing_listens_is_told(seen):
    look = await seen(api="http://127.0.0.1:9/bot")

    assert look.clock is None
    assert look.trouble == (
        "no answer (No connection: connection refused); check the network, and OVIPOST_TELEGRAM_API if it is set."
    )


@pytest.mark.parametrize("minutes", [-300, -2, 2, 300])
async def test_the_clock_is_held_against_the_servers(minutes):
    clock = FakeClock()
    async with BotApiServer(now=lambda: clock.now().timestamp() + minutes * 60) as server:
        account = TelegramAccount(server.token, api=server.api, send_rate=0)
        look = await examine(account, clock, None)

    assert abs(look.clock.ahead - dt.timedelta(minutes=minutes)) <= dt.timedelta(seconds=1)


async def test_a_webhook_of_somebody_else_is_told_by_its_host_alone(server, seen):
    server.updates.webhook = "https://other.example/secret-path"

    for ours in (None, OURS):
        (finding,) = (await seen(webhook=ours)).more
        assert not finding.is_well
        assert finding.text.startswith("messages: they go to other.example; where another program has this bot")
        assert "secret-path" not in finding.text


async def test_a_webhook_that_fails_is_told_with_telegrams_reason(server, seen):
    now = int(time.time())  # noqa: TID251 - as the server's
    server.updates.webhook = OURS
    server.webhook_trouble = {"last_error_date": now - 180, "last_error_message": "Connection refused"}
    server.updates.waiting.extend([{"update_id": 1}, {"update_id": 2}])

    (finding,) = (await seen(webhook=OURS)).more
    assert not finding.is_well
    assert finding.text.startswith(
        "messages: Telegram's last call, 3 min ago, failed (Connection refused), 2 waiting there; see that"
    )

    server.webhook_trouble["last_error_date"] = now - 2 * 3600
    (finding,) = (await seen(webhook=OURS)).more
    assert (finding.is_well, finding.text) == (True, "messages: Telegram brings them, 2 waiting there")


async def test_a_webhook_that_is_still_to_be_set_is_well(seen):
    (finding,) = (await seen(webhook=OURS)).more

    assert (finding.is_well, finding.text) == (True, "messages: `ovipost serve` will tell Telegram where to bring them")
