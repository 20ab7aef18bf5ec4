"""`ovipost serve`, a process of its own, ends within ten seconds of a SIGTERM, whatever it is at, and loses nothing."""

import asyncio
import contextlib
import os
import signal
import sqlite3
import sys
from contextlib import closing

import pytest
import sqlalchemy as sa

from bot.storage import migrate
from tests.botapi.faults import Wait
from tests.botapi.server import BotApiServer

TEN = 10  # seconds, as service managers and containers give
PEOPLE = 20
MESSAGES = 10  # each
FOREVER = Wait(seconds=60)


@pytest.fixture
async def server():
    async with BotApiServer() as running:
        yield running


@pytest.fixture
async def serve(server, tmp_path):
    """Start the bot on one database, again and again; none is left at the end."""
    started = []

    async def start(**more):
        env = {
            **os.environ,  # noqa: TID251 - for a program of its own
            "OVIPOST_TELEGRAM_TOKEN": server.token,
            "OVIPOST_TELEGRAM_API": server.api,
            "OVIPOST_DB": f"sqlite:///{tmp_path}/a.db",
            "OVIPOST_PERSON_RATE": "0",
            "OVIPOST_SEND_RATE": "0",
            **more,
        }
        started.append(
            await asyncio.create_subprocess_exec(
                sys.executable, "-m", "bot", "serve", env=env, stderr=asyncio.subprocess.PIPE
            )
        )
        return started[-1]

    yield start
    for process in started:
        if process.returncode is None:
            process.kill()
            await process.communicate()


@pytest.fixture
def locked(tmp_path):
    """Have another program hold the database's lock until the end of the test."""
    with contextlib.ExitStack() as at_end:

        def lock():
            other = sqlite3.connect(tmp_path / "a.db", isolation_level=None)
            at_end.enter_context(closing(other))
            other.execute("BEGIN IMMEDIATE")

        yield lock


async def ends(process):
    process.send_signal(signal.SIGTERM)
    async with asyncio.timeout(TEN):
        _, logged = await process.communicate()
    assert process.returncode == 0
    assert b"Traceback" not in logged
    assert b"chirping" not in logged


async def is_at_work(server, person):
    server.says(person, "chirping in bin 2")
    await server.until(lambda: server.sent(person), within=20)


@pytest.mark.parametrize("method", ["getMe", "setMyCommands", "deleteWebhook"])
async def test_while_it_signs_in(server, serve, method):
    server.faults(method, FOREVER)
    process = await serve()
    await server.until(lambda: server.calls_of(method.lower()), within=20)

    await ends(process)


async def test_while_telegram_is_not_there(serve):
    process = await serve(OVIPOST_TELEGRAM_API="http://127.0.0.1:9/bot")
    async with asyncio.timeout(20):
        while b"Signing in" not in await process.stderr.readline():
            pass

    await ends(process)


async def test_before_it_has_its_database(serve, locked, tmp_path):
    migrate.upgrade(f"sqlite:///{tmp_path}/a.db")
    locked()
    process = await serve()
    async with asyncio.timeout(20):
        assert b"event=starting" in await process.stderr.readline()
    await asyncio.sleep(1)

    await ends(process)


async def test_with_a_long_inbox_and_what_waits_is_answered_at_the_next_start(server, serve):
    people = [server.person(f"Noor {number}") for number in range(PEOPLE)]
    process = await serve()
    for number in range(MESSAGES):
        for person in people:
            server.says(person, f"chirping in bin {number + 1}")
    await server.until(lambda: any(server.sent(person) for person in people), within=30)

    await ends(process)
    assert sum(len(server.sent(person)) for person in people) < PEOPLE * MESSAGES

    await serve()
    await server.until(lambda: all(len(server.sent(person)) >= MESSAGES for person in people), within=60)
    for person in people:
        heads = [sent.text.partition(":")[0] for sent in server.sent(person)]
        assert heads == [f"Bin {number + 1}" for number in range(MESSAGES)]


@pytest.mark.soak
async def test_while_a_message_is_on_its_way_out_to_a_service_that_hangs(server, serve):
    noor = server.person("Noor")
    process = await serve()
    await is_at_work(server, noor)
    server.faults("sendMessage", FOREVER)
    server.says(noor, "chirping in bin 3")
    await server.until(lambda: len(server.calls_of("sendmessage")) > 1)

    await ends(process)

    await serve()
    await server.until(lambda: any("in 3" in sent.text for sent in server.sent(noor)), within=60)


@pytest.mark.soak
@pytest.mark.parametrize("seconds", [0, 0.3, 4, 12])
async def test_while_another_program_locks_the_database(server, serve, locked, seconds):
    noor = server.person("Noor")
    process = await serve()
    await is_at_work(server, noor)
    locked()
    for number in range(10):
        server.says(noor, f"chirping in bin {number}")
    await asyncio.sleep(seconds)

    await ends(process)


@pytest.mark.soak
async def test_while_what_was_sent_cannot_be_marked(server, serve, locked):
    noor = server.person("Noor")
    process = await serve()
    await is_at_work(server, noor)
    server.faults("sendMessage", Wait(seconds=1))
    server.says(noor, "chirping in bin 3")
    await server.until(lambda: len(server.calls_of("sendmessage")) > 1)
    locked()
    await server.until(lambda: len(server.sent(noor)) > 1)

    await ends(process)


@pytest.mark.soak
@pytest.mark.database
@pytest.mark.parametrize("seconds", [0, 4, 12])
async def test_while_another_session_locks_the_tables(server, serve, postgres, seconds):
    noor = server.person("Noor")
    process = await serve(OVIPOST_DB=postgres)
    await is_at_work(server, noor)
    with closing(sa.create_engine(postgres, poolclass=sa.NullPool).connect()) as other:
        other.execute(sa.text("LOCK TABLE inbox, outbox, farms IN ACCESS EXCLUSIVE MODE"))
        for number in range(10):
            server.says(noor, f"chirping in bin {number}")
        await asyncio.sleep(seconds)

        await ends(process)
