"""The Bot API server of the tests keeps to what Telegram documents."""

import asyncio

import aiohttp
import pytest
from aiohttp import web

from tests.botapi.faults import Drop, Garbage, HalfAnswer, Wait, broken, too_many
from tests.botapi.server import BotApiServer


@pytest.fixture
async def server():
    async with BotApiServer() as running:
        yield running


@pytest.fixture
async def session():
    async with aiohttp.ClientSession() as opened:
        yield opened


@pytest.fixture
def call(server, session):
    async def _call(method, token=None, **params):
        url = f"{server.api}{token or server.token}/{method}"
        async with session.post(url, json=params) as answer:
            return answer.status, await answer.json()

    return _call


async def test_a_wrong_token_is_refused(call):
    assert await call("getMe", token="1:wrong") == (  # noqa: S106 - of no bot
        401,
        {"ok": False, "error_code": 401, "description": "Unauthorized"},
    )


async def test_a_method_that_it_does_not_know_is_not_found(call):
    assert (await call("sendStars"))[0] == 404


async def test_parameters_come_as_form_query_or_json(server, session):
    noor = server.person("Noor")
    url = f"{server.api}{server.token}/sendMessage"

    for given in (
        {"data": {"chat_id": str(noor.id), "text": "form"}},
        {"params": {"chat_id": str(noor.id), "text": "query"}},
        {"json": {"chat_id": noor.id, "text": "json"}},
    ):
        async with session.post(url, **given) as answer:
            assert answer.status == 200

    assert [sent.text for sent in server.sent(noor)] == ["form", "query", "json"]


async def test_an_update_comes_again_until_a_poll_asks_past_it(server, call):
    noor = server.person("Noor")
    server.says(noor, "one")
    server.says(noor, "two")

    first = (await call("getUpdates"))[1]["result"]
    again = (await call("getUpdates"))[1]["result"]
    rest = (await call("getUpdates", offset=first[0]["update_id"] + 1))[1]["result"]

    assert [update["message"]["text"] for update in first] == ["one", "two"]
    assert again == first
    assert rest == first[1:]


async def test_a_long_poll_waits_for_an_update(server, call):
    noor = server.person("Noor")
    polling = asyncio.create_task(call("getUpdates", timeout=5))
    await server.until(lambda: server.calls_of("getupdates"))

    server.says(noor, "now")

    assert (await polling)[1]["result"][0]["message"]["text"] == "now"


async def test_a_long_poll_ends_empty_after_its_time(call):
    assert await call("getUpdates", timeout=0.05) == (200, {"ok": True, "result": []})


async def test_of_two_polls_the_older_is_ended(server, call):
    older = asyncio.create_task(call("getUpdates", timeout=5))
    await server.until(lambda: server.calls_of("getupdates"))

    newer = asyncio.create_task(call("getUpdates", timeout=0.1))

    assert (await older)[0] == 409
    assert (await newer)[0] == 200


async def test_only_the_kinds_that_were_asked_for_come(server, call):
    noor = server.person("Noor")
    await call("getUpdates", allowed_updates=["message"])

    server.edits(server.says(noor, "tub 3"), "tub 4")

    assert len((await call("getUpdates"))[1]["result"]) == 1


@pytest.mark.parametrize(
    ("params", "description"),
    [
        ({"text": ""}, "Bad Request: message text is empty"),
        ({"text": "<b></b> ", "parse_mode": "HTML"}, "Bad Request: message text is empty"),
        ({"text": "x" * 4097}, "Bad Request: message is too long"),
        ({"text": "\U0001f997" * 2049}, "Bad Request: message is too long"),
        (
            {"text": "a < b", "parse_mode": "HTML"},
            'Bad Request: can\'t parse entities: Unsupported start tag "" at byte offset 2',
        ),
        (
            {"text": "<p>x</p>", "parse_mode": "HTML"},
            'Bad Request: can\'t parse entities: Unsupported start tag "p" at byte offset 0',
        ),
        (
            {"text": "<b>x", "parse_mode": "HTML"},
            "Bad Request: can't parse entities: Can't find end tag corresponding to start tag \"b\"",
        ),
        (
            {"reply_markup": {"inline_keyboard": [[{"text": "x", "callback_data": "d" * 65}]]}},
            "Bad Request: BUTTON_DATA_INVALID",
        ),
        ({"chat_id": 1}, "Bad Request: chat not found"),
    ],
)
async def test_a_message_that_telegram_would_refuse_is_refused(server, call, params, description):
    noor = server.person("Noor")

    status, answer = await call("sendMessage", **({"chat_id": noor.id, "text": "x"} | params))

    assert (status, answer["description"]) == (400, description)
    assert server.sent(noor) == []


async def test_a_message_of_the_longest_length_is_sent_with_its_markup_read(server, call):
    noor = server.person("Noor")
    text = "<b>" + "&lt;" * 4095 + "</b>x"

    status, answer = await call("sendMessage", chat_id=noor.id, text=text, parse_mode="HTML")

    assert status == 200
    assert answer["result"]["entities"] == [{"type": "bold", "offset": 0, "length": 4095}]
    assert server.sent(noor)[0].bold == ["<" * 4095]


async def test_a_location_can_be_asked_for_in_private_only(server, call):
    asks = {"keyboard": [[{"text": "here", "request_location": True}]]}

    assert (await call("sendMessage", chat_id=server.person("Noor").id, text="x", reply_markup=asks))[0] == 200
    assert (await call("sendMessage", chat_id=server.group("Farm").id, text="x", reply_markup=asks))[0] == 400


async def test_a_chat_that_blocked_the_bot_moved_or_is_gone_says_so(server, call):
    noor, gone, group = server.person("Noor"), server.person("Gone"), server.group("Farm")
    server.blocks(noor)
    server.deletes(gone)
    new = server.upgrades(group)

    answers = [await call("sendMessage", chat_id=chat.id, text="x") for chat in (noor, gone, group)]

    assert [status for status, _ in answers] == [403, 400, 400]
    assert answers[0][1]["description"] == "Forbidden: bot was blocked by the user"
    assert answers[2][1]["parameters"] == {"migrate_to_chat_id": new.id}


async def test_a_press_is_answered_once(server, call):
    noor = server.person("Noor")
    buttons = {"inline_keyboard": [[{"text": "Watered", "callback_data": "1:w"}]]}
    await call("sendMessage", chat_id=noor.id, text="x", reply_markup=buttons)

    press = server.presses(noor, server.sent(noor)[0], "Watered")

    assert (await call("getUpdates"))[1]["result"][0]["callback_query"]["data"] == "1:w"
    assert (await call("answerCallbackQuery", callback_query_id=press))[0] == 200
    assert (await call("answerCallbackQuery", callback_query_id=press))[0] == 400
    assert server.answered == [press]


async def test_commands_are_checked(server, call):
    assert (await call("setMyCommands", commands=[{"command": "due", "description": "What is due"}]))[0] == 200
    assert (await call("setMyCommands", commands=[{"command": "Due!", "description": "x"}]))[0] == 400
    assert server.commands == {"": [{"command": "due", "description": "What is due"}]}


async def test_a_webhook_gets_each_update_until_it_takes_it(server, call):
    noor = server.person("Noor")
    seen = []

    async def _take(request):
        seen.append((request.headers.get("X-Telegram-Bot-Api-Secret-Token"), (await request.json())["message"]["text"]))
        return web.Response(status=500 if len(seen) == 1 else 200)

    app = web.Application()
    app.router.add_post("/hook", _take)
    runner = web.AppRunner(app)
    await runner.setup()
    await web.TCPSite(runner, "127.0.0.1", 0).start()
    await call("setWebhook", url=f"http://127.0.0.1:{runner.addresses[0][1]}/hook", secret_token="s3cret")  # noqa: S106 - made up

    server.says(noor, "one")
    await server.until(lambda: server.updates.webhook_answers == [500, 200])

    assert seen == [("s3cret", "one")] * 2
    assert (await call("getUpdates"))[0] == 409
    assert (await call("deleteWebhook"))[0] == 200
    assert (await call("getUpdates"))[1]["result"] == []
    await runner.cleanup()


async def test_faults_come_in_their_order_and_only_to_their_method(server, call):
    noor = server.person("Noor")
    server.faults("sendMessage", too_many(3), broken(), Wait(seconds=0.01))

    answers = [await call("sendMessage", chat_id=noor.id, text="x") for _ in range(4)]

    assert [status for status, _ in answers] == [429, 500, 200, 200]
    assert answers[0][1]["parameters"] == {"retry_after": 3}
    assert (await call("getMe"))[0] == 200


async def test_a_connection_breaks_before_or_after_the_message_is_sent(server, call):
    noor = server.person("Noor")
    server.faults("sendMessage", Drop(), Drop(is_done=True), HalfAnswer())

    for _ in range(3):
        with pytest.raises((aiohttp.ClientError, ConnectionError)):
            await call("sendMessage", chat_id=noor.id, text="x")

    assert len(server.sent(noor)) == 2


async def test_a_page_of_a_proxy_comes_in_place_of_an_answer(server, session):
    server.faults("getMe", Garbage())

    async with session.get(f"{server.api}{server.token}/getMe") as answer:
        assert (answer.status, answer.content_type) == (502, "text/html")
