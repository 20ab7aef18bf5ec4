"""Long polling over HTTP: stored, then acknowledged."""

import asyncio
import logging

import pytest

from bot.channels.telegram import polling
from bot.channels.telegram.account import TelegramAccount, TokenRefusedError
from bot.channels.telegram.backoff import Backoff
from bot.channels.telegram.channel import TelegramChannel
from bot.channels.telegram.polling import TelegramPolling
from bot.ports.messages import Button
from tests.bot.channels.telegram.conftest import an_outgoing
from tests.botapi.faults import Drop, Garbage, HalfAnswer, Refuse, Wait, broken, too_many
from tests.memory import MemoryStore


def a_hold():
    return MemoryStore().hold("polling")


@pytest.fixture
def make_polling(account, inbox, clock):
    def _make(take=inbox.take, **options):
        made = TelegramPolling(account, take, clock, **({"hold": a_hold} | options))
        made._backoff = Backoff(first=0.01, longest=0.05)
        return made

    return _make


@pytest.fixture
def noor(server):
    return server.person("Noor")


async def test_messages_are_stored_once_and_in_order(server, inbox, make_polling, running, noor):
    for number in range(150):
        server.says(noor, f"tub {number}")

    running(make_polling())
    await server.until(lambda: len(inbox.messages) == 150 and not server.updates.waiting)

    assert inbox.texts == [f"tub {number}" for number in range(150)]
    assert inbox.tries == 150


async def test_an_update_is_stored_before_it_is_acknowledged(server, inbox, make_polling, running, noor):
    waiting_when_stored = []

    def _take(*messages):
        waiting_when_stored.append(len(server.updates.waiting))
        return inbox.take(*messages)

    server.says(noor, "tub 3 watered")
    running(make_polling(_take))
    await server.until(lambda: not server.updates.waiting)

    assert waiting_when_stored == [1]


async def test_what_cannot_be_stored_comes_again(server, inbox, make_polling, running, noor, log_lines):
    inbox.is_broken = True
    server.says(noor, "tub 3 watered")
    server.says(noor, "tub 4 watered")
    running(make_polling())
    await server.until(lambda: inbox.tries >= 3)
    assert len(server.updates.waiting) == 2

    inbox.is_broken = False
    await server.until(lambda: not server.updates.waiting)

    assert inbox.texts == ["tub 3 watered", "tub 4 watered"]
    lines = [line for line in log_lines() if "part=channels.telegram.polling" in line]
    assert 'event="updates could not be stored and are asked for again" many=2 error=OSError' in lines[0]
    assert "tub 3" not in "".join(lines)


async def test_a_process_that_dies_after_storing_hears_the_update_again_and_stores_it_once(
    server, inbox, make_polling, account, clock, noor
):
    stop = asyncio.Event()

    def _take_and_die(*messages):
        inbox.take(*messages)
        stop.set()

    server.says(noor, "tub 3 watered")
    await TelegramPolling(account, _take_and_die, clock, hold=a_hold).run(stop)
    assert len(server.updates.waiting) == 1

    second = asyncio.Event()
    again = asyncio.create_task(make_polling().run(second))
    await server.until(lambda: not server.updates.waiting)
    second.set()
    await again

    assert (inbox.tries, inbox.texts) == (2, ["tub 3 watered"])


async def test_what_is_no_message_for_us_is_acknowledged_all_the_same(server, inbox, make_polling, running, noor):
    server.posts(noor, sticker={"file_id": "f", "file_unique_id": "u", "width": 1, "height": 1, "type": "regular"})
    server.update(message={"nonsense": True})
    server.says(noor, "tub 3")

    running(make_polling())
    await server.until(lambda: inbox.messages and not server.updates.waiting)

    assert inbox.texts == ["tub 3"]


async def test_a_press_comes_round_and_is_answered(server, account, inbox, make_polling, running, noor):
    buttons = ((Button(label="Watered", data="1:w"),),)
    await TelegramChannel(account).send(an_outgoing(noor, buttons=buttons))
    press = server.presses(noor, server.sent(noor)[0], "Watered")

    running(make_polling())
    await server.until(lambda: server.answered == [press])

    (incoming,) = inbox.messages.values()
    assert (incoming.press, incoming.chat) == ("1:w", f"telegram:{noor.id}")


async def test_an_old_press_that_cannot_be_answered_is_no_matter(server, account, inbox, make_polling, running, noor):
    buttons = ((Button(label="Watered", data="1:w"),),)
    await TelegramChannel(account).send(an_outgoing(noor, buttons=buttons))
    server.presses(noor, server.sent(noor)[0], "Watered")
    server.presses_open.clear()
    server.says(noor, "tub 3")

    running(make_polling())
    await server.until(lambda: len(inbox.messages) == 2 and not server.updates.waiting)

    assert server.answered == []


async def test_edits_groups_and_places_come_through(server, inbox, make_polling, running, noor):
    group = server.group("Farm")
    message = server.says(noor, "@farm_test_bot tub 3 watered", to=group)
    server.edits(message, "tub 4 watered")
    server.shares_location(noor, 39.7, -105.0)

    running(make_polling())
    await server.until(lambda: len(inbox.messages) == 3)

    said, edited, place = inbox.messages.values()
    assert (said.text, said.is_addressed, said.is_group) == ("tub 3 watered", True, True)
    assert (edited.is_edit, edited.message) == (True, said.message)
    assert place.location == (39.7, -105.0)


@pytest.mark.parametrize(
    "fault",
    [
        broken(),
        Drop(),
        HalfAnswer(),
        Garbage(),
        Garbage(code=200),
        Refuse(code=409, description="Conflict: terminated by other getUpdates request"),
    ],
    ids=str,
)
async def test_after_a_fault_polling_goes_on(server, inbox, make_polling, running, noor, fault):
    server.says(noor, "tub 3")
    server.faults("getUpdates", fault, times=3)

    running(make_polling())
    await server.until(lambda: not server.updates.waiting)

    assert inbox.texts == ["tub 3"]


async def test_flood_control_is_waited_for(server, inbox, make_polling, running, noor):
    server.says(noor, "tub 3")
    server.faults("getUpdates", too_many(1))

    running(make_polling())
    await server.until(lambda: not server.updates.waiting)

    first, second, *_ = (call.at for call in server.calls_of("getupdates"))
    assert second - first >= 1


async def test_another_poller_is_named_in_the_log(server, inbox, make_polling, running, noor, caplog):
    server.faults("getUpdates", Refuse(code=409, description="Conflict: x"))

    running(make_polling())
    await server.until(lambda: len(server.calls_of("getupdates")) == 2)

    assert "another process polls for this bot" in caplog.text


async def test_a_wrong_token_ends_it_with_a_sentence_that_does_not_tell_it(server, inbox, clock, caplog):
    caplog.set_level(logging.DEBUG)
    account = TelegramAccount("1:wrong-token", api=server.api, send_rate=0)

    with pytest.raises(TokenRefusedError, match="OVIPOST_TELEGRAM_TOKEN") as caught:
        await TelegramPolling(account, inbox.take, clock, hold=a_hold).run(asyncio.Event())

    logging.getLogger("test").exception("It ended", exc_info=caught.value)
    assert "wrong-token" not in caplog.text
    await account.shutdown()


async def test_a_token_that_is_withdrawn_ends_it(server, make_polling):
    server.faults("getUpdates", Refuse(code=401, description="Unauthorized"))

    with pytest.raises(TokenRefusedError):
        await make_polling().run(asyncio.Event())


async def test_it_begins_when_the_network_comes(server, inbox, make_polling, running, noor):
    server.faults("getMe", Drop())
    server.faults("deleteWebhook", broken())
    server.says(noor, "tub 3")

    running(make_polling(commands={"en": [("due", "What is due")], "es": [("due", "Qué toca")]}))
    await server.until(lambda: inbox.messages)

    assert server.commands == {
        "": [{"command": "due", "description": "What is due"}],
        "es": [{"command": "due", "description": "Qué toca"}],
    }


async def test_a_webhook_is_taken_away_first(server, inbox, make_polling, running, account, noor):
    await account.set_webhook("http://127.0.0.1:9/nowhere")
    server.says(noor, "tub 3")

    running(make_polling())
    await server.until(lambda: inbox.messages)

    assert server.updates.webhook is None


@pytest.mark.parametrize("during", ["getUpdates", "getMe"])
async def test_it_stops_at_once_though_a_call_is_open(server, make_polling, running, during):
    server.faults(during, Wait(seconds=30))
    task = running(make_polling())
    await server.until(lambda: server.calls_of(during.lower()))

    running.stop.set()
    await asyncio.wait_for(task, 1)

    assert task.exception() is None


async def test_only_the_process_that_holds_the_poll_polls_and_another_takes_over(
    server, inbox, make_polling, noor, monkeypatch
):
    monkeypatch.setattr(polling, "TURN_EVERY", 0.01)
    store = MemoryStore()
    ways = [make_polling(hold=lambda: store.hold("polling")) for _ in range(2)]
    stops = [asyncio.Event(), asyncio.Event()]
    running = [asyncio.create_task(way.run(stop)) for way, stop in zip(ways, stops, strict=True)]
    server.says(noor, "tub 3")
    await server.until(lambda: inbox.texts == ["tub 3"])
    await asyncio.sleep(0.05)
    assert len(server.calls_of("deletewebhook")) == 1

    stops[0].set()
    await running[0]
    server.says(noor, "tub 4")
    await server.until(lambda: inbox.texts == ["tub 3", "tub 4"])

    stops[1].set()
    await running[1]
    assert len(server.calls_of("deletewebhook")) == 2


async def test_a_process_that_lost_the_poll_stops_polling(server, inbox, make_polling, running, noor, monkeypatch):
    monkeypatch.setattr(polling, "SURE_FOR", 0.0)
    monkeypatch.setattr(polling, "TURN_EVERY", 0.01)
    store = MemoryStore()
    running(make_polling(hold=lambda: store.hold("polling"), poll_for=0))
    server.says(noor, "tub 3")
    await server.until(lambda: inbox.texts == ["tub 3"])

    store._held.clear()  # as when the database was restarted
    other = store.hold("polling")
    await asyncio.sleep(0.05)
    polls = len(server.calls_of("getupdates"))
    await asyncio.sleep(0.05)

    assert len(server.calls_of("getupdates")) == polls
    other.release()
    server.says(noor, "tub 4")
    await server.until(lambda: inbox.texts == ["tub 3", "tub 4"])
