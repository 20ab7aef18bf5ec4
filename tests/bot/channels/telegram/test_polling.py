"""Long polling over HTTP: stored, then acknowledged."""

import asyncio
import logging

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from telegram import error

from bot.channels.telegram import polling
from bot.channels.telegram.account import REFUSALS_BELIEVED, TelegramAccount, TokenRefusedError
from bot.channels.telegram.backoff import Backoff
from bot.channels.telegram.channel import TelegramChannel
from bot.channels.telegram.polling import TelegramPolling
from bot.ports.messages import LONGEST_TEXT, Button
from tests.bot.channels.telegram import junk
from tests.bot.channels.telegram.conftest import MemoryInbox, StillClock, an_outgoing
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
    server.faults("getUpdates", Refuse(code=401, description="Unauthorized"), times=REFUSALS_BELIEVED)

    with pytest.raises(TokenRefusedError):
        await make_polling().run(asyncio.Event())


@pytest.mark.parametrize("fault", [Refuse(code=401, description="Unauthorized"), Garbage(code=404)], ids=str)
async def test_a_slip_does_not_end_it_where_the_token_worked_before(server, inbox, make_polling, running, noor, fault):
    for _ in range(3):
        server.faults("getUpdates", fault, Wait(seconds=0))
    running(make_polling(poll_for=0))
    await server.until(lambda: len(server.calls_of("getupdates")) > 6)

    server.says(noor, "tub 3")
    await server.until(lambda: inbox.texts == ["tub 3"])


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


async def test_after_a_week_the_numbers_begin_anew_and_none_is_missed(server, inbox, make_polling, running, noor):
    server.says(noor, "before")
    running(make_polling(poll_for=0))
    await server.until(lambda: inbox.texts == ["before"])
    await server.until(lambda: server.calls_of("getupdates")[-1].params.get("offset") is None)

    for number, text in ((5, "after"), (6, "and on")):
        server.update(message=server.message(noor.chat, number, noor.user) | {"text": text}, update_id=number)
    await server.until(lambda: not server.updates.waiting)

    assert inbox.texts == ["before", "after", "and on"]


async def test_numbers_that_go_backwards_or_come_twice_are_stored_once_and_acknowledged(
    server, inbox, make_polling, running, noor
):
    def message(number):
        return server.message(noor.chat, number, noor.user) | {"text": f"tub {number}"}

    for number in (5000, 5001, 1000, 1001, 1001, 5001, 999):
        server.update(message=message(number), update_id=number)

    running(make_polling())
    await server.until(lambda: not server.updates.waiting)

    assert inbox.texts == ["tub 5000", "tub 5001", "tub 1000", "tub 1001", "tub 999"]


@pytest.mark.parametrize(
    "body",
    [
        b'{"ok": true, "result": null}',
        b'{"ok": true, "result": {}}',
        b'{"ok": true, "other": {"result": 1}}',
        b'{"ok": true, "result": [null, 5, "x", []]}',
        b'{"ok": true, "result": [{"message": {"text": "tub 9"}}, {"update_id": "9"}]}',
        b'{"ok": true, "result": ' + b"[" * 100_000,
        b"[]",
    ],
    ids=lambda body: body[:50].decode(),
)
async def test_an_answer_that_is_no_list_of_updates_is_asked_for_again(
    server, inbox, make_polling, running, noor, body
):
    server.says(noor, "tub 3")
    server.faults("getUpdates", Garbage(code=200, body=body.decode()), times=3)

    running(make_polling())
    await server.until(lambda: not server.updates.waiting)

    assert inbox.texts == ["tub 3"]


async def test_an_update_of_a_megabyte_costs_the_inbox_no_more_than_a_long_message(
    server, inbox, make_polling, running, noor
):
    server.says(noor, "tub 3 watered " * 75_000)
    server.posts(noor, text="tub 4", entities=[{"type": "bold", "offset": n, "length": 1} for n in range(20_000)])

    running(make_polling())
    await server.until(lambda: not server.updates.waiting)

    long, short = inbox.texts
    assert LONGEST_TEXT < len(long) + 1 <= LONGEST_TEXT + 2
    assert short == "tub 4"


@given(st.lists(junk.JUNK, max_size=8))
@settings(max_examples=60, deadline=None)
def test_of_a_batch_of_junk_the_good_ones_are_stored_once_each(updates):
    asyncio.run(_poll_junk(updates))


async def _poll_junk(updates):
    """Poll a batch of junk with good messages before, between and after, all brought twice."""
    good = [{"update_id": 100 + n, "message": junk.a_message(message_id=n, text=f"tub {n}")} for n in range(3)]
    numbered = [raw | {"update_id": 50 + n} if isinstance(raw, dict) else raw for n, raw in enumerate(updates)]
    half = len(numbered) // 2
    batch = [good[0], *numbered[:half], good[1], *numbered[half:], good[2]]
    inbox, batches, stop = MemoryInbox(), [batch, batch, []], asyncio.Event()

    class Account:
        """Brings the batches, then stops."""

        username = "farm_test_bot"

        async def raw_updates(self, offset, poll_for):
            if not batches:
                stop.set()
                return []
            return batches.pop(0)

        async def answer_callback_query(self, press):
            raise error.BadRequest("too old")

        async def sign_in(self, stop, commands):
            """Do nothing."""

        async def persist(self, stop, what, call):
            """Do nothing."""

        async def delete_webhook(self):
            """Do nothing."""

        def note_success(self):
            """Do nothing."""

    await asyncio.wait_for(TelegramPolling(Account(), inbox.take, StillClock(), hold=a_hold).run(stop), 5)

    stored = [m.text for m in inbox.messages.values() if m.key in {f"telegram:update:{100 + n}" for n in range(3)}]
    assert stored == ["tub 0", "tub 1", "tub 2"]
    assert not batches
