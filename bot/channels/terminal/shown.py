"""The buttons that were shown, and which of them a typed `/1` or `/pulled` means."""

from collections import deque
from collections.abc import Iterator

from bot.ports.messages import Button, Rows

KEPT = 50  # messages whose buttons can be pressed by name


class Shown:
    """The buttons of the last messages."""

    def __init__(self) -> None:
        self._messages: deque[tuple[Button, ...]] = deque(maxlen=KEPT)

    def add(self, rows: Rows) -> None:
        """Take note of a message's buttons; a message without any changes nothing."""
        buttons = tuple(button for row in rows for button in row)
        if buttons:
            self._messages.appendleft(buttons)

    def by_number(self, number: int) -> Button | None:
        """Find a button of the newest message that has any, as they are numbered there."""
        newest = self._messages[0] if self._messages else ()
        return newest[number - 1] if 1 <= number <= len(newest) else None

    def by_name(self, name: str) -> Button | None:
        """Find the newest button of that name, else the newest whose name begins so."""
        wanted = _folded(name)
        if not wanted:
            return None
        whole = (button for button in self._newest_first() if _folded(button.label) == wanted)
        begun = (button for button in self._newest_first() if _folded(button.label).startswith(wanted))
        return next(whole, None) or next(begun, None)

    def _newest_first(self) -> Iterator[Button]:
        return (button for message in self._messages for button in message)


def _folded(label: str) -> str:
    return " ".join(label.casefold().split())
