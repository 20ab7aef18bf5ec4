"""The whole bot on a bad network: late, in order, once, or not at all where it makes no sense any more."""

import asyncio
import subprocess
import sys

import pytest

from bot.channels.telegram.account import REFUSALS_BELIEVED, TokenRefusedError
from tests.botapi.faults import Drop, Garbage, HalfAnswer, Refuse, broken, too_many
from tests.served import Bot

MANY = 1000  # faults: for as long as they are not taken away


def pushes(server, to):
    """Give the reminders to pull a tray."""
    return [sent for sent in server.sent(to) if "Pulled" in sent.labels]


async def with_tray(talk, who, *, to=None):
    await talk.says(who, "time zone Denver", to=to)
    await talk.says(who, "tray in bin 1", to=to)


async def until_tried(server, times=1):
    """Wait until the bot has tried to send something so often more."""
    before = len(server.calls_of("sendmessage"))
    await server.until(lambda: len(server.calls_of("sendmessage")) >= before + times)


@pytest.mark.parametrize("fault", [too_many(1), broken(), Garbage(), Drop()], ids=["429", "500", "502", "cut"])
async def test_after_a_fault_all_arrive_in_order_and_once(server, talk, noor, fault):
    await talk.says(noor, "help")
    server.faults("sendMessage", fault, times=2)

    server.says(noor, "chirping in bin 1")
    server.says(noor, "chirping in bin 2")
    server.says(noor, "chirping in bin 3")
    await server.until(lambda: len(server.sent(noor)) >= 4, within=15)

    assert [sent.text[:5] for sent in server.sent(noor)[1:]] == ["Bin 1", "Bin 2", "Bin 3"]


async def test_an_answer_that_broke_off_costs_one_repetition_and_no_order(server, talk, noor):
    await talk.says(noor, "help")
    server.faults("sendMessage", HalfAnswer())

    server.says(noor, "chirping in bin 1")
    server.says(noor, "chirping in bin 2")
    await server.until(lambda: len(server.sent(noor)) >= 4, within=15)

    assert [sent.text[:5] for sent in server.sent(noor)[1:]] == ["Bin 1", "Bin 1", "Bin 2"]


async def test_a_reminder_that_could_not_leave_for_an_hour_says_when_it_was_due(server, talk, clock, noor):
    await with_tray(talk, noor)
    server.faults("sendMessage", Drop(), times=MANY)
    clock.forward(hours=24, minutes=1)
    server.says(noor, "what's due")  # whatever comes in has the alarm set anew
    await until_tried(server, 2)

    clock.forward(hours=1)
    server.heals()
    server.says(noor, "help")
    await server.until(lambda: pushes(server, noor), within=15)

    (push,) = pushes(server, noor)
    assert push.text.splitlines()[-1] == "This was due Tue Jun 2 at 12 pm."


async def test_while_nobody_is_at_the_other_end_nothing_is_lost(server, talk, clock, noor):
    await with_tray(talk, noor)
    count = len(server.sent(noor))
    await server.__aexit__(None, None, None)
    clock.forward(hours=25)

    server.says(noor, "chirping in bin 2")
    await server.__aenter__()
    await server.until(lambda: len(server.sent(noor)) >= count + 2, within=20)

    assert len(pushes(server, noor)) == 1
    assert len([sent for sent in server.sent(noor) if sent.text.startswith("Bin 2: first chirp.")]) == 1


async def test_a_reminder_for_a_tray_that_was_pulled_meanwhile_is_not_sent(server, talk, clock, noor):
    await with_tray(talk, noor)
    server.faults("sendMessage", Drop(), times=MANY)
    clock.forward(hours=24, minutes=1)
    server.says(noor, "what's due")
    await until_tried(server, 2)
    before = len(server.sent(noor))

    server.says(noor, "pulled the tray from bin 1, lamp shelf")
    await server.until(lambda: not server.updates.waiting)
    clock.forward(minutes=5)
    server.heals()
    server.says(noor, "status of bin 1")
    await server.until(lambda: any("bin 1" in s.text.lower() for s in server.sent(noor)[before:]), within=15)
    await talk.says(noor, "help")

    assert pushes(server, noor) == []
    assert any(sent.text.startswith("Tub 1: pulled from bin 1") for sent in server.sent(noor)[before:])


async def test_a_group_that_moves_is_reminded_at_its_new_address(server, talk, clock, noor, tomas):
    group = server.group("Ocotillo Flats", kind="group")
    await talk.says(noor, "@farm_test_bot hello", to=group)
    await with_tray(talk, noor, to=group)
    count = len(server.sent(group))

    new = server.upgrades(group)
    clock.forward(hours=24, minutes=1)
    server.says(tomas, "@farm_test_bot what's due", to=new)
    await server.until(lambda: pushes(server, new), within=15)
    pulled = await talk.presses(tomas, "Pulled", to=new)

    assert pulled.text.startswith("Tub 1: pulled from bin 1 after 24 h.")
    assert len(server.sent(group)) == count
    assert len(pushes(server, new)) == 1


async def test_a_group_that_tells_that_it_moved_goes_on_at_its_new_address(server, talk, bot, settings, noor, tomas):
    group = server.group("Ocotillo Flats", kind="group")
    await talk.says(noor, "@farm_test_bot hello", to=group)
    asked = await talk.says(noor, "@farm_test_bot put the tray in", to=group)
    assert asked.text == "Which bin gets the tray?"

    new = server.upgrades(group)
    server.posts(noor, to=group, migrate_to_chat_id=new.id)
    server.posts(noor, to=new, migrate_from_chat_id=group.id)
    told = await talk.says(tomas, "@farm_test_bot 3", to=new)

    assert told.text.startswith("Bin 3: lay tray in.")
    assert all(call.params["chat_id"] != group.id for call in server.calls_of("sendmessage")[2:])


async def test_who_blocked_the_bot_and_lets_it_in_again_is_answered_and_reminded(server, talk, clock, noor):
    await with_tray(talk, noor)
    server.blocks(noor)
    server.says(noor, "what's due")
    await until_tried(server)
    clock.forward(hours=24, minutes=1)

    server.unblocks(noor)
    back = await talk.says(noor, "/start")
    clock.forward(hours=7)
    await talk.says(noor, "help")
    await server.until(lambda: pushes(server, noor), within=15)

    assert back.text.startswith("You're on ")


async def test_thrown_out_of_the_group_it_reminds_each_in_their_own_chat(server, talk, clock, noor):
    group = server.group("Ocotillo Flats")
    await talk.says(noor, "@farm_test_bot hello", to=group)
    await with_tray(talk, noor)
    server.blocks(group)
    server.says(noor, "@farm_test_bot help", to=group)
    await until_tried(server)

    clock.forward(hours=24, minutes=1)
    await talk.says(noor, "help")
    await server.until(lambda: pushes(server, noor), within=15)

    assert len(pushes(server, noor)) == 1
    assert pushes(server, group) == []


async def test_a_chat_that_is_flooded_or_gone_holds_up_no_other(server, talk, noor, tomas):
    link = (await talk.says(noor, "/invite")).text.splitlines()[-1]
    await talk.says(tomas, f"/start {link.partition('=')[2]}")
    server.faults("sendMessage", too_many(30))
    server.says(tomas, "chirping in bin 1")
    await until_tried(server)

    told = await talk.says(noor, "chirping in bin 2")

    assert told.text.startswith("Bin 2: first chirp.")


async def test_a_message_of_a_megabyte_is_refused_in_a_sentence(server, talk, noor):
    await talk.says(noor, "help")

    told = await talk.says(noor, "tub 3 watered, " * 70_000)

    assert told.text == "That is more than 4096 letters, too long for me, so I wrote nothing down. Send it in parts."


async def test_a_token_that_is_withdrawn_ends_the_program_and_is_told_in_a_line(server, settings, clock, noor):
    bot = Bot(settings)
    await bot.start()
    await server.until(lambda: server.calls_of("getupdates"))
    server.faults("getUpdates", Refuse(code=401, description="Unauthorized"), times=REFUSALS_BELIEVED)
    server.says(noor, "help")

    with pytest.raises(TokenRefusedError, match="OVIPOST_TELEGRAM_TOKEN"):
        await bot.ended(within=10)


async def test_the_command_ends_with_a_code_and_a_sentence_that_does_not_tell_the_token(server, tmp_path):
    environment = {
        "OVIPOST_TELEGRAM_TOKEN": server.token,
        "OVIPOST_TELEGRAM_API": server.api,
        "OVIPOST_DB": f"sqlite:///{tmp_path / 'ovipost.db'}",
    }
    command = [sys.executable, "-m", "bot", "serve"]
    program = await asyncio.create_subprocess_exec(*command, env=environment, stderr=subprocess.PIPE)
    await server.until(lambda: server.calls_of("getupdates"), within=30)
    server.faults("getUpdates", Refuse(code=401, description="Unauthorized"), times=REFUSALS_BELIEVED)
    server.says(server.person("Noor"), "help")

    _, told = await asyncio.wait_for(program.communicate(), 20)

    *_, sentence = told.decode().splitlines()
    assert program.returncode == 2
    assert sentence.startswith("Telegram refuses the token: check OVIPOST_TELEGRAM_TOKEN")
    assert server.token.partition(":")[2] not in told.decode()
    assert "Traceback" not in told.decode()
