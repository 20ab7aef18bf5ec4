"""Waiting longer after each failure, and no longer than until somebody says stop."""

import asyncio
import random
from collections.abc import Coroutine
from typing import Any, TypeVar

T = TypeVar("T")


class Backoff:
    """Doubling waits, each shortened by chance so that many processes do not come back at once."""

    def __init__(self, *, first: float = 0.5, longest: float = 30.0) -> None:
        """Begin with `first` seconds."""
        self._first = first
        self._longest = longest
        self._next = first

    def reset(self) -> None:
        """Begin anew: it worked."""
        self._next = self._first

    async def wait(self, stop: asyncio.Event, *, at_least: float = 0.0) -> float:
        """Wait, or until `stop`; give the seconds that were meant."""
        seconds = max(at_least, self._next * random.uniform(0.5, 1.0))  # noqa: S311 - no secret hangs on it
        self._next = min(self._longest, self._next * 2)
        await unless(stop, asyncio.sleep(seconds))
        return seconds


async def unless(stop: asyncio.Event, work: Coroutine[Any, Any, T]) -> T | None:
    """Do the work, or give None and cancel it as soon as `stop` is set."""
    doing = asyncio.ensure_future(work)
    stopping = asyncio.ensure_future(stop.wait())
    try:
        await asyncio.wait({doing, stopping}, return_when=asyncio.FIRST_COMPLETED)
    finally:
        left = [task for task in (doing, stopping) if not task.done()]
        for task in left:
            task.cancel()
        await asyncio.gather(*left, return_exceptions=True)
    return None if doing.cancelled() else doing.result()
