"""What a speaker takes back or says twice within a sentence: "two hundred, no, three hundred" is three hundred.

Not for a message that puts the last record right: fixes.
"""

from collections.abc import Sequence

import msgspec

from bot.reader.book import Book
from bot.reader.names import Group
from bot.reader.times import When
from bot.reader.tokens import MARK, NUMBER, WORD, Token

MOST_BETWEEN = 6  # tokens between what is taken back and what is said for it
LONGEST_STUTTER = 3  # words
_SORTS = ("<mass>", "<volume>", "<money>", "<rh>", "<temp>", "<size>", "<duration>", "<person>")


def repaired(tokens: Sequence[Token], book: Book) -> list[Token]:
    """Leave out what the speaker takes back or stutters."""
    out: list[Token] = []
    for token in tokens:
        start = _taken_back(out, token, book)
        if start is not None:
            _keep_day(out[start], token)
            del out[start:]
        out.append(token)
        _drop_stutter(out)
    return out


def _taken_back(said: Sequence[Token], token: Token, book: Book) -> int | None:
    """Find where what a token stands for instead begins, if the words between take it back."""
    sort = _sort(token)
    if sort is None:
        return None
    takes_back = False
    for at in range(len(said) - 1, max(len(said) - 2 - MOST_BETWEEN, -1), -1):
        before = said[at]
        if takes_back and _sort(before) in (sort, "number" if sort in _SORTS else sort):
            return at
        if before.text in book.word_sets["takes_back"]:
            takes_back = True
        elif before.kind not in (MARK, NUMBER) and before.text not in book.word_sets["while_taking_back"]:
            return None
    return None


def _keep_day(old: Token, new: Token) -> None:
    """Let the day stand where only the hour is taken back: "friday at nine, no, at ten"."""
    if isinstance(old.value, When) and isinstance(new.value, When) and not new.value.has_day:
        joined = msgspec.structs.replace(old.value, hour=None, minute=0, half="", part=None).joined(new.value)
        new.value = joined or new.value


def _sort(token: Token) -> str | None:
    if isinstance(token.value, Group):
        return token.value.sort if token.value.how == "named" else None
    if isinstance(token.value, When):
        return "time"
    if token.kind == NUMBER and "<number>" in token.tags:
        return "number"
    return next((sort for sort in _SORTS if sort in token.tags), None)


def _drop_stutter(out: list[Token]) -> None:
    for length in range(1, LONGEST_STUTTER + 1):
        first, second = out[-2 * length : -length], out[-length:]
        if len(first) == length and all(
            a.kind == b.kind == WORD and a.text == b.text for a, b in zip(first, second, strict=True)
        ):
            del out[-length:]
            return
