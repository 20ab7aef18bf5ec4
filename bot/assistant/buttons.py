"""What a button carries: a record as text of at most 64 bytes, its version first, then where it was shown.

A service keeps buttons for years, so `read` tells apart what it cannot take. The bond to farm and chat keeps a button
from acting where its numbers mean something else; it is no proof of who pressed, so roles are looked at as with a text.
Not for what a press does: conversation.
"""

import base64
import hashlib
from collections.abc import Callable
from enum import StrEnum

import msgspec

VERSION = "2"
OLDER = frozenset({"1"})  # versions without a bond
BOND_BYTES = 4
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


class Unusable(StrEnum):
    """Why a button does nothing, as a key of wording."""

    UNKNOWN = "press.unknown"
    OLDER = "press.older"
    ELSEWHERE = "press.elsewhere"


class TooLongError(ValueError):
    """A button would carry more than the service takes."""


def bond(farm: int, chat: str) -> str:
    """Give what ties a button to the farm whose numbers it carries and to the chat that it is shown in."""
    digest = hashlib.blake2b(f"{farm} {chat}".encode(), digest_size=BOND_BYTES).digest()
    return base64.urlsafe_b64encode(digest).decode().rstrip("=")


def write(pressed: Pressed, bond: str) -> str:
    """Write what a button carries.

    Raises
    ------
    TooLongError
        Where that is more than 64 bytes.
    """
    text = SEPARATOR.join((VERSION, bond, *_fields(pressed)))
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


def rebound(data: str, old: str, new: str) -> str:
    """Give what a button carries with a new bond in place of an old one; any other stays as it is."""
    version, *fields = data.split(SEPARATOR)
    if version != VERSION or fields[:1] != [old]:
        return data
    return SEPARATOR.join((version, new, *fields[1:]))


def read(data: str, bond: str) -> Pressed | Unusable:
    """Read what `write` wrote with the same bond; of anything else say why it cannot be used."""
    version, *fields = data.split(SEPARATOR)
    if version in OLDER:
        return Unusable.OLDER
    if version != VERSION or len(fields) < 2 or fields[1] not in _READERS:
        return Unusable.UNKNOWN
    if fields[0] != bond:
        return Unusable.ELSEWHERE
    try:
        return _READERS[fields[1]](fields[2:])
    except (ValueError, IndexError):
        return Unusable.UNKNOWN
