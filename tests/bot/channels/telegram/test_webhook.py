"""Updates that Telegram brings: let in with the secret only, stored before the answer."""

import asyncio
import contextlib
import io
import json
from types import SimpleNamespace

import aiohttp
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.requests import Request

from bot.channels.listening import PortError
from bot.channels.telegram import webhook
from bot.channels.telegram.account import REFUSALS_BELIEVED, TokenRefusedError
from bot.channels.telegram.channel import TelegramChannel
from bot.channels.telegram.webhook import TelegramWebhook, WebhookAddress
from bot.ports.messages import Button
from tests.bot.channels.telegram import junk
from tests.bot.channels.telegram.conftest import MemoryInbox, StillClock, an_outgoing
from tests.botapi.faults import Drop, Garbage, Refuse, broken, too_many

SECRET = "a-made-up_secret"  # noqa: S105 - of these tests


@pytest.fixture
def address(unused_tcp_port):
    return WebhookAddress(url=f"http://127.0.0.1:{unused_tcp_port}/telegram/hook", secret=SECRET, port=unused_tcp_port)


@pytest.fixture
async def served(server, account, inbox, clock, address, running):
    task = running(TelegramWebhook(account, inbox.take, clock, address, commands={"en": [("due", "What is due")]}))
    await server.until(lambda: server.updates.webhook)
    return task


@pytest.fixture
async def post(address):
    async with aiohttp.ClientSession() as session:

        async def _post(body, secret=SECRET, path=address.url):
            headers = {} if secret is None else {"X-Telegram-Bot-Api-Secret-Token": secret}
            async with session.post(path, data=io.BytesIO(body), headers=headers) as answer:
                return answer.status

        yield _post


@pytest.mark.usefixtures("served")
async def test_updates_come_in_once_and_in_order(server, inbox):
    noor = server.person("Noor")
    for number in range(20):
        server.says(noor, f"tub {number}")

    await server.until(lambda: not server.updates.waiting)

    assert inbox.texts == [f"tub {number}" for number in range(20)]
    assert inbox.tries == 20
    assert server.commands == {"": [{"command": "due", "description": "What is due"}]}


@pytest.mark.usefixtures("served")
async def test_what_cannot_be_stored_is_brought_again(server, inbox, caplog):
    inbox.is_broken = True
    server.says(server.person("Noor"), "tub 3 watered")
    await server.until(lambda: server.updates.webhook_answers[:2] == [503, 503])

    inbox.is_broken = False
    await server.until(lambda: not server.updates.waiting)

    assert inbox.texts == ["tub 3 watered"]
    assert "tub 3" not in caplog.text


@pytest.mark.usefixtures("served")
@pytest.mark.parametrize("secret", [None, "", "wrong", SECRET + "x", "\N{LATIN SMALL LETTER E WITH ACUTE}"])
async def test_without_the_secret_nobody_comes_in(inbox, post, secret):
    status = await post(b'{"update_id": 1}', secret)

    assert (status, inbox.tries) == (403, 0)


@pytest.mark.usefixtures("served")
@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"[]", 400),
        (b"\xff\xfe", 400),
        (b'{"a":' * 100_000, 400),
        (b'{"update_id": 1e400, "message": {"text": "\\ud83e"}}', 200),
        (b'{"update_id": 1}', 200),
        (b'{"update_id": 1, "message": {}}', 200),
        (b"x" * (webhook.LARGEST + 1), 413),
    ],
    ids=["empty", "a list", "bytes", "deep", "odd values", "no content", "no head", "huge"],
)
async def test_a_call_with_nonsense_breaks_nothing(inbox, post, body, status):
    assert (await post(body), inbox.tries) == (status, 0)


@pytest.mark.usefixtures("served")
async def test_an_update_of_a_megabyte_is_taken(server, inbox, post):
    noor = server.person("Noor")
    message = {
        **server.message(noor.chat, 1, noor.user),
        "text": "tub 3 watered",
        "entities": [{"type": "x" * 1_000_000}],
    }

    status = await post(json.dumps({"update_id": 1, "message": message}).encode())

    assert (status, inbox.texts) == (200, ["tub 3 watered"])


@pytest.mark.usefixtures("served")
async def test_what_is_too_large_is_refused_before_it_is_read_whole(address):
    """Announced as a hundred megabytes, of which no more is sent than shows that it is too much."""
    sent = 0

    async def body():
        nonlocal sent
        while sent < 100 * 1024 * 1024:
            sent += 65536
            yield b"x" * 65536
            await asyncio.sleep(0)

    async with aiohttp.ClientSession() as session:
        with contextlib.suppress(aiohttp.ClientError):
            headers = {webhook.SECRET_HEADER: SECRET}
            async with session.post(address.url, data=body(), headers=headers) as answer:
                assert answer.status == 413

    assert sent < 8 * webhook.LARGEST


@pytest.mark.usefixtures("served")
async def test_the_secret_is_compared_in_constant_time_before_anything_is_read(post, monkeypatch):
    compared = []

    def compare(given, secret):
        compared.append(given)
        return given == secret

    monkeypatch.setattr(webhook.hmac, "compare_digest", compare)

    assert await post(b"x" * (webhook.LARGEST + 1), "wrong") == 403
    assert await post(b"{}", "") == 403
    assert compared == [b"wrong", b""]


@pytest.mark.usefixtures("served")
async def test_other_paths_and_methods_are_not_there(address, post):
    assert await post(b"{}", path=address.url + "/more") == 404
    assert await post(b"{}", path=address.url.removesuffix("/hook")) == 404
    assert await post(b"{}", None, path=address.url + "/more") == 404
    async with aiohttp.ClientSession() as session, session.get(address.url) as answer:
        assert answer.status == 405


@pytest.mark.usefixtures("served")
async def test_a_press_is_answered_within_the_answer(server, account, inbox):
    noor = server.person("Noor")
    await TelegramChannel(account).send(an_outgoing(noor, buttons=((Button(label="Watered", data="1:w"),),)))

    press = server.presses(noor, server.sent(noor)[0], "Watered")
    await server.until(lambda: server.answered == [press])

    assert [incoming.press for incoming in inbox.messages.values()] == ["1:w"]
    assert server.calls_of("answercallbackquery") == []


async def test_a_port_that_is_taken_is_told_with_its_variable(account, inbox, clock, address, running, served):
    second = TelegramWebhook(account, inbox.take, clock, address)

    with pytest.raises(PortError, match=r"in use\); set OVIPOST_PORT to"):
        await second.run(running.stop)

    assert not served.done()


async def test_it_is_set_as_soon_as_telegram_can_be_reached(server, account, inbox, clock, address, running):
    server.faults("getMe", Drop(), Garbage(code=200, body='{"ok": true, "result": 5}'), broken())
    server.faults("setWebhook", broken(), Drop(), too_many(0))
    running(TelegramWebhook(account, inbox.take, clock, address))

    await server.until(lambda: server.updates.webhook, within=10)
    server.says(server.person("Noor"), "tub 3")
    await server.until(lambda: inbox.texts == ["tub 3"])


async def test_one_that_somebody_took_away_is_set_again(server, account, inbox, clock, address, running, monkeypatch):
    monkeypatch.setattr(webhook, "SET_AGAIN_EVERY", 0.05)
    running(TelegramWebhook(account, inbox.take, clock, address))
    await server.until(lambda: server.updates.webhook)

    server.updates.use_webhook(None, None)
    await server.until(lambda: server.updates.webhook == address.url)


async def test_a_token_that_is_withdrawn_ends_it(server, account, inbox, clock, address, running, monkeypatch):
    monkeypatch.setattr(webhook, "SET_AGAIN_EVERY", 0.05)
    task = running(TelegramWebhook(account, inbox.take, clock, address))
    await server.until(lambda: server.updates.webhook)

    server.faults("setWebhook", Refuse(code=401, description="Unauthorized"), times=REFUSALS_BELIEVED)

    with pytest.raises(TokenRefusedError):
        await asyncio.wait_for(task, 10)


@given(st.lists(junk.JUNK, min_size=1, max_size=8))
@settings(max_examples=60, deadline=None)
def test_whatever_comes_the_good_ones_are_stored_once_and_nothing_breaks(updates):
    inbox = MemoryInbox()
    address = WebhookAddress(url="https://farm.example/hook", secret=SECRET, port=1)
    hook = TelegramWebhook(SimpleNamespace(username="farm_test_bot"), inbox.take, StillClock(), address)
    for number, raw in enumerate(updates):
        odd = raw | {"update_id": number} if isinstance(raw, dict) else raw
        good = {"update_id": 1000 + number, "message": junk.a_message(message_id=number, text="tub 3")}

        assert asyncio.run(_status(hook, odd)) in {200, 400}
        assert asyncio.run(_status(hook, good)) == 200

    stored = [m.key for m in inbox.messages.values() if int(m.key.rpartition(":")[2]) >= 1000]
    assert stored == [f"telegram:update:{1000 + number}" for number in range(len(updates))]


async def _status(hook, update):
    """Call the webhook without a server; give the status of its answer, which can be written."""

    async def receive():
        return {"type": "http.request", "body": json.dumps(update).encode()}

    headers = [(b"x-telegram-bot-api-secret-token", SECRET.encode())]
    return (await hook._called(Request({"type": "http", "method": "POST", "headers": headers}, receive))).status_code
