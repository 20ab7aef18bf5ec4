"""The alarm clock: wakes the assistant when the rules of any farm next have something to say.

One job, ringing at the earliest `next_due` of all farms and at the latest a minute after it last rang, so that a clock
that was set, or a farm that another process moved, costs a minute. Reminders themselves are no jobs: see core.rules.
"""

import asyncio
import datetime as dt
import logging
from collections.abc import Callable

from apscheduler.schedulers.asyncio import AsyncIOScheduler
from apscheduler.triggers.interval import IntervalTrigger

from bot.logs import fields
from bot.ports.clock import Clock
from bot.ports.stores import Store

LONGEST = 60.0  # seconds between two rings
AFTER_A_FAILURE = 10.0  # seconds
SETTLING = 0.1  # seconds in which many farms may move before it is looked at again which is next
AFTER_NOTHING = 1.0  # seconds, where a farm is due and yet nothing was posted

_JOB = "wake-up"
_LOG = logging.getLogger(__name__)


class Timetable:
    """Calls `remind` in a worker thread whenever a farm is due; `remind` gives the number of messages it posted."""

    def __init__(self, store: Store, clock: Clock, remind: Callable[[], int]) -> None:
        self._store = store
        self._clock = clock
        self._remind = remind
        self._scheduler = AsyncIOScheduler(timezone=dt.UTC)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._work: asyncio.Task[None] | None = None
        self._is_time = False  # it rang, and `remind` was not called since
        self._is_moved = False  # `next_due` may have changed since the alarm was set
        self._not_before = 0.0  # in the loop's own time

    def start(self) -> None:
        """Begin, in a running event loop, with what fell due while the program was not running."""
        self._loop = asyncio.get_running_loop()
        self._scheduler.add_job(
            self._ring,
            IntervalTrigger(seconds=int(LONGEST), timezone=dt.UTC),
            id=_JOB,
            next_run_time=_wall(),
            misfire_grace_time=None,  # late is better than never
            coalesce=True,
            max_instances=1,
        )
        self._scheduler.start()

    def rearm(self) -> None:
        """Say, from any thread, that a farm's `next_due` may have changed."""
        loop = self._loop
        if loop is not None and not loop.is_closed():
            loop.call_soon_threadsafe(self._begin)

    def stop(self) -> None:
        """Ring no more; a `remind` that is at work ends by itself."""
        if self._loop is None:
            return
        self._loop = None
        if self._work is not None:
            self._work.cancel()
        self._scheduler.shutdown(wait=False)

    async def _ring(self) -> None:
        self._is_time = True
        self._begin()

    def _begin(self) -> None:
        self._is_moved = True
        if self._loop is not None and (self._work is None or self._work.done()):
            self._work = self._loop.create_task(self._go())

    async def _go(self) -> None:
        """One at a time, so that no two reminders of a farm are worked out side by side."""
        while self._is_moved or self._is_time:
            self._is_moved = False
            if self._is_time:
                self._is_time = False
                await self._call()
            await self._arm()
            if not self._is_time:
                await asyncio.sleep(SETTLING)

    async def _call(self) -> None:
        try:
            posted = await asyncio.to_thread(self._remind)
        except Exception as error:  # noqa: BLE001 - one farm's trouble must not silence the others for good
            _LOG.error("reminding failed", exc_info=error)
            pause = AFTER_A_FAILURE
        else:
            pause = 0.0 if posted else AFTER_NOTHING
        self._not_before = asyncio.get_running_loop().time() + pause

    async def _arm(self) -> None:
        try:
            next_due = await asyncio.to_thread(self._next_due)
        except Exception as error:  # noqa: BLE001 - the alarm still rings within the minute
            _LOG.error("the next reminder cannot be read", extra=fields(error=error))
            return
        seconds = LONGEST if next_due is None else (next_due - self._clock.now()).total_seconds()
        seconds = min(max(seconds, self._not_before - asyncio.get_running_loop().time(), 0.0), LONGEST)
        self._scheduler.modify_job(_JOB, next_run_time=_wall() + dt.timedelta(seconds=seconds))

    def _next_due(self) -> dt.datetime | None:
        with self._store.begin() as work:
            return work.farms.next_due()


def _wall() -> dt.datetime:
    return dt.datetime.now(dt.UTC)  # noqa: TID251 - APScheduler's time; what is due goes by the Clock
