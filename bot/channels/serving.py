"""The bot at work: messages are stored as they come in, handled one after another in a thread, answered, reminded of.

Not for what a message leads to, nor for how it comes and goes: the parts are handed in.
"""

import asyncio
import contextlib
import logging
import threading
from collections.abc import Awaitable, Callable, Sequence
from contextlib import AsyncExitStack
from typing import Protocol

from bot.logs import fields
from bot.ports.messages import Incoming
from bot.ports.outbox import Outlet

AFTER_A_FAILURE = 5.0  # seconds until it is tried again
LOOK_AGAIN = 5.0  # seconds between looks at an inbox that seems empty: another process may have died over a message
WHILE_HOLDING = 1.0  # seconds until a chat that sends too much is looked at again
STOP_WITHIN = 8.0  # seconds that the parts get to end what they are at

Run = Callable[[asyncio.Event], Awaitable[None]]  # until the event is set

_LOG = logging.getLogger(__name__)


class Desk(Protocol):
    """What stores and handles messages."""

    def take_and_answer(self, messages: Sequence[Incoming], outlet: Outlet) -> tuple[int, bool]:
        """Store messages and, if it can, answer them; see bot.assistant.desk."""
        ...

    def work(self, is_over: Callable[[], bool] = ..., outlet: Outlet = ...) -> int: ...  # noqa: D102

    @property
    def is_holding(self) -> bool: ...  # noqa: D102


class Delivery(Protocol):
    """What takes messages out of the outbox."""

    async def run(self, stop: asyncio.Event) -> None: ...  # noqa: D102 - see bot.delivery


class Timetable(Protocol):
    """What has reminders posted at their times."""

    def start(self) -> None: ...  # noqa: D102 - see bot.timetable
    def stop(self) -> None: ...  # noqa: D102


class Worker:
    """Handles what waits in the inbox: at once when something came in, and at its start what was left over."""

    def __init__(self, desk: Desk, outlet: Outlet) -> None:
        """Let answers leave by the outlet."""
        self._desk = desk
        self._outlet = outlet
        self._woken = asyncio.Event()
        self._loop: asyncio.AbstractEventLoop | None = None

    def take(self, *messages: Incoming) -> int:
        """Store messages for good, all or none, from any thread; give how many were not known already."""
        new, is_left = self._desk.take_and_answer(messages, self._outlet)
        if is_left and self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._woken.set)
        return new

    async def run(self, stop: asyncio.Event) -> None:
        """Work until told to stop."""
        self._loop = asyncio.get_running_loop()
        stopping = asyncio.create_task(stop.wait())
        stopping.add_done_callback(lambda _: self._woken.set())
        while not stop.is_set():
            self._woken.clear()
            if not await self._work(stop):
                await asyncio.wait({stopping}, timeout=AFTER_A_FAILURE)
                continue
            seconds = WHILE_HOLDING if self._desk.is_holding else LOOK_AGAIN
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(seconds):
                    await self._woken.wait()
        stopping.cancel()

    async def _work(self, stop: asyncio.Event) -> bool:
        try:
            await _in_own_thread(lambda: self._desk.work(stop.is_set, self._outlet))
        except Exception as error:  # noqa: BLE001 - whatever ails the store, the inbox keeps what came in
            _LOG.error("the inbox cannot be worked on", extra=fields(error=error))
            return False
        return True


class Service:
    """All parts at work together."""

    def __init__(
        self,
        *,
        worker: Worker,
        delivery: Delivery,
        timetable: Timetable,
        way_in: Run,
        sign_out: Callable[[], Awaitable[None]],
        close: Callable[[], None],
        more: Sequence[Run] = (),
    ) -> None:
        """Join the parts; `more` are others that run beside them."""
        self._worker = worker
        self._delivery = delivery
        self._timetable = timetable
        self._way_in = way_in
        self._sign_out = sign_out
        self._close = close
        self._more = more

    async def run(self, stop: asyncio.Event) -> None:
        """Serve until told to stop; what one part raises stops all and comes out here."""
        async with AsyncExitStack() as at_end:
            at_end.callback(self._close)
            at_end.push_async_callback(self._sign_out)
            at_end.callback(self._timetable.stop)
            self._timetable.start()
            runs = [self._way_in, self._worker.run, self._delivery.run, *self._more]
            parts = [asyncio.ensure_future(run(stop)) for run in runs]
            await asyncio.wait(parts, return_when=asyncio.FIRST_COMPLETED)
            stop.set()
            _LOG.info("stopping")
            _, late = await asyncio.wait(parts, timeout=STOP_WITHIN)
            for part in late:
                part.cancel()
            for ended in await asyncio.gather(*parts, return_exceptions=True):
                if isinstance(ended, Exception):
                    raise ended


async def _in_own_thread(work: Callable[[], object]) -> None:
    """Wait for work in a thread that nobody waits for at the end: what it had not finished is still in the inbox."""
    loop = asyncio.get_running_loop()
    ended: asyncio.Future[None] = loop.create_future()

    def end(error: Exception | None) -> None:
        if ended.done():
            return
        if error is None:
            ended.set_result(None)
        else:
            ended.set_exception(error)

    def run() -> None:
        failure = None
        try:
            work()
        except Exception as error:  # noqa: BLE001 - it is raised where it is waited for
            failure = error
        if not loop.is_closed():
            loop.call_soon_threadsafe(end, failure)

    threading.Thread(target=run, name="desk", daemon=True).start()
    await ended
