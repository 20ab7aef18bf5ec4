"""What a button carries: a record as text of at most 64 bytes, its version first.

A service keeps buttons for years, so old ones must stay readable or be told apart: `read` gives None for what it does
not know. Not for what a press does: pressing.
"""

from collections.abc import Callable

import msgspec

VERSION = "1"
LONGEST = 64  # bytes of UTF-8, the most that a Bot API button carries


class Answer(msgspec.Struct, frozen=True):
    """The answer to an open question: its number, and which of the candidates."""

    question: int
    choice: int


class TakeBack(msgspec.Struct, frozen=True):
    """Undo the events from `first` to `last`."""

    first: int
    last: int


class Finish(msgspec.Struct, frozen=True):
    """The work of these reminders is done. `outcome` tells how, where that matters."""

    asked: tuple[int, ...]
    outcome: str = ""


class Later(msgspec.Struct, frozen=True):
    """Ask again in so many minutes."""

    minutes: int
    asked: tuple[int, ...]


class LeaveOut(msgspec.Struct, frozen=True):
    """Skip the work of these reminders this time."""

    asked: tuple[int, ...]


class Say(msgspec.Struct, frozen=True):
    """As if the person had typed this, in English."""

    text: str


class SetupStep(msgspec.Struct, frozen=True):
    """A choice while a farm is being set up."""

    step: str
    choice: str


Pressed = Answer | TakeBack | Finish | Later | LeaveOut | Say | SetupStep

SEPARATOR = "|"


class TooLongError(ValueError):
    """A button would carry more than the service takes."""


def write(pressed: Pressed) -> str:
    """Write what a button carries.

    Raises
    ------
    TooLongError
        Where that is more than 64 bytes.
    """
    text = SEPARATOR.join((VERSION, *_fields(pressed)))
    if len(text.encode()) > LONGEST:
        raise TooLongError(f"button data of {len(text.encode())} bytes: {type(pressed).__name__}")
    return text


def _fields(pressed: Pressed) -> tuple[str, ...]:
    match pressed:
        case Answer(question, choice):
            return ("a", str(question), str(choice))
        case TakeBack(first, last):
            return ("u", str(first), str(last))
        case Finish(asked, outcome):
            return ("d", _numbers(asked), outcome)
        case Later(minutes, asked):
            return ("z", str(minutes), _numbers(asked))
        case LeaveOut(asked):
            return ("k", _numbers(asked))
        case Say(text):
            return ("s", text)
        case SetupStep(step, choice):
            return ("o", step, choice)


def _numbers(numbers: tuple[int, ...]) -> str:
    return ",".join(str(n) for n in numbers)


def _read_numbers(text: str) -> tuple[int, ...]:
    return tuple(int(part) for part in text.split(",") if part)


_READERS: dict[str, Callable[[list[str]], Pressed]] = {
    "a": lambda f: Answer(int(f[0]), int(f[1])),
    "u": lambda f: TakeBack(int(f[0]), int(f[1])),
    "d": lambda f: Finish(_read_numbers(f[0]), f[1]),
    "z": lambda f: Later(int(f[0]), _read_numbers(f[1])),
    "k": lambda f: LeaveOut(_read_numbers(f[0])),
    "s": lambda f: Say(SEPARATOR.join(f)),
    "o": lambda f: SetupStep(f[0], f[1]),
}


def read(data: str) -> Pressed | None:
    """Read what `write` wrote; None for anything else, such as a button of another version."""
    version, *fields = data.split(SEPARATOR)
    if version != VERSION or not fields or fields[0] not in _READERS:
        return None
    try:
        return _READERS[fields[0]](fields[1:])
    except (ValueError, IndexError):
        return None
