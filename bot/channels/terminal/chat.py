"""One person's chat in the terminal: what is typed becomes an Incoming, what is sent is shown.

Not for what happens with a message in between: that is handed in as `hear`.
"""

import datetime as dt
import shutil
import sys
import uuid
from collections.abc import Awaitable, Callable
from pathlib import Path

from bot.channels.terminal import wording
from bot.channels.terminal.files import keep
from bot.channels.terminal.lines import Lines
from bot.channels.terminal.page import rendered
from bot.channels.terminal.shown import Shown
from bot.ports.cleaning import clean
from bot.ports.clock import Clock
from bot.ports.messages import Attachment, Button, Incoming, Outgoing, Sender

SCHEME = "terminal"
LEAVING = ("/quit", "/exit")

Hear = Callable[[Incoming], Awaitable[None]]  # takes a message in and comes back when it is answered
Late = Callable[[Outgoing, dt.datetime], str]  # the text of a message that was due at a time gone by


def address(name: str) -> str:
    """Name a person at this terminal, and the chat with them."""
    return f"{SCHEME}:{' '.join(clean(name).casefold().split())}"


class TerminalChat:
    """A way in and out for one person; messages to others are let go by: nobody else sits here."""

    def __init__(self, name: str, clock: Clock, *, late: Late | None = None) -> None:
        self.sender = Sender(address=address(name), name=" ".join(clean(name).split()))
        self._clock = clock
        self._late = late
        self._shown = Shown()
        self._is_styled = sys.stdout.isatty()

    async def send(self, outgoing: Outgoing, *, late_since: dt.datetime | None = None) -> str:
        """Show a message."""
        if outgoing.chat == self.sender.address:
            text = outgoing.text if late_since is None or self._late is None else self._late(outgoing, late_since)
            self._show(Outgoing(key=outgoing.key, chat=outgoing.chat, text=text, buttons=outgoing.buttons))
            if outgoing.file is not None:
                self._note(_kept(outgoing.file))
        return f"{SCHEME}:{uuid.uuid4().hex}"

    async def run(self, lines: Lines, hear: Hear, *, first: str | None = None) -> None:
        """Read lines until the person leaves; `first` is said for them at the start."""
        if lines.is_live:
            self._note(wording.HINT)
        if first is not None:
            await hear(self._said(first))
        while (line := await lines.read()) is not None:
            typed = clean(line).strip()
            if typed.lower() in LEAVING:
                return
            incoming = self._incoming(typed) if typed else None
            if incoming is not None:
                await hear(incoming)

    def _incoming(self, typed: str) -> Incoming | None:
        if not typed.startswith("/"):
            return self._said(typed)
        name = typed[1:].strip()
        is_number = name.isascii() and name.isdigit()
        button = self._shown.by_number(int(name[:4])) if is_number else self._shown.by_name(name)
        if button is not None:
            return self._pressed(button)
        if is_number:
            self._note(wording.NO_SUCH_BUTTON.format(number=name))
            return None
        return self._said(typed)  # a command to the assistant, such as /help

    def _pressed(self, button: Button) -> Incoming | None:
        if button.url is not None:
            self._note(wording.LINK_ONLY.format(url=button.url))
            return None
        return self._message(press=button.data)

    def _said(self, text: str) -> Incoming:
        return self._message(text=text)

    def _message(self, *, text: str = "", press: str | None = None) -> Incoming:
        key = f"{SCHEME}:{uuid.uuid4().hex}"
        return Incoming(
            key=key,
            chat=self.sender.address,
            sender=self.sender,
            sent_at=self._clock.now().astimezone(),  # on this machine's clock: a new farm takes its offset
            text=text,
            press=press,
            message=key,
        )

    def _show(self, outgoing: Outgoing) -> None:
        self._shown.add(outgoing.buttons)
        self._write(rendered(outgoing, _width(), is_styled=self._is_styled))

    def _note(self, text: str) -> None:
        """Show a word of the terminal's own."""
        note = Outgoing(key="", chat=self.sender.address, text=text)
        self._write(rendered(note, _width(), is_styled=False))

    def _write(self, text: str) -> None:
        sys.stdout.write(f"\n{text}\n")
        sys.stdout.flush()


def _kept(file: Attachment) -> str:
    """Keep a file in the working folder and say where."""
    try:
        return wording.FILE_KEPT.format(path=keep(file, Path.cwd()))
    except OSError as failure:
        return wording.FILE_NOT_KEPT.format(name=file.name, why=failure.strerror or type(failure).__name__)


def _width() -> int:
    return shutil.get_terminal_size().columns - 1
