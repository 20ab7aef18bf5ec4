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
from collections import Counter
from collections.abc import Awaitable, Callable, Iterator, Mapping, Sequence
from typing import assert_never

import msgspec

from bot.assistant.moving import move_chat
from bot.logs import fields
from bot.outages import Outage, pause_after
from bot.ports.clock import Clock
from bot.ports.messages import Outgoing
from bot.ports.outbox import Waiting, Within
from bot.ports.sending import Channel, SendError, Trouble
from bot.ports.stores import Store, UnitOfWork
from bot.ports.tally import UNCOUNTED, Counted, Tally

LATE_AFTER = dt.timedelta(minutes=10)  # past this a message says when it was due
CLAIM_FOR = dt.timedelta(seconds=25)  # then a message of a worker that died is another's
SEND_WITHIN = 20.0  # seconds; less than a claim lasts, so that nobody else sends it meanwhile
LOOK_ONCE_MORE_AFTER = dt.timedelta(minutes=1)  # past this it is seen whether a reminder still makes sense
FIRST_PAUSE, LONGEST_PAUSE = 2.0, 60.0  # seconds that a store which fails is left alone
AT_ONCE_MOVED = 2  # tries of a message that goes to a new address without waiting: more often, and it goes in circles
UNEXPECTED_TRIES = 10  # about half an hour: then a message that breaks its channel is given up
LOOK_AGAIN = 5.0  # seconds between looks at an outbox in which nothing is due: another process may have posted
LOOK_SOON = 1.0  # seconds between looks while something due is another worker's
STOP_WITHIN = 7.0  # seconds that messages in flight get when the program stops

OVERTAKEN, MOVED = "overtaken", "the chat has a new address"  # why a message is not sent, or not yet

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


class Moved(msgspec.Struct, frozen=True):
    """The chat of a message has a new address: it goes there from a time on, with all that waits behind it."""

    id: int
    at: dt.datetime
    old: str
    new: str


End = Sent | Held | GivenUp | Moved

_COUNTED: Mapping[type[End], Counted] = {
    Sent: Counted.SENT,
    Held: Counted.RETRIED,
    GivenUp: Counted.GIVEN_UP,
    Moved: Counted.RETRIED,
}


class Delivery:
    """Sends what waits in the outbox.

    Parameters
    ----------
    channels
        By what stands before the colon in the chats' addresses; messages for other channels are left alone.
    as_it_stands
        Gives a message that could not leave at its time as it is to be sent now; None where it is not, after all.
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
        as_it_stands: Callable[[Outgoing], Outgoing | None] = lambda outgoing: outgoing,
        wait: Callable[[float], Awaitable[None]] = asyncio.sleep,
        at_once: int = 64,
        tally: Tally = UNCOUNTED,
    ) -> None:
        self._store = store
        self._channels = channels
        self._clock = clock
        self._chance = chance
        self._as_it_stands = as_it_stands
        self._wait = wait
        self._at_once = at_once
        self._tally = tally
        self._outages = {name: Outage(name, chance) for name in channels}
        self._sending: dict[asyncio.Task[None], Waiting] = {}
        self._pushes: set[int] = set()  # that are sent and not written down yet
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
            self._loop = None  # nothing more is begun: it would be cut off on its way, and sent again at the next start
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
        self.begin(())

    def claim_within(self, work: Within) -> list[Waiting]:
        """Claim, from any thread, in a unit of work that posted answers, what may leave once it has ended."""
        free, working = self._at_once - len(self._sending), [n for n, o in self._outages.items() if o.again_at is None]
        if self._loop is None or free <= 0 or not working:
            return []
        now = self._clock.now()
        return work.outbox.claim(now, free, until=now + CLAIM_FOR, channels=working, pushes=False)

    def begin(self, claimed: Sequence[Waiting]) -> None:
        """Send, from any thread, what was claimed within a unit of work that has ended; nothing: look what there is."""
        loop = self._loop
        if loop is not None and not loop.is_closed():
            start = lambda: self._start(claimed if self._loop is loop else ())  # noqa: E731 - it may have ended by then
            loop.call_soon_threadsafe(start if claimed else self._woken.set)

    async def _round(self, *, is_last: bool = False) -> float:
        """Write down what became of messages, claim and begin to send what may leave; give seconds until the next."""
        ends = tuple(self._ends)
        free = 0 if is_last else self._at_once - len(self._sending)
        try:
            claimed, next_at = await asyncio.to_thread(self._turn_over, ends, free)
        except Exception as error:  # noqa: BLE001 - to go on without the marks would send messages again and again
            _LOG.error("the outbox cannot be used", extra=fields(error=error))
            self._failures += 1
            return min(FIRST_PAUSE * 2.0 ** min(self._failures - 1, 16), LONGEST_PAUSE) * self._chance.uniform(0.5, 1.0)
        self._failures = 0
        del self._ends[: len(ends)]
        self._sent += sum(isinstance(end, Sent) for end in ends)
        for end in ends:
            self._tally.count(_COUNTED[type(end)])
            self._pushes.discard(end.id)
        self._pushes |= {entry.id for entry in claimed if entry.outgoing.is_push}
        self._start(claimed)
        if claimed or next_at is None:
            return LOOK_AGAIN  # one that is sent wakes us
        seconds = (next_at - self._clock.now()).total_seconds()
        return min(seconds, LOOK_AGAIN) if seconds > 0 else LOOK_SOON

    def _start(self, claimed: Sequence[Waiting]) -> None:
        for entry in claimed:
            task = asyncio.create_task(self._deliver(entry))
            self._sending[task] = entry
            task.add_done_callback(self._done)

    def _turn_over(self, ends: tuple[End, ...], free: int) -> tuple[list[Waiting], dt.datetime | None]:
        now = self._clock.now()
        with self._store.begin() as work:
            for end in ends:
                _write_down(work, end)
            claimed: list[Waiting] = []
            # Of what leaves by itself one at a time, sent and marked, so that a kill repeats no more than that one.
            is_push_under_way = not self._pushes <= {end.id for end in ends}
            for channels, most in self._let_through(now, free):
                until = now + CLAIM_FOR
                claimed += work.outbox.claim(now, most, until=until, channels=channels, pushes=False)
                if most > len(claimed) and not is_push_under_way:
                    pushes = work.outbox.claim(now, 1, until=until, channels=channels, pushes=True)
                    is_push_under_way = bool(pushes)
                    claimed += pushes
            return claimed, None if claimed else self._next_at(work)

    def _let_through(self, now: dt.datetime, free: int) -> Iterator[tuple[tuple[str, ...], int]]:
        """Give what to claim: of services that work as much as is free, of each that is out what it lets through."""
        under_way = Counter(map(_channel_of, self._sending.values()))
        bounds = {name: outage.lets_through(now, under_way[name]) for name, outage in self._outages.items()}
        working = tuple(name for name, bound in bounds.items() if bound is None)
        found = [(working, free), *(((name,), min(bound, free)) for name, bound in bounds.items() if bound is not None)]
        return ((channels, most) for channels, most in found if channels and most > 0)

    def _next_at(self, work: UnitOfWork) -> dt.datetime | None:
        """Give the earliest time that a message may leave, where its service is out not before that is tried."""
        working = [name for name, outage in self._outages.items() if outage.again_at is None]
        times = [work.outbox.next_at(working)] if working else []
        for name, outage in self._outages.items():
            if outage.again_at is not None and (at := work.outbox.next_at([name])) is not None:
                times.append(max(at, outage.again_at))
        return min((at for at in times if at is not None), default=None)

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
        entry = self._sending.pop(task)
        if all(end.id != entry.id for end in self._ends):
            self._pushes.discard(entry.id)  # it came to no end: it is claimed anew
        self._woken.set()

    async def _deliver(self, entry: Waiting) -> None:
        begun = self._clock.now()
        outgoing = await self._looked_at(entry)
        if self._clock.now() - begun > CLAIM_FOR - dt.timedelta(seconds=SEND_WITHIN):
            return  # the look took so long that the claim may end before the message is sent: it is claimed anew
        if outgoing is None:
            _LOG.info("message is overtaken and not sent", extra=fields(message=entry.id))
            self._ends.append(GivenUp(entry.id, self._clock.now(), OVERTAKEN))
            return
        outage, now = self._outages[_channel_of(entry)], self._clock.now
        try:
            reference = await self._send(entry, outgoing)
        except SendError as error:
            if error.is_passing:
                outage.failed(outgoing.chat, error, now())
            else:
                outage.worked()
            self._ends.append(self._failed(entry, error))
        else:
            outage.worked()
            _LOG.debug("message sent", extra=fields(message=entry.id))
            self._ends.append(Sent(entry.id, now(), reference))

    async def _looked_at(self, entry: Waiting) -> Outgoing | None:
        """Look once more at a reminder that could not leave at its time."""
        outgoing = entry.outgoing
        is_timely = entry.tries == 0 and self._clock.now() - entry.post_at < LOOK_ONCE_MORE_AFTER
        if is_timely or not outgoing.is_push:
            return outgoing
        try:
            return await asyncio.to_thread(self._as_it_stands, outgoing)
        except Exception as error:  # noqa: BLE001 - a reminder too many is better than one too few
            _LOG.warning("message not looked at and sent as it was", extra=fields(message=entry.id, error=error))
            return outgoing

    async def _send(self, entry: Waiting, outgoing: Outgoing) -> str:
        """Send a message and give its name; whatever goes wrong comes as a SendError."""
        late_since = entry.post_at if self._clock.now() - entry.post_at > LATE_AFTER else None
        try:
            async with asyncio.timeout(SEND_WITHIN):
                return await self._channels[_channel_of(entry)].send(outgoing, late_since=late_since)
        except TimeoutError:
            raise SendError("no answer in time", trouble=Trouble.NETWORK) from None
        except SendError:
            raise
        except Exception as error:  # noqa: BLE001 - a fault in a channel must not stop the other chats
            name = type(error).__name__
            _LOG.error("message broke its channel", exc_info=error, extra=fields(message=entry.id))
            raise SendError(name, is_final=entry.tries + 1 >= UNEXPECTED_TRIES) from None

    def _failed(self, entry: Waiting, error: SendError) -> End:
        at, reason, chat = self._clock.now(), str(error), entry.outgoing.chat
        pause = pause_after(error, entry.tries, self._chance)
        until = at + dt.timedelta(seconds=pause)
        told = {"message": entry.id, "tries": entry.tries + 1}
        if error.moved_to not in (None, chat):
            _LOG.info("message goes to the new address of its chat", extra=fields(**told, error=error))
            return Moved(entry.id, at if entry.tries < AT_ONCE_MOVED else until, chat, error.moved_to)
        if error.is_passing:
            _LOG.warning("message not sent", extra=fields(**told, again_in_s=round(pause), error=error))
            return Held(entry.id, until, reason)
        _LOG.error("message given up", extra=fields(**told, is_chat_gone=error.chat_gone, error=error))
        return GivenUp(entry.id, at, reason, chat if error.chat_gone else None)


def _channel_of(entry: Waiting) -> str:
    return entry.outgoing.chat.partition(":")[0]


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
        case Moved(id_, at, old, new):
            work.outbox.retry(id_, at, MOVED)
            move_chat(work, old, new, at)
        case _:
            assert_never(end)
