"""A message as a terminal shows it: safe, wrapped to its width, bold, its buttons numbered below.

Not for which button a person means: that is shown.
"""

import textwrap
import unicodedata
from collections.abc import Iterable, Iterator, Sequence

from bot.ports.cleaning import clean
from bot.ports.messages import BOLD_OFF, BOLD_ON, Button, Outgoing

ANSI_BOLD = "\x1b[1m"
ANSI_PLAIN = "\x1b[0m"
INDENT = "  "
NARROWEST = 20  # columns; a terminal that says less is taken for this
WIDEST = 100  # columns; longer lines are hard to read

_MARKS = frozenset((BOLD_ON, BOLD_OFF))


def rendered(outgoing: Outgoing, width: int, *, is_styled: bool) -> str:
    """Give a message as lines of at most `width` columns, indented; with escape codes for bold where `is_styled`."""
    columns = max(NARROWEST, min(width, WIDEST)) - len(INDENT)
    text = clean(outgoing.text, kept=_MARKS)
    lines = [piece for line in text.split("\n") for piece in _wrapped(line, columns)]
    lines.extend(_button_lines(outgoing.buttons, columns))
    whole = "".join(f"{INDENT}{line}\n" if line else "\n" for line in lines)
    on, off = (ANSI_BOLD, ANSI_PLAIN) if is_styled else ("", "")
    styled = whole.replace(BOLD_ON, on).replace(BOLD_OFF, off)
    return styled + off if whole.count(BOLD_ON) > whole.count(BOLD_OFF) else styled


def columns_of(text: str) -> int:
    """Count the columns that a text takes: two for wide letters and emoji, none for what stands on another letter."""
    return sum(_columns(letter) for letter in text)


def _columns(letter: str) -> int:
    if letter in _MARKS or unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in ("W", "F") else 1


def _wrapped(line: str, columns: int) -> Iterator[str]:
    """Break a line between words, and a word only where it is longer than a line."""
    if columns_of(line) <= columns:
        yield line.rstrip()
        return
    hang = " " * min(len(line) - len(line.lstrip(" ")), columns // 2)
    words = [piece for word in line.split() for piece in _pieces(word, columns - len(hang))]
    yield from _filled(words, columns, hang, " ")


def _pieces(word: str, columns: int) -> Iterator[str]:
    piece, taken = "", 0
    for letter in word:
        if taken + _columns(letter) > columns:
            yield piece
            piece, taken = "", 0
        piece += letter
        taken += _columns(letter)
    yield piece


def _filled(words: Iterable[str], columns: int, hang: str, between: str) -> Iterator[str]:
    line = ""
    for word in words:
        longer = f"{line}{between}{word}" if line else f"{hang}{word}"
        if line and columns_of(longer) > columns:
            yield line
            longer = f"{hang}{word}"
        line = longer
    if line:
        yield line


def _button_lines(rows: Sequence[Sequence[Button]], columns: int) -> list[str]:
    buttons = (button for row in rows for button in row)
    labels = [f"[{number} {_label(button)}]" for number, button in enumerate(buttons, start=1)]
    return list(_filled((textwrap.shorten(label, columns, placeholder="]") for label in labels), columns, "", "  "))


def _label(button: Button) -> str:
    label = " ".join(clean(button.label).split())
    return f"{label}: {clean(button.url)}" if button.url else label
