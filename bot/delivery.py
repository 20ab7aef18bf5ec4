"""From the outbox to people: each chat in order, no chat holding up another, nothing lost and nothing sent twice.

A message is claimed for a while, sent, and marked as sent. Where the program is killed between sending and marking,
that one message is sent again once its claim has run out; a store that fails in between is asked until it takes the
mark.
Not for wording nor for what a service wants: those are replies and channels.
"""

import asyncio
import datetime as dt
import logging
import random
import traceback
from collections.abc import Awaitable, Callable, Mapping
from typing import assert_never

import msgspec

from bot.ports.clock import Clock
from bot.ports.sending import Channel, SendError
from bot.ports.stores import Store, UnitOfWork, Waiting

LATE_AFTER = dt.timedelta(minutes=10)  # past this a message says when it was due
CLAIM_FOR = dt.timedelta(seconds=25)  # then a message of a worker that died is another's
SEND_WITHIN = 20.0  # seconds; less than a claim lasts, so that nobody else sends it meanwhile
FIRST_RETRY = 2.0  # seconds; doubled with each try
LAST_RETRY = 300.0  # seconds; after a long outage messages leave within five minutes
UNEXPECTED_TRIES = 10  # about half an hour: then a message that breaks its channel is given up
LOOK_AGAIN = 5.0  # seconds between looks at an outbox in which nothing is due: another process may have posted
LOOK_SOON = 1.0  # seconds between looks while something due is another worker's
STOP_WITHIN = 8.0  # seconds that messages in flight get when the program stops

_LOG = logging.getLogger(__name__)


class Sent(msgspec.Struct, frozen=True):
    """A message left; `reference` is the service's own name for it."""

    id: int
    at: dt.datetime
    reference: str


class Held(msgspec.Struct, frozen=True):
    """A message is to be tried again, and so all that follows in its chat."""

    id: int
    until: dt.datetime
    reason: str


class GivenUp(msgspec.Struct, frozen=True):
    """A message is not tried again; `gone` is its chat, where that is no more."""

    id: int
    at: dt.datetime
    reason: str
    gone: str | None = None


End = Sent | Held | GivenUp


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
        at_once: int = 64,
    ) -> None:
        self._store = store
        self._channels = channels
        self._clock = clock
        self._chance = chance
        self._wait = wait
        self._at_once = at_once
        self._sending: set[asyncio.Task[None]] = set()
        self._ends: list[End] = []  # of messages that are sent or not, to be written down in the next round
        self._failures = 0  # of the store, one after another
        self._sent = 0
        self._woken = asyncio.Event()
        self._loop: asyncio.AbstractEventLoop | None = None

    async def deliver_once(self) -> int:
        """Send all that may leave now and give the number of messages sent."""
        before = self._sent
        while True:
            pause = await self._round()
            if self._sending:
                await asyncio.wait(self._sending)
            elif self._ends:
                await self._wait(pause)  # the store takes no marks
            else:
                return self._sent - before

    async def run(self, stop: asyncio.Event) -> None:
        """Send what may leave, as soon as it may, until told to stop."""
        self._loop = asyncio.get_running_loop()
        stopping = asyncio.create_task(stop.wait())
        stopping.add_done_callback(lambda _: self._woken.set())
        try:
            while not stop.is_set():
                self._woken.clear()
                await self._sleep(await self._round())
            if self._sending:
                await asyncio.wait(self._sending, timeout=STOP_WITHIN)
            await self._round(is_last=True)
        finally:
            self._loop = None
            left = (stopping, *self._sending)
            for task in left:
                task.cancel()
            await asyncio.gather(*left, return_exceptions=True)

    def wake(self) -> None:
        """Say, from any thread, that something was posted."""
        loop = self._loop
        if loop is not None and not loop.is_closed():
            loop.call_soon_threadsafe(self._woken.set)

    async def _round(self, *, is_last: bool = False) -> float:
        """Write down what became of messages, claim and begin to send what may leave; give seconds until the next."""
        ends = tuple(self._ends)
        free = 0 if is_last else self._at_once - len(self._sending)
        try:
            claimed, next_at = await asyncio.to_thread(self._turn_over, ends, free)
        except Exception as error:  # noqa: BLE001 - to go on without the marks would send messages again and again
            _LOG.error("the outbox cannot be used: %s", type(error).__name__)
            self._failures += 1
            return self._pause(self._failures - 1)
        self._failures = 0
        del self._ends[: len(ends)]
        self._sent += sum(isinstance(end, Sent) for end in ends)
        for entry in claimed:
            task = asyncio.create_task(self._deliver(entry))
            self._sending.add(task)
            task.add_done_callback(self._done)
        if claimed or next_at is None:
            return LOOK_AGAIN  # one that is sent wakes us
        seconds = (next_at - self._clock.now()).total_seconds()
        return min(seconds, LOOK_AGAIN) if seconds > 0 else LOOK_SOON

    def _turn_over(self, ends: tuple[End, ...], free: int) -> tuple[list[Waiting], dt.datetime | None]:
        now, channels = self._clock.now(), self._channels.keys()
        with self._store.begin() as work:
            for end in ends:
                _write_down(work, end)
            claimed = work.outbox.claim(now, free, until=now + CLAIM_FOR, channels=channels) if free else []
            return claimed, None if claimed else work.outbox.next_at(channels)

    async def _sleep(self, seconds: float) -> None:
        if self._woken.is_set():
            return
        sleepers = [asyncio.ensure_future(self._wait(seconds)), asyncio.ensure_future(self._woken.wait())]
        try:
            await asyncio.wait(sleepers, return_when=asyncio.FIRST_COMPLETED)
        finally:
            for sleeper in sleepers:
                sleeper.cancel()

    def _done(self, task: asyncio.Task[None]) -> None:
        self._sending.discard(task)
        self._woken.set()

    async def _deliver(self, entry: Waiting) -> None:
        self._ends.append(await self._send(entry))

    async def _send(self, entry: Waiting) -> End:
        outgoing = entry.outgoing
        late_since = entry.post_at if self._clock.now() - entry.post_at > LATE_AFTER else None
        channel = self._channels[outgoing.chat.partition(":")[0]]
        try:
            async with asyncio.timeout(SEND_WITHIN):
                reference = await channel.send(outgoing, late_since=late_since)
        except TimeoutError:
            return self._failed(entry, SendError("no answer in time"))
        except SendError as error:
            return self._failed(entry, error)
        except Exception as error:  # noqa: BLE001 - a fault in a channel must not stop the other chats
            name = type(error).__name__
            # the frames without the error's own words, which may hold the message
            frames = "".join(traceback.format_tb(error.__traceback__))
            _LOG.error("message %d broke its channel: %s\n%s", entry.id, name, frames)
            return self._failed(entry, SendError(name, is_final=entry.tries + 1 >= UNEXPECTED_TRIES))
        _LOG.debug("message %d sent", entry.id)
        return Sent(entry.id, self._clock.now(), reference)

    def _failed(self, entry: Waiting, error: SendError) -> End:
        at, reason = self._clock.now(), str(error)
        if not (error.is_final or error.chat_gone):
            pause = self._pause(entry.tries, error.retry_after)
            _LOG.warning("message %d not sent, tries %d, again in %.0f s", entry.id, entry.tries + 1, pause)
            return Held(entry.id, at + dt.timedelta(seconds=pause), reason)
        _LOG.error("message %d given up, tries %d, chat gone: %s", entry.id, entry.tries + 1, error.chat_gone)
        return GivenUp(entry.id, at, reason, entry.outgoing.chat if error.chat_gone else None)

    def _pause(self, tries: int, retry_after: float | None = None) -> float:
        if retry_after is not None:
            return max(retry_after, 0.0) + self._chance.uniform(0.1, 1.0)
        longest = min(FIRST_RETRY * 2.0 ** min(tries, 16), LAST_RETRY)
        return longest * self._chance.uniform(0.5, 1.0)


def _write_down(work: UnitOfWork, end: End) -> None:
    """Write down what became of a message."""
    match end:
        case Sent(id_, at, reference):
            work.outbox.mark_sent(id_, at, reference)
        case Held(id_, until, reason):
            work.outbox.retry(id_, until, reason)
        case GivenUp(id_, at, reason, gone):
            work.outbox.give_up(id_, at, reason)
            if gone is not None:
                work.people.remove_chat(gone)
        case _:
            assert_never(end)
