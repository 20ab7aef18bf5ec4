"""What a speaker takes back or says twice within a sentence: "two hundred, no, three hundred" is three hundred.

Not for a message that puts the last record right: fixes.
"""

from collections.abc import Sequence

import msgspec

from bot.reader.book import Book
from bot.reader.names import Group
from bot.reader.times import When
from bot.reader.tokens import CHUNK, MARK, NUMBER, WORD, Token

MOST_BETWEEN = 6  # tokens between what is taken back and what is said for it
LONGEST_STUTTER = 3  # words
_SORTS = ("<mass>", "<volume>", "<money>", "<rh>", "<temp>", "<size>", "<duration>", "<person>")


def repaired(tokens: Sequence[Token], book: Book) -> list[Token]:
    """Leave out what the speaker takes back or stutters."""
    out: list[Token] = []
    for token in tokens:
        start = _taken_back(out, token, book)
        if start is not None:
            token = _kept(out[start], token)
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
        is_hour = sort == "number" and isinstance(before.value, When) and before.value.hour is not None
        if takes_back and (is_hour or _sort(before) in (sort, "number" if sort in _SORTS else sort)):
            return at
        if before.text in book.word_sets["takes_back"]:
            takes_back = True
        elif before.kind not in (MARK, NUMBER) and before.text not in book.word_sets["while_taking_back"]:
            return None
    return None


def _kept(old: Token, new: Token) -> Token:
    """Let the day stand where only the hour is taken back: "friday at nine, no, at ten", "half six, I mean seven"."""
    if not isinstance(old.value, When):
        return new
    rest = msgspec.structs.replace(old.value, hour=None, minute=0, part=None)
    if new.kind == NUMBER and isinstance(new.value, int) and 0 < new.value <= 24:
        hour = new.value % 12 + 12 if rest.half == "pm" else new.value
        when = msgspec.structs.replace(rest, hour=hour % 24, part=old.value.part)
        return Token(new.text, new.start, new.end, CHUNK, old.tags, when)
    if isinstance(new.value, When) and not new.value.has_day:
        new.value = msgspec.structs.replace(rest, half="").joined(new.value) or new.value
    return new


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
