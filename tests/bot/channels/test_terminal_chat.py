"""A person's chat in the terminal."""

import contextlib
import datetime as dt
import random

import pytest

from bot.channels.terminal import wording
from bot.channels.terminal.chat import TerminalChat, address
from bot.channels.terminal.conversation import Conversation
from bot.delivery import Delivery
from bot.ports.messages import Button, Outgoing
from bot.timetable import Timetable
from tests.bot.channels.desks import EchoDesk
from tests.fakes import FakeClock
from tests.memory import MemoryStore


class TypedLines:
    def __init__(self, *lines, is_live=False):
        self._lines = list(lines)
        self.is_live = is_live

    def around(self):
        return contextlib.nullcontext()

    async def read(self):
        return self._lines.pop(0) if self._lines else None


@pytest.fixture
def clock():
    return FakeClock()


@pytest.fixture
def store():
    return MemoryStore()


@pytest.fixture
def desk(store, clock):
    return EchoDesk(store, clock)


@pytest.fixture
def talk(store, desk, clock, capsys):
    async def run(*typed, is_live=False, first=None):
        chat = TerminalChat("Noor", clock)
        delivery = Delivery(store, {"terminal": chat}, clock, chance=random.Random(1))  # noqa: S311
        conversation = Conversation(
            lines=TypedLines(*typed, is_live=is_live),
            chat=chat,
            desk=desk,
            delivery=delivery,
            timetable=Timetable(store, clock, desk.remind),
            first=first,
            at_end=store.close,
        )
        await conversation.run()
        return capsys.readouterr().out

    return run


async def test_a_line_is_answered(talk):
    assert await talk("chirping in bin 2") == "\n  heard chirping in bin 2\n  [1 Yes]\n\n"


async def test_a_slash_and_a_number_or_name_press_a_button_and_a_bare_number_is_said(talk, desk):
    await talk("a", "/1", "/yes", "1")

    assert [(i.text, i.press) for i in desk.heard] == [("a", None), ("", "1:yes"), ("", "1:yes"), ("1", None)]


async def test_a_number_without_a_button_is_not_sent(talk, desk):
    shown = await talk("/7")

    assert wording.NO_SUCH_BUTTON.format(number="7") in shown
    assert desk.heard == []


async def test_a_command_of_the_assistant_is_passed_on(talk, desk):
    await talk("/help")

    assert desk.heard[0].text == "/help"


async def test_it_ends_when_the_person_leaves_and_blank_lines_are_nothing(talk, desk):
    await talk("", "  ", "/QUIT", "more")

    assert desk.heard == []


async def test_control_characters_are_not_taken_in(talk, desk):
    await talk("bin\x1b[2J 2\x02")

    assert desk.heard[0].text == "bin[2J 2"


async def test_reminders_come_after_a_line_of_a_stream(talk, store, clock):
    await talk("a")
    clock.forward(hours=2)

    assert "  Shelf: water.\n  [1 In an hour]" in await talk("b")


async def test_at_a_prompt_the_hint_comes_first_and_the_opening_is_said(talk, desk):
    shown = await talk(is_live=True, first="what's due")

    assert shown.split()[:3] == wording.HINT.split()[:3]
    assert "heard what's due" in shown


async def test_a_chat_goes_on_after_the_desk_failed(talk, desk, monkeypatch):
    monkeypatch.setattr(desk, "work", lambda: 1 / 0)

    assert await talk("a", "b") == ""


async def test_messages_to_others_are_let_go_by(clock, capsys):
    chat = TerminalChat("Noor", clock)

    await chat.send(Outgoing(key="k", chat="terminal:tomas", text="for Tomas"))

    assert capsys.readouterr().out == ""


async def test_a_late_message_takes_its_wording_from_outside(clock, capsys):
    chat = TerminalChat("Noor", clock, late=lambda out, since: f"{out.text} (since {since:%H:%M})")

    await chat.send(
        Outgoing(key="k", chat="terminal:noor", text="Water."), late_since=clock.now() - dt.timedelta(hours=1)
    )

    assert capsys.readouterr().out == "\n  Water. (since 11:00)\n\n"


async def test_a_link_is_shown_and_not_pressed(clock, capsys):
    chat = TerminalChat("Noor", clock)
    link = Button(label="Map", data="1:m", url="https://example.org/map")
    heard = []

    async def hear(incoming):
        heard.append(incoming)

    await chat.send(Outgoing(key="k", chat="terminal:noor", text="Here.", buttons=((link,),)))
    await chat.run(TypedLines("/1"), hear)

    assert wording.LINK_ONLY.format(url=link.url) in capsys.readouterr().out
    assert heard == []


def test_an_address_is_the_same_however_a_name_is_written():
    assert address(" Noor  K ") == address("noor k") == "terminal:noor k"
