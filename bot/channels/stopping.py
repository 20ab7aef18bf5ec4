"""The end of a program that was told to stop: as soon as all parts are done, and soon whatever they are at.

To be cut short costs nothing: what was not finished is in the inbox and the outbox, as after a power cut.
"""

import asyncio
import contextlib
import logging
import os
import signal
import threading
import time
from collections.abc import Awaitable, Callable
from typing import NoReturn

END_WITHIN = 9.0  # seconds; who tells a program to stop kills it after ten

Run = Callable[[asyncio.Event], Awaitable[None]]  # until the event is set

_TELLING = (signal.SIGTERM, signal.SIGINT)
_LOG = logging.getLogger(__name__)


class StopSignals:
    """Hears the system, or the person at the keyboard, say stop: in a thread of its own, whatever the others are at."""

    def __init__(self, *, end_within: float = END_WITHIN) -> None:
        self._end_within = end_within
        self._loop: asyncio.AbstractEventLoop | None = None
        self._stop = asyncio.Event()

    def listen(self) -> None:
        """Begin, in the main thread and before there are others; without `run` under way a signal ends all at once."""
        if not hasattr(signal, "pthread_sigmask"):
            return  # Windows: Ctrl-C ends the program at once
        signal.pthread_sigmask(signal.SIG_BLOCK, _TELLING)
        threading.Thread(target=self._hear, name="signals", daemon=True).start()

    async def run(self, run: Run) -> None:
        """Run until told to stop."""
        self._loop = asyncio.get_running_loop()
        await run(self._stop)

    def leave(self) -> None:
        """End the process if it was told to: all is done, and to tidy up after itself takes Python up to seconds."""
        if self._stop.is_set():
            _exit()

    def _hear(self) -> None:
        signal.sigwait(_TELLING)
        if self._loop is not None:
            with contextlib.suppress(RuntimeError):  # the loop has ended by itself
                self._loop.call_soon_threadsafe(self._stop.set)
                time.sleep(self._end_within)
                _LOG.warning("the end took too long and is cut short; what was under way is taken up at the next start")
        _exit()


def _exit() -> NoReturn:
    logging.shutdown()
    os._exit(0)
