"""The HTTP client: what goes wrong comes as the library's errors, without the token."""

import logging

import pytest
import telegram
from telegram import error

from bot.channels.telegram.request import AiohttpRequest, FloodError, NotJsonError, ServerTroubleError, read_json
from tests.botapi.faults import Drop, Garbage, HalfAnswer, Refuse, Wait, broken, too_many
from tests.botapi.world import File


@pytest.fixture
async def bot(server):
    request = AiohttpRequest(read_timeout=0.3)
    made = telegram.Bot(server.token, base_url=server.api, request=request, get_updates_request=AiohttpRequest())
    yield made
    await request.shutdown()


async def test_a_call_goes_out_and_its_answer_comes_back(server, bot):
    noor = server.person("Noor")

    sent = await bot.send_message(noor.id, "Grüße & <3 🦗")

    assert sent.text == server.sent(noor)[0].text == "Grüße & <3 🦗"


@pytest.mark.parametrize(
    ("fault", "kind"),
    [
        (too_many(7), FloodError),
        (broken(), ServerTroubleError),
        (Garbage(), ServerTroubleError),
        (Wait(seconds=1), error.TimedOut),
        (Drop(), error.NetworkError),
        (Drop(is_done=True), error.NetworkError),
        (HalfAnswer(), error.NetworkError),
        (Garbage(code=200), error.NetworkError),
        (Garbage(code=404), error.InvalidToken),
        (Refuse(code=400, description="Bad Request: chat not found"), error.BadRequest),
        (Refuse(code=403, description="Forbidden: bot was blocked by the user"), error.Forbidden),
        (Refuse(code=409, description="Conflict: x"), error.Conflict),
        (Refuse(code=400, description="Bad Request: x", migrate_to=-100), error.ChatMigrated),
        (Refuse(code=302, description="Found"), error.NetworkError),
    ],
    ids=lambda value: getattr(value, "__name__", None) or repr(value),
)
async def test_each_fault_has_its_error_and_none_tells_the_token(server, bot, fault, kind, caplog):
    caplog.set_level(logging.DEBUG)
    noor = server.person("Noor")
    server.faults("sendMessage", fault)

    with pytest.raises(kind) as caught:
        await bot.send_message(noor.id, "x")

    assert type(caught.value) is kind
    logging.getLogger("test").exception("It failed", exc_info=caught.value)
    assert server.token not in caplog.text
    assert server.token.partition(":")[2] not in caplog.text


async def test_flood_control_says_how_long_to_wait(server, bot):
    server.faults("sendMessage", too_many(7))

    with pytest.raises(FloodError) as caught:
        await bot.send_message(server.person("Noor").id, "x")

    assert caught.value.seconds == 7


@pytest.mark.parametrize(
    ("asked", "waited"),
    [('"soon"', 1), ("null", 1), ("1e400", 1), ("-5", 0), ("0.5", 0.5), ("999999999", 24 * 3600), ("true", 1)],
)
async def test_a_wait_that_makes_no_sense_is_not_believed(server, bot, asked, waited):
    body = f'{{"ok": false, "description": "Too Many Requests", "parameters": {{"retry_after": {asked}}}}}'
    server.faults("sendMessage", Garbage(code=429, body=body))

    with pytest.raises(FloodError) as caught:
        await bot.send_message(server.person("Noor").id, "x")

    assert caught.value.seconds == waited


async def test_a_new_address_that_is_none_is_a_refusal(server, bot):
    body = '{"ok": false, "description": "Bad Request: x", "parameters": {"migrate_to_chat_id": "there"}}'
    server.faults("sendMessage", Garbage(code=400, body=body))

    with pytest.raises(error.BadRequest):
        await bot.send_message(server.person("Noor").id, "x")


def test_one_odd_value_does_not_cost_the_rest_of_an_answer():
    read = read_json(b'{"result": [{"update_id": 1, "text": "\\ud83e"}, {"update_id": 2, "of": 1e400}]}')

    assert [update["update_id"] for update in read["result"]] == [1, 2]


@pytest.mark.parametrize("payload", [b"", b"[]", b"\xff", b"{", b'{"a":' * 100_000], ids=lambda payload: payload[:9])
def test_what_is_no_object_is_refused(payload):
    with pytest.raises(NotJsonError):
        read_json(payload)


async def test_a_page_that_repeats_the_address_is_not_repeated(server, bot):
    server.faults("sendMessage", Garbage(code=502, body=f"<html>/bot{server.token}/sendMessage: Bad Gateway</html>"))

    with pytest.raises(error.NetworkError) as caught:
        await bot.send_message(server.person("Noor").id, "x")

    assert str(caught.value) == "HTTP 502"


async def test_no_server_is_a_network_error():
    request = AiohttpRequest()
    bot = telegram.Bot("1:token", base_url="http://127.0.0.1:9/bot", request=request)

    with pytest.raises(error.NetworkError, match="No connection") as caught:
        await bot.get_me()

    assert "token" not in str(caught.value)
    await request.shutdown()


async def test_a_file_goes_out(server, bot):
    noor = server.person("Noor")

    await bot.send_document(noor.id, b"day,temp\n1,85\n", filename="log.csv")

    call = server.calls_of("senddocument")[0]
    assert call.params["chat_id"] == str(noor.id)
    assert File(name="log.csv", content=b"day,temp\n1,85\n") in call.params.values()
