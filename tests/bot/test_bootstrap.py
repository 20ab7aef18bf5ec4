"""The parts, joined."""

import asyncio
import contextlib
import datetime as dt
import io
import os
import signal
import stat
import sys

import aiohttp
import msgspec
import pytest

from bot import bootstrap
from bot.bootstrap import doctor
from bot.channels.telegram.account import TokenRefusedError
from bot.channels.telegram.webhook import SECRET_HEADER
from bot.channels.terminal.lines import StreamLines
from bot.delivery import SEND_WITHIN
from bot.ports.messages import Outgoing
from bot.settings import Settings
from core.farm.settings import tzinfo_of
from tests.botapi.server import BotApiServer
from tests.fakes import FakeClock


@pytest.fixture
async def server():
    async with BotApiServer() as running:
        yield running


@pytest.fixture
def settings(server, tmp_path):
    def make(**more):
        defaults = {"telegram_token": server.token, "telegram_api": server.api, "db": f"sqlite:///{tmp_path}/farm/a.db"}
        return Settings(**(defaults | more))

    return make


@contextlib.asynccontextmanager
async def served(settings):
    stop = asyncio.Event()
    serving = asyncio.create_task(bootstrap.build_serve(settings).run(stop))
    try:
        yield
    finally:
        stop.set()
        async with asyncio.timeout(10):
            await serving


# small parts


def test_the_systems_clock_is_aware_and_in_utc():
    assert bootstrap.SystemClock().now().tzinfo is dt.UTC


def test_the_machines_zone_is_one_that_a_farm_takes():
    clock = FakeClock()
    zone = tzinfo_of(bootstrap.local_zone(clock))

    assert clock.now().astimezone(zone).utcoffset() == clock.now().astimezone().utcoffset()


def test_a_database_is_made_in_a_folder_for_its_owner_only(tmp_path):
    bootstrap.open_store(f"sqlite:///{tmp_path}/farm/a.db", make=True).close()

    assert stat.S_IMODE((tmp_path / "farm").stat().st_mode) == 0o700


@pytest.mark.parametrize(
    ("url", "sentence"),
    [
        ("nonsense", "OVIPOST_DB or --db has to be the address of a database"),
        ("sqlite:////proc/nowhere/a.db", "The database cannot be opened: "),
    ],
)
def test_a_database_that_cannot_be_opened_is_told_in_a_sentence(url, sentence):
    with pytest.raises(bootstrap.StoreError) as error:
        bootstrap.open_store(url, make=True)

    assert str(error.value).startswith(sentence)
    assert str(error.value).count("\n") == 0


# Telegram


async def test_a_text_is_answered_and_a_press_too(server, settings):
    noor = server.person("Noor")
    async with served(settings()):
        server.says(noor, "chirping in bin 2")
        first = (await server.until(lambda: server.sent(noor)))[0]
        server.presses(noor, first, "Undo")
        await server.until(lambda: len(server.sent(noor)) == 2)

    assert "first chirp" in first.text.lower()
    assert {command["command"] for command in server.commands[""]} >= {"due", "help", "undo"}
    assert server.sent(noor)[1].text.startswith("Taken back")


async def test_what_came_in_before_a_stop_is_not_answered_twice_after_it(server, settings):
    noor = server.person("Noor")
    async with served(settings()):
        server.says(noor, "chirping in bin 2")
        await server.until(lambda: server.sent(noor))
    async with served(settings()):
        server.says(noor, "chirping in bin 3")
        await server.until(lambda: len(server.sent(noor)) > 1)

    assert ["in 2" in s.text or "in 3" in s.text for s in server.sent(noor)] == [True, True]


async def test_only_owners_may_found_a_farm(server, settings):
    noor, eve = server.person("Noor"), server.person("Eve")
    async with served(settings(owners=str(noor.id))):
        server.says(eve, "chirping in bin 2")
        await server.until(lambda: server.sent(eve))
        server.says(noor, "chirping in bin 2")
        await server.until(lambda: server.sent(noor))

    assert "chirp" not in server.sent(eve)[0].text
    assert "chirp" in server.sent(noor)[0].text


async def test_an_invite_is_a_link_to_the_bot(server, settings):
    noor = server.person("Noor")
    async with served(settings()):
        server.says(noor, "/invite")
        (sent,) = await server.until(lambda: server.sent(noor))

    assert "https://t.me/farm_test_bot?start=" in sent.text


async def test_telegram_may_call_instead(server, settings, unused_tcp_port):
    noor = server.person("Noor")
    secret = "s3cret"  # noqa: S105 - of nothing
    webhook = settings(
        webhook_url="https://farm.example/telegram", webhook_secret=secret, port=unused_tcp_port
    )  # fmt: skip
    message = {**server.message(noor.chat, 1, noor.user), "text": "chirping in bin 2"}
    async with served(webhook), aiohttp.ClientSession() as session:
        await server.until(lambda: server.calls_of("setwebhook"))
        url = f"http://127.0.0.1:{unused_tcp_port}/telegram"
        update = {"update_id": 1, "message": message}
        async with session.post(url, json=update, headers={SECRET_HEADER: secret}) as answer:
            assert answer.status == 200
        await server.until(lambda: server.sent(noor))


async def test_whoever_watches_is_told_how_it_goes(server, settings, unused_tcp_port):
    noor, url = server.person("Noor"), f"http://127.0.0.1:{unused_tcp_port}"

    async with served(settings(metrics_port=unused_tcp_port)), aiohttp.ClientSession() as session:
        server.says(noor, "chirping in bin 2")
        await server.until(lambda: server.sent(noor))

        async def told(path, words):
            async with asyncio.timeout(5):
                while True:
                    async with session.get(url + path) as answer:
                        if words in (text := await answer.text()):
                            return text
                    await asyncio.sleep(0.05)

        await told("/metrics", "ovipost_sent_total 1.0")
        assert "ovipost_messages_handled_total 1.0" in await told("/metrics", "ovipost_inbox_waiting 0.0")
        await told("/health", '"status":"ok"')


async def test_a_refused_token_ends_it(server, settings):
    with pytest.raises(TokenRefusedError):
        await bootstrap.build_serve(settings(telegram_token="1:wrong")).run(asyncio.Event())  # noqa: S106 - of no bot


async def test_serve_ends_soon_and_well_when_it_is_told_to(server, tmp_path):
    noor = server.person("Noor")
    env = {
        **os.environ,  # noqa: TID251 - for a program of its own
        "OVIPOST_TELEGRAM_TOKEN": server.token,
        "OVIPOST_TELEGRAM_API": server.api,
        "OVIPOST_DB": f"sqlite:///{tmp_path}/a.db",
    }
    serving = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "bot", "serve", env=env, stderr=asyncio.subprocess.PIPE
    )
    server.says(noor, "chirping in bin 2")
    await server.until(lambda: server.sent(noor), within=20)
    serving.send_signal(signal.SIGTERM)
    async with asyncio.timeout(10):
        _, logged = await serving.communicate()

    assert serving.returncode == 0
    assert b"Traceback" not in logged
    assert b"chirping" not in logged
    assert server.token.encode() not in logged


# the doctor


async def test_the_doctor_asks_telegram(server, settings):
    def looked(**more):
        return {f.text: f.is_well for f in doctor.checkup(settings(**more))}

    bootstrap.open_store(settings().db, make=True).close()
    assert all((await asyncio.to_thread(looked)).values())
    refused = await asyncio.to_thread(looked, telegram_token="1:wrong")  # noqa: S106
    assert next(text for text, is_well in refused.items() if not is_well).startswith("Telegram: it refuses the token; ")
    absent = await asyncio.to_thread(looked, telegram_api="http://127.0.0.1:9/bot")
    assert next(text for text, is_well in absent.items() if not is_well).startswith("Telegram: no answer (")


@pytest.mark.database
async def test_without_telegram_the_doctor_looks_at_the_database_servers_clock(postgres, monkeypatch):
    settings = Settings(db=postgres)
    texts = [finding.text for finding in await asyncio.to_thread(lambda: list(doctor.checkup(settings)))]
    assert "clock, within a minute of the database server's" in texts

    monkeypatch.setattr(bootstrap.SystemClock, "now", lambda _: dt.datetime.now(dt.UTC) + dt.timedelta(minutes=4))  # noqa: TID251 - a wrong one
    texts = [finding.text for finding in await asyncio.to_thread(lambda: list(doctor.checkup(settings)))]
    assert any(text.startswith("clock: it is 4 minutes ahead of the database server's") for text in texts)


# the terminal


async def test_the_invented_farm_opens_with_what_is_due(capsys):
    await bootstrap.build_demo("Noor", StreamLines(io.StringIO("how long on tub 2?\n"))).run()

    shown = capsys.readouterr().out
    assert "Due now" in shown or "Nothing" in shown
    assert "Tub 2" in shown


async def test_a_farm_of_the_terminal_is_there_at_the_next_start(tmp_path, capsys):
    url = f"sqlite:///{tmp_path}/a.db"
    await bootstrap.build_chat(url, "Noor", StreamLines(io.StringIO("chirping in bin 2\n"))).run()
    capsys.readouterr()

    await bootstrap.build_chat(url, "noor", StreamLines(io.StringIO("how's bin 2?\n"))).run()

    assert "Chirping since" in capsys.readouterr().out


def test_a_reminder_that_could_not_leave_in_time_says_when_it_was_due():
    push = Outgoing(key="k", chat="terminal:noor", text="Water.", is_push=True, if_late="This was due 10 am.")

    assert bootstrap._late(push, FakeClock().now()) == "Water.\nThis was due 10 am."
    assert bootstrap._late(msgspec.structs.replace(push, if_late=""), FakeClock().now()) == "Water."


@pytest.mark.parametrize(("rate", "at_once"), [(0, 64), (30, 64), (7.5, 60), (1, 8), (0.01, 1)])
def test_no_more_messages_are_on_their_way_than_leave_within_their_claim(rate, at_once):
    assert bootstrap._at_once(rate) == at_once
    assert rate == 0 or at_once == 1 or at_once / rate < SEND_WITHIN
