"""Where typed lines come from: a prompt that keeps its place while messages land above it, or a plain stream.

prompt-toolkit is imported when a prompt is made: a stream needs none of it.
"""

import asyncio
import sys
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from typing import Protocol, TextIO


class Lines(Protocol):
    """One line after another."""

    is_live: bool  # somebody sits there, and time passes between two lines

    def around(self) -> AbstractContextManager[object]:
        """Hold this while lines are read and messages are written."""
        ...

    async def read(self) -> str | None:
        """Give the next line; None at the end."""
        ...


class StreamLines:
    """Lines of a file or a pipe."""

    is_live = False

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def around(self) -> AbstractContextManager[object]:
        """Hold nothing."""
        return nullcontext()

    async def read(self) -> str | None:
        """Give the next line; None at the end."""
        loop = asyncio.get_running_loop()
        arrived: asyncio.Future[str] = loop.create_future()

        def arrive(line: str) -> None:
            if not arrived.done():
                arrived.set_result(line)

        def wait_for_line() -> None:
            line = self._stream.readline()
            if not loop.is_closed():
                loop.call_soon_threadsafe(arrive, line)

        # No thread of the pool: Python waits for those at its end, and this one may wait for a line for ever.
        threading.Thread(target=wait_for_line, daemon=True).start()
        line = await arrived
        return line.rstrip("\r\n") if line else None


class PromptLines:
    """Lines typed at a prompt, with editing and the lines typed before."""

    is_live = True

    def __init__(self, prompt: str) -> None:
        from prompt_toolkit import PromptSession

        self._session: PromptSession[str] = PromptSession(prompt)

    @contextmanager
    def around(self) -> Iterator[None]:
        """Let all that is written land above the line being typed."""
        from prompt_toolkit.patch_stdout import patch_stdout

        with patch_stdout(raw=True):
            yield

    async def read(self) -> str | None:
        """Give the next line; None where the person leaves."""
        try:
            return await self._session.prompt_async()
        except (EOFError, KeyboardInterrupt):
            return None


def lines_for(stream: TextIO, name: str) -> Lines:
    """Prompt where a person sits at both ends, else read on."""
    if stream.isatty() and sys.stdout.isatty():
        return PromptLines(f"{name}> ")
    return StreamLines(stream)
