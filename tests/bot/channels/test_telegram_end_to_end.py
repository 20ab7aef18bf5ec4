"""The whole bot in front of a Bot API on loopback: a text in by polling, through the desk, out by the real client."""

import asyncio
import datetime as dt

import pytest

from bot import bootstrap
from bot.channels.telegram.account import TelegramAccount
from bot.channels.telegram.polling import TelegramPolling
from bot.settings import Settings
from bot.storage.sql_store import SqlStore
from tests.botapi.faults import Drop, too_many
from tests.botapi.server import BotApiServer
from tests.served import Bot, GoingClock, Talk

NOON_IN_DENVER = dt.datetime(2026, 6, 1, 18, tzinfo=dt.UTC)
DENVER = (39.74, -104.99)


@pytest.fixture
def clock(monkeypatch):
    made = GoingClock(NOON_IN_DENVER)
    monkeypatch.setattr(bootstrap, "SystemClock", lambda: made)
    return made


@pytest.fixture
async def server(clock):
    async with BotApiServer(now=lambda: clock.now().timestamp()) as running:
        yield running


@pytest.fixture
def noor(server):
    return server.person("Noor")


@pytest.fixture
def tomas(server):
    return server.person("Tomas")


@pytest.fixture
def settings(server, noor, tmp_path):
    return Settings(
        telegram_token=server.token,
        telegram_api=server.api,
        db=f"sqlite:///{tmp_path / 'ovipost.db'}",
        owners=str(noor.id),
        send_rate=0,
    )


@pytest.fixture
async def bot(settings):
    made = Bot(settings)
    await made.start()
    yield made
    await made.stop()


@pytest.fixture
def talk(server, bot):
    return Talk(server)


async def test_setting_up_by_buttons_and_a_shared_location(server, talk, noor):
    hello = await talk.says(noor, "/start")
    assert hello.labels == ["°F", "°C", "Skip"]

    asked = await talk.presses(noor, "°F")
    assert "Where is the farm?" in asked.text
    keyboard = await talk.next_in(noor, after=2)
    assert keyboard.markup["keyboard"][0][0]["request_location"] is True

    placed = await talk.shares(noor, DENVER)
    assert placed.text.startswith("Clock set to America/Denver: it is 12")
    await server.until(lambda: len(server.answered) == 1)
    assert [c["command"] for c in server.commands[""]][:2] == ["due", "days"]
    assert server.commands["es"][0] == {"command": "due", "description": "Qué toca ahora"}


async def test_from_a_chirp_to_a_reminder_and_its_press(server, talk, clock, noor):
    await talk.says(noor, "time zone Denver")
    said = await talk.says(noor, "tray in bin 1")
    assert said.text.startswith("Bin 1: lay tray in.")
    assert said.bold == ["Bin 1"]

    count = len(server.sent(noor))
    clock.forward(hours=24, minutes=1)
    await talk.says(noor, "what's due")  # whatever comes in has the alarm set anew
    await server.until(lambda: any("Pulled" in s.labels for s in server.sent(noor)[count:]))
    pulled = await talk.presses(noor, "Pulled")

    assert pulled.text.startswith("Tub 1: pulled from bin 1 after 24 h.")
    placed = await talk.presses(noor, "Lamp shelf")
    assert "Pinheads about " in placed.text
    assert (await talk.presses(noor, "Pulled")).text.startswith("You did that already, ")


async def test_an_edited_message_takes_the_place_of_the_old(server, talk, noor):
    count = len(server.sent(noor))
    message = server.says(noor, "chirping in bin 1")
    await talk.next_in(noor, after=count)

    edited = await talk.edits(noor, message, "chirping in bin 2")

    assert edited.text.startswith("Bin 2: first chirp.")
    assert (await talk.says(noor, "status of bin 1")).text.startswith("There is no bin 1 yet.")


async def test_a_group_is_answered_when_it_speaks_to_the_bot_or_tells_of_the_farm(server, talk, noor, tomas):
    group = server.group("Ocotillo Flats")
    greeting = await talk.says(noor, "@farm_test_bot hello", to=group)
    assert greeting.text.startswith("I'm in.")

    server.says(tomas, "who has the truck keys", to=group)
    told = await talk.says(tomas, "tray in bin 1", to=group)

    assert told.text.startswith("Bin 1: lay tray in.")
    assert len(server.sent(group)) == 2
    assert (await talk.presses(noor, "Undo", to=group)).text == "Taken back: Bin 1: lay tray in."


async def test_a_stranger_gets_one_refusal_and_is_kept_nowhere(server, talk, settings, noor):
    lupe = server.person("Lupe")
    refusal = await talk.says(lupe, "hello there")
    server.says(lupe, "hello?")
    await talk.says(noor, "help")

    assert refusal.text == "This is a private farm assistant. Ask its owner for an invite."
    assert len(server.sent(lupe)) == 1
    store = SqlStore(settings.db)
    with store.begin() as work:
        assert work.people.member(f"telegram:{lupe.id}") is None
        assert work.people.chat(f"telegram:{lupe.id}") is None
        assert work.inbox.claim() == []
    store.close()


async def test_a_helper_comes_in_by_the_link(server, talk, noor, tomas):
    link = (await talk.says(noor, "/invite")).text.splitlines()[-1]
    assert link.startswith("https://t.me/farm_test_bot?start=")

    joined = await talk.says(tomas, f"/start {link.partition('=')[2]}")

    assert "as hand" in joined.text
    assert (await talk.says(tomas, "tray in bin 1")).text.startswith("Bin 1: lay tray in.")


async def test_told_to_wait_it_waits_and_keeps_the_order(server, talk, noor):
    server.faults("sendMessage", too_many(1))

    server.says(noor, "chirping in bin 1")
    server.says(noor, "chirping in bin 2")
    await server.until(lambda: len(server.sent(noor)) == 2)

    assert [sent.text[:5] for sent in server.sent(noor)] == ["Bin 1", "Bin 2"]
    first, *again = (call.at for call in server.calls_of("sendmessage"))
    assert again[0] - first >= 1


async def test_an_answer_whose_way_was_cut_is_sent_after_a_restart(server, bot, talk, noor):
    await talk.says(noor, "help")
    server.faults("sendMessage", Drop(), times=50)
    server.says(noor, "put the tray in")
    await server.until(lambda: len(server.calls_of("sendmessage")) >= 2)
    await bot.stop()
    server.heals()

    await bot.start()
    asked = await talk.next_in(noor, after=1)
    assert asked.text == "Which bin gets the tray?"
    told = await talk.says(noor, "3")

    assert told.text.startswith("Bin 3: lay tray in.")
    assert len(server.sent(noor)) == 3


async def test_what_was_stored_and_not_handled_is_handled_by_the_next_process(server, bot, settings, clock, noor):
    await bot.stop()
    store = SqlStore(settings.db)
    account = TelegramAccount(server.token, api=server.api, send_rate=0)
    stop = asyncio.Event()

    def keep_and_die(incoming):
        with store.begin() as work:
            work.inbox.store(incoming, clock.now())
        stop.set()

    server.says(noor, "chirping in bin 1")
    await TelegramPolling(account, keep_and_die, clock, hold=lambda: store.hold("polling")).run(stop)
    await account.shutdown()
    store.close()
    await bot.start()
    await server.until(lambda: server.sent(noor) and not server.updates.waiting)

    assert [sent.text[:19] for sent in server.sent(noor)] == ["Bin 1: first chirp."]
