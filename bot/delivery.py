"""From the outbox to people: each chat in order, no chat holding up another, nothing lost and nothing sent twice.

A message is marked as sent right after it was sent. Where the program is killed in between, that one message is sent
again at the next start; a store that fails in between is asked until it takes the mark.
Not for wording nor for what a service wants: those are replies and channels.
"""

import asyncio
import datetime as dt
import enum
import functools
import itertools
import logging
import random
import traceback
from collections.abc import Awaitable, Callable, Mapping, Sequence

from bot.ports.clock import Clock
from bot.ports.sending import Channel, SendError
from bot.ports.stores import Store, UnitOfWork, Waiting

LATE_AFTER = dt.timedelta(minutes=10)  # past this a message says when it was due
FIRST_RETRY = 2.0  # seconds; doubled with each try
LAST_RETRY = 300.0  # seconds; after a long outage messages leave within five minutes
UNEXPECTED_TRIES = 10  # about half an hour: then a message that breaks its channel is given up
LOOK_AGAIN = 60.0  # seconds between looks at an outbox in which nothing is due
LOOK_SOON = 1.0  # seconds between looks while something due cannot leave: its chat is busy or its channel is not here
STOP_WITHIN = 8.0  # seconds that messages in flight get when the program stops
BATCH = 100

_LOG = logging.getLogger(__name__)
_Line = list[Waiting]  # messages of one chat, in order


class _End(enum.Enum):
    SENT = enum.auto()
    HELD = enum.auto()  # to be tried again, and so all that follows in the chat
    GIVEN_UP = enum.auto()


class Delivery:
    """Sends what waits in the outbox.

    Parameters
    ----------
    channels
        By what stands before the colon in the chats' addresses; messages for other channels are left alone.
    wait
        Lets seconds pass.
    chance
        Spreads retries, so that they do not all come at once.
    at_once
        How many chats are served at the same time.
    """

    def __init__(
        self,
        store: Store,
        channels: Mapping[str, Channel],
        clock: Clock,
        *,
        chance: random.Random,
        wait: Callable[[float], Awaitable[None]] = asyncio.sleep,
        at_once: int = 32,
    ) -> None:
        self._store = store
        self._channels = channels
        self._clock = clock
        self._chance = chance
        self._wait = wait
        self._at_once = at_once
        self._slots = asyncio.Semaphore(at_once)
        self._looking = asyncio.Lock()
        self._busy: dict[str, asyncio.Task[int]] = {}  # by chat
        self._woken = asyncio.Event()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._stop = asyncio.Event()

    async def deliver_once(self) -> int:
        """Send all that may leave now and give the number of messages sent."""
        sent = 0
        while tasks := await self._start():
            sent += sum(await asyncio.gather(*tasks))
        return sent

    async def run(self, stop: asyncio.Event) -> None:
        """Send what may leave, as soon as it may, until told to stop."""
        self._loop = asyncio.get_running_loop()
        self._stop = stop
        stopping = asyncio.create_task(stop.wait())
        stopping.add_done_callback(lambda _: self._woken.set())
        try:
            while not stop.is_set():
                self._woken.clear()
                await self._sleep(await self._round())
            if self._busy:
                await asyncio.wait(self._busy.values(), timeout=STOP_WITHIN)
        finally:
            self._loop = None
            self._stop = asyncio.Event()
            left = (stopping, *self._busy.values())
            for task in left:
                task.cancel()
            await asyncio.gather(*left, return_exceptions=True)

    def wake(self) -> None:
        """Say, from any thread, that something was posted."""
        loop = self._loop
        if loop is not None and not loop.is_closed():
            loop.call_soon_threadsafe(self._woken.set)

    async def _round(self) -> float:
        """Start what may leave; give the seconds until the next look."""
        if len(self._busy) >= self._at_once:
            return LOOK_AGAIN  # the next chat that is done wakes us
        try:
            await self._start()
            next_at = await asyncio.to_thread(self._next_at)
        except Exception as error:  # noqa: BLE001 - whatever ails the store, delivery goes on when it is well again
            _LOG.error("the outbox cannot be read: %s", type(error).__name__)
            return FIRST_RETRY
        if next_at is None:
            return LOOK_AGAIN
        seconds = (next_at - self._clock.now()).total_seconds()
        return min(seconds, LOOK_AGAIN) if seconds > 0 else LOOK_SOON

    async def _sleep(self, seconds: float) -> None:
        if self._woken.is_set():
            return
        sleepers = [asyncio.ensure_future(self._wait(seconds)), asyncio.ensure_future(self._woken.wait())]
        try:
            await asyncio.wait(sleepers, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for sleeper in sleepers:
                sleeper.cancel()

    async def _start(self) -> Sequence[asyncio.Task[int]]:
        """Begin with every chat that has something to leave and is not being served."""
        async with self._looking:
            # Taken before the look: a chat that is done since then may still show what it has just sent.
            busy = frozenset(self._busy)
            lines = await asyncio.to_thread(self._free, busy)
            for chat, line in lines.items():
                task = asyncio.create_task(self._deliver(line))
                task.add_done_callback(functools.partial(self._done, chat))
                self._busy[chat] = task
            return [self._busy[chat] for chat in lines]

    def _free(self, busy: frozenset[str]) -> dict[str, _Line]:
        """Look further down the outbox for as long as all that is found is busy or belongs to another process."""
        for limit in (BATCH * 4**step for step in itertools.count()):
            with self._store.begin() as work:
                found = work.outbox.waiting(self._clock.now(), limit)
            lines: dict[str, _Line] = {}
            for entry in found:
                chat = entry.outgoing.chat
                if chat not in busy and _channel_of(chat) in self._channels:
                    lines.setdefault(chat, []).append(entry)
            if lines or len(found) < limit:
                return lines
        raise AssertionError("unreachable")

    def _next_at(self) -> dt.datetime | None:
        with self._store.begin() as work:
            return work.outbox.next_at()

    def _done(self, chat: str, task: asyncio.Task[int]) -> None:
        del self._busy[chat]
        if len(self._busy) < self._at_once:
            self._woken.set()
        if not task.cancelled() and (error := task.exception()) is not None:
            _LOG.error("delivery to a chat failed: %s", type(error).__name__)

    async def _deliver(self, line: _Line) -> int:
        sent = 0
        async with self._slots:
            for entry in line:
                if self._stop.is_set():
                    break
                end = await self._send(entry)
                if end is _End.HELD:
                    break
                sent += end is _End.SENT
        return sent

    async def _send(self, entry: Waiting) -> _End:
        outgoing = entry.outgoing
        late_since = entry.post_at if self._clock.now() - entry.post_at > LATE_AFTER else None
        try:
            reference = await self._channels[_channel_of(outgoing.chat)].send(outgoing, late_since=late_since)
        except SendError as error:
            return await self._failed(entry, error)
        except Exception as error:  # noqa: BLE001 - a fault in a channel must not stop the other chats
            name = type(error).__name__
            # the frames without the error's own words, which may hold the message
            frames = "".join(traceback.format_tb(error.__traceback__))
            _LOG.error("message %d broke its channel: %s\n%s", entry.id, name, frames)
            return await self._failed(entry, SendError(name, is_final=entry.tries + 1 >= UNEXPECTED_TRIES))
        at = self._clock.now()
        await self._record(lambda work: work.outbox.mark_sent(entry.id, at, reference))
        _LOG.debug("message %d sent", entry.id)
        return _End.SENT

    async def _failed(self, entry: Waiting, error: SendError) -> _End:
        at, reason = self._clock.now(), str(error)
        if not (error.is_final or error.chat_gone):
            pause = self._pause(entry.tries, error.retry_after)
            _LOG.warning("message %d not sent, tries %d, again in %.0f s", entry.id, entry.tries + 1, pause)
            again_at = at + dt.timedelta(seconds=pause)
            await self._record(lambda work: work.outbox.retry(entry.id, again_at, reason))
            return _End.HELD

        def give_up(work: UnitOfWork) -> None:
            work.outbox.give_up(entry.id, at, reason)
            if error.chat_gone:
                work.people.remove_chat(entry.outgoing.chat)

        _LOG.error("message %d given up, tries %d, chat gone: %s", entry.id, entry.tries + 1, error.chat_gone)
        await self._record(give_up)
        return _End.GIVEN_UP

    def _pause(self, tries: int, retry_after: float | None = None) -> float:
        if retry_after is not None:
            return max(retry_after, 0.0) + self._chance.uniform(0.1, 1.0)
        longest = min(FIRST_RETRY * 2.0 ** min(tries, 16), LAST_RETRY)
        return longest * self._chance.uniform(0.5, 1.0)

    async def _record(self, change: Callable[[UnitOfWork], None]) -> None:
        """Write down what became of a message, however long the store takes to be well again."""
        for tries in itertools.count():
            try:
                await asyncio.to_thread(self._commit, change)
            except Exception as error:  # noqa: BLE001 - to go on without the mark would send the message again and again
                _LOG.error("the outbox cannot be written: %s", type(error).__name__)
                await self._wait(self._pause(tries))
            else:
                return

    def _commit(self, change: Callable[[UnitOfWork], None]) -> None:
        with self._store.begin() as work:
            change(work)


def _channel_of(chat: str) -> str:
    return chat.partition(":")[0]
