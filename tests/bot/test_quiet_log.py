"""The log of a whole program at its loudest, through all that goes wrong: no token, text or person."""

import asyncio
import contextlib
import io
import logging
import re

import aiohttp
import pytest

from bot import bootstrap, logs
from bot.channels.telegram.webhook import SECRET_HEADER
from bot.settings import Settings
from tests.botapi.faults import Drop, Garbage, HalfAnswer, Refuse, broken, too_many
from tests.botapi.server import BotApiServer

FEWEST = 4  # lines; a check of an empty log must fail
WORDS = ("zebrafinch", "quokkabin")  # in all that people say
SECRET = "a-made-up_secret"  # noqa: S105 - of this test


@pytest.fixture
def logged():
    """The log as `serve` writes it, of all libraries too."""
    out, root = io.StringIO(), logging.getLogger()
    handler, level = logging.StreamHandler(out), root.level
    handler.setFormatter(logs.LineFormatter())
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    yield out
    root.removeHandler(handler)
    root.setLevel(level)


@contextlib.asynccontextmanager
async def served(settings):
    stop = asyncio.Event()
    serving = asyncio.create_task(bootstrap.build_serve(settings).run(stop))
    try:
        yield
    finally:
        stop.set()
        async with asyncio.timeout(15):
            await serving


def faults_of(server, noor):
    """Give every way in which a message may fail to leave."""
    return [
        Garbage(code=502, body=f"<p>{server.api}{server.token}/sendMessage {WORDS[0]} {noor.id}</p>"),
        Drop(),
        HalfAnswer(),
        broken(),
        too_many(0),
        Refuse(code=400, description=f"Bad Request: {WORDS[0]} {noor.id}"),
    ]


async def talked(server):
    """Have people say and do things, of which the first fails for each in another way; give them."""
    noor, *others = people = [server.person("Zsuzsanna") for _ in range(6)]
    server.faults("sendMessage", *faults_of(server, noor))
    server.faults("answerCallbackQuery", Refuse(code=400, description=f"Bad Request: {noor.id} is too old"))
    for person in people:
        server.says(person, f"chirping in bin 2, {WORDS[0]}")
    await server.until(lambda: all(map(server.sent, people)), within=20)
    for person, sent in ((person, server.sent(person)[0]) for person in others):
        for label in sent.labels[-1:]:  # one message went out in a plainer form, without buttons
            server.presses(person, sent, label)
    server.says(noor, f"{WORDS[1]} stands on the shelf of {WORDS[0]}")
    server.says(noor, "/export")
    await server.until(lambda: any(sent.file for sent in server.sent(noor)), within=20)
    server.blocks(noor)
    server.says(noor, "status")
    refused = len(server.calls)
    await server.until(lambda: any(call.method == "sendmessage" for call in list(server.calls)[refused:]))
    return people


def check(logged, server, people, *, more=()):
    text = logged.getvalue()
    secrets = (server.token, server.token.split(":")[1], "Zsuzsanna", *WORDS, *more)
    assert text.count("event=") > FEWEST
    assert [secret for secret in secrets if secret in text] == []
    assert [p.id for p in people if re.search(rf"(?<!\d){p.id}(?!\d)", text)] == []


@pytest.fixture
async def server():
    async with BotApiServer() as running:
        yield running


@pytest.fixture
def settings(server, tmp_path):
    return {
        "telegram_token": server.token,
        "telegram_api": server.api,
        "db": f"sqlite:///{tmp_path}/a.db",
        "log": "DEBUG",
    }


async def test_of_a_program_that_polls(server, settings, logged):
    server.faults("getMe", Garbage(code=502, body=f"{server.api}{server.token}"))
    server.faults("getUpdates", Garbage(code=500, body=f"{server.token}"), HalfAnswer())
    async with served(Settings(**settings)):
        people = await talked(server)

    check(logged, server, people)


async def test_of_a_program_that_is_called(server, settings, logged, unused_tcp_port):
    url = f"http://127.0.0.1:{unused_tcp_port}/telegram"
    webhook = {"webhook_url": url, "webhook_secret": SECRET, "port": unused_tcp_port}
    async with served(Settings(**settings, **webhook)), aiohttp.ClientSession() as session:
        await server.until(lambda: server.updates.webhook)
        for secret, body in (
            ("wrong", b"{}"),
            (SECRET, f"{{{WORDS[0]}".encode()),
            (SECRET, b'{"update_id": "zebrafinch"}'),
        ):
            async with session.post(url, data=body, headers={SECRET_HEADER: secret}):
                pass
        people = await talked(server)

    check(logged, server, people, more=(SECRET,))


async def test_of_a_program_that_breaks_over_a_message(server, settings, logged, monkeypatch):
    noor = server.person("Zsuzsanna")

    def fail(_reader, text, **_known):
        raise ValueError(f"{text} of {noor.name} {noor.id} {server.token}")

    monkeypatch.setattr("bot.reader.reader.Reader.read", fail)
    async with served(Settings(**settings)):
        server.says(noor, f"chirping in bin 2, {WORDS[0]}")
        await server.until(lambda: server.sent(noor))

    assert logged.getvalue().count("message failed") == 3
    check(logged, server, [noor])
