"""The terminal chat at work: lines in, answers and reminders out.

Not for the looks of it: that is page. What answers, delivers and wakes is handed in.
"""

import asyncio
import logging
from collections.abc import Callable
from typing import Protocol

from bot.channels.terminal.chat import TerminalChat
from bot.channels.terminal.lines import Lines
from bot.logs import fields
from bot.ports.messages import Incoming

_LOG = logging.getLogger(__name__)


class Desk(Protocol):
    """What answers."""

    def take(self, *messages: Incoming) -> int: ...  # noqa: D102 - see bot.assistant.desk
    def work(self) -> int: ...  # noqa: D102
    def remind(self) -> int: ...  # noqa: D102


class Delivery(Protocol):
    """What takes messages out of the outbox."""

    async def deliver_once(self) -> int: ...  # noqa: D102 - see bot.delivery
    async def run(self, stop: asyncio.Event) -> None: ...  # noqa: D102


class Timetable(Protocol):
    """What has reminders posted at their times."""

    def start(self) -> None: ...  # noqa: D102 - see bot.timetable
    def rearm(self) -> None: ...  # noqa: D102
    def stop(self) -> None: ...  # noqa: D102


class Conversation:
    """The terminal chat at work."""

    def __init__(
        self,
        *,
        lines: Lines,
        chat: TerminalChat,
        desk: Desk,
        delivery: Delivery,
        timetable: Timetable,
        first: str | None,
        at_end: Callable[[], None],
    ) -> None:
        """Say `first` for the person at the start."""
        self._lines = lines
        self._chat = chat
        self._desk = desk
        self._delivery = delivery
        self._timetable = timetable
        self._first = first
        self._at_end = at_end

    async def run(self) -> None:
        """Talk until the person leaves; reminders come in between where somebody sits there, else after each line."""
        stop = asyncio.Event()
        parts: list[asyncio.Task[None]] = []
        with self._lines.around():
            if self._lines.is_live:
                self._timetable.start()
                parts.append(asyncio.create_task(self._delivery.run(stop)))
            try:
                await self._chat.run(self._lines, self._hear, first=self._first)
            finally:
                stop.set()
                self._timetable.stop()
                await asyncio.gather(*parts)
                self._at_end()

    async def _hear(self, incoming: Incoming) -> None:
        await asyncio.to_thread(self._desk.take, incoming)
        try:
            await asyncio.to_thread(self._answer)
        except Exception as error:  # noqa: BLE001 - the message stays in the inbox; the chat goes on
            _LOG.error("the inbox cannot be worked on", extra=fields(error=error))
        self._timetable.rearm()
        await self._delivery.deliver_once()

    def _answer(self) -> None:
        self._desk.work()
        if not self._lines.is_live:
            self._desk.remind()
