"""A message as tokens: words, numbers and marks, each with its place in the text.

Not for what a token means: figures, names and times put tokens together to chunks.
"""

import functools
import re
import unicodedata
from collections.abc import Sequence
from typing import Any

import msgspec

from bot.reader.book import Book

_NO_WORDS = frozenset(("Cc", "Cf", "Cn", "Co", "Cs", "So", "Sk"))  # controls, emoji
LONGEST = 4096  # characters of a message that are read; Telegram's own limit
MOST_TOKENS = 400  # a grower's message has fewer than 60; the rest of a flood is left unread

WORD, NUMBER, CLOCK, MARK, CHUNK = "word", "number", "clock", "mark", "chunk"

_CLOCK = r"\d{1,2}[:.h]\d{2}(?=\s?[ap]\.?m\b)|\d{1,2}:\d{2}(?!\d)"
_NUMBER = r"\d{1,3}(?:,\d{3})+(?!\d)|\d/\d{1,2}(?!\d)|1[0-5]/16|\d+\.\d+|\.\d+|\d+"
# Where a comma may be the decimal mark, three figures behind a comma or a point are still thousands.
_COMMA_NUMBER = r"[1-9]\d{0,2}(?:[.,]\d{3})+(?!\d)|\d/\d{1,2}(?!\d)|1[0-5]/16|\d+[.,]\d+|\.\d+|\d+"
_THOUSANDS = re.compile(r"[1-9]\d{0,2}(?:[.,]\d{3})+")
_OF_NAMES = frozenset(("@bin", "@tub", "@tray"))
_ALNUM = re.compile(r"[^\W_]+")
_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_ALIKE = str.maketrans(
    dict.fromkeys("\u2019\u2018\u0060\u00b4", chr(39))
    | dict.fromkeys("\u201c\u201d\u2033", chr(34))
    | dict.fromkeys("\u2013\u2014\u2212", "-")
    | dict.fromkeys("\u00a0\u202f\u00bf\u00a1", " ")
    | {"\u2026": ".", "\u00ba": "\u00b0"}
)  # quotes, dashes and blanks of all sorts as the plain ones


class Token(msgspec.Struct, gc=False):
    """One word, number, mark, or chunk of them; a working record of one reading."""

    text: str  # lower case, mended
    start: int  # in the message
    end: int
    kind: str = WORD
    tags: frozenset[str] = frozenset()  # what a pattern may call it
    value: Any = None
    is_glued: bool = False  # nothing stands between it and the token before


# What nobody says: addresses, emoticons, and long runs of letters and digits such as keys.
_NOISE = re.compile(
    r"\w+://\S+|(?<!\S)[:;]-?[)(DP](?!\w)|<3(?!\d)|(?<!\S)(?=\S*\d)(?=\S*[A-Za-z])[\w+/=.-]{20,}(?!\S)|(?<!\S)[{\[]\"[^\n]*"
)
_HALF = re.compile(r"\b([ap])\.( ?)m\.?(?!\w)", re.IGNORECASE)  # p.m. and p. m., which end no sentence


def cleaned(text: str) -> str:
    """Make look-alike characters one and blank out what is no word, keeping every character at its place."""
    text = text[:LONGEST].translate(_ALIKE)
    text = "".join(c if c in "\n\u00b0" or unicodedata.category(c) not in _NO_WORDS else " " for c in text)
    text = _NOISE.sub(lambda found: " " * len(found[0]), text)
    return _HALF.sub(lambda found: f"{found[1]}m".ljust(len(found[0])), text)


@functools.cache
def _lexer(clock: str, *, has_comma: bool) -> re.Pattern[str]:
    """Give the pattern of one token, with a language's own ways to write a time of day."""
    return re.compile(
        r"(?P<iso>\d{4}-\d{2}-\d{2}\b)"
        rf"|(?P<clock>{clock}{_CLOCK})"
        rf"|(?P<number>{_COMMA_NUMBER if has_comma else _NUMBER})"
        r"|(?P<word>[^\W\d_]+(?:['][^\W\d_]+)*)"
        r"|(?P<mark>\n|[^\s\w]|_)"
    )


_LIST = re.compile(r"(?P<number>\d+)(?=,)")


def _found(out: list[Token], text: str, place: int, book: Book) -> re.Match[str] | None:
    """Find the next token; behind "tubs" a comma parts two names: "5,6 and 7"."""
    found = _lexer(book.writing.clock, has_comma=book.writing.has_decimal_comma).match(text, place)
    if not (book.writing.has_decimal_comma and out and found and found.lastgroup == "number" and "," in found[0]):
        return found
    goes_on = len(out) > 1 and out[-1].text == "," and out[-1].is_glued and out[-2].kind == NUMBER
    return _LIST.match(text, place) or found if goes_on or not out[-1].tags.isdisjoint(_OF_NAMES) else found


def tokenize(text: str, book: Book) -> list[Token]:
    """Split a cleaned text into tokens, with shorthand and contractions written out."""
    out: list[Token] = []
    place = 0
    while place < len(text) and len(out) < MOST_TOKENS:
        run = _ALNUM.match(text, place)
        if run and _is_owned(out, run[0].lower(), book):  # "got its tray"
            place = run.end()
            continue
        if run and run[0].lower() in book.shorthand and not _goes_on(text, run.end()):
            _expand(out, book.shorthand[run[0].lower()], run.start(), run.end())
            place = run.end()
            continue
        found = None if text[place] in _FRACTIONS else _found(out, text, place, book)
        if found is None:
            place = _lone(out, text, place)
            continue
        _add(out, found, book)
        place = found.end()
    return out


def _is_owned(out: Sequence[Token], word: str, book: Book) -> bool:
    return word in book.word_sets["owned"] and bool(out) and out[-1].text in book.word_sets["owners"]


def _goes_on(text: str, place: int) -> bool:
    return text[place : place + 1] == "'" and text[place + 1 : place + 2].isalpha()


def _lone(out: list[Token], text: str, place: int) -> int:
    if text[place] in _FRACTIONS:
        whole = out.pop() if out and out[-1].kind == NUMBER and out[-1].end == place else None
        plain = _FRACTIONS[text[place]]
        value = _number(plain) + (whole.value if whole else 0)
        out.append(
            Token(plain, whole.start if whole else place, place + 1, NUMBER, frozenset(("<number>", "<n>")), value)
        )
    return place + 1


def _add(out: list[Token], found: re.Match[str], book: Book) -> None:
    sort, raw = str(found.lastgroup), found[0].lower()
    glued = bool(out) and out[-1].end == found.start()
    if sort == "word":
        _words(out, raw, found.start(), found.end(), glued, book)
    elif sort == "mark" and raw in _FRACTIONS:
        _lone(out, found.string, found.start())
    elif sort == "mark":
        out.append(Token(raw, found.start(), found.end(), MARK, book.tags(raw), None, glued))
    else:
        plain = _pointed(raw) if book.writing.has_decimal_comma and sort == "number" else raw
        out.append(numeral(sort, plain, found.start(), found.end(), is_glued=glued))


def _pointed(raw: str) -> str:
    """Write a number with a decimal point and without marks between its thousands."""
    is_whole = _THOUSANDS.fullmatch(raw)
    return raw.replace(".", "").replace(",", "") if is_whole else raw.replace(",", ".")


def numeral(sort: str, raw: str, start: int, end: int, *, is_glued: bool = False) -> Token:
    """Make the token of digits: a number, a clock time, or a date."""
    if sort == "clock":
        hour, minute, *_ = (*re.findall(r"\d+", raw), "0")
        value: Any = (int(hour), int(minute))
        return Token(raw, start, end, CLOCK, frozenset(("<clock>",)), value, is_glued)
    if sort == "iso":
        return Token(raw, start, end, CLOCK, frozenset(("<iso>",)), raw, is_glued)
    tags = frozenset(("<number>", "<n>", "<two>")) if raw == "2" else frozenset(("<number>", "<n>"))
    return Token(raw, start, end, NUMBER, tags, _number(raw), is_glued)


def _number(raw: str) -> float:
    if "/" in raw:
        over, under = raw.split("/")
        return int(over[:9]) / (int(under[:9]) or 1)
    value = float(raw.replace(",", "")[:15])
    return int(value) if value.is_integer() else value


def _words(out: list[Token], raw: str, start: int, end: int, glued: bool, book: Book) -> None:
    if raw in book.contractions:
        _expand(out, book.contractions[raw], start, end)
        return
    head, mark, tail = raw.partition("'")
    if mark and raw not in book.words:
        expansion = book.endings.get(tail)
        if tail == "s":
            expansion = "is" if head in book.takes_is else ""
        if expansion is not None:
            _expand(out, f"{book.shorthand.get(head, head)} {expansion}", start, end)
            return
        raw = head
    plain = book.folded(raw)
    tags = book.tags(plain) if plain == raw else book.tags(plain) | book.tags(raw)
    out.append(Token(plain, start, end, WORD, tags, None, glued))


def _expand(out: list[Token], words: str, start: int, end: int) -> None:
    for word in words.split():
        found = _lexer("", has_comma=False).match(word)
        if found and found.lastgroup in ("number", "clock"):
            out.append(numeral(str(found.lastgroup), found[0], start, end))
        else:
            out.append(Token(word, start, end))
