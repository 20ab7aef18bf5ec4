"""The language that a message is in: a person's own, unless its words are plainly another's.

Not for a person's language itself: the members' settings hold that.
"""

import functools
import re
from importlib import resources

from bot.ports.messages import DEFAULT_LANGUAGE
from bot.reader import book as books
from bot.reader import clitics
from bot.reader.book import Book
from bot.reader.nametable import Table

WELL_KNOWN = 0.75  # the part of the words from which no other language is looked at
FAR_BETTER = 0.4  # so much more of the words another language has to know
FEW = 2  # so many words decide only if the other language knows them all
MOST = 60  # words that are looked at
_WORD = re.compile(r"[^\W_]+(?:'[^\W\d_]+)?")


@functools.cache
def codes() -> tuple[str, ...]:
    """Name the languages that there is a phrasebook of."""
    folder = resources.files("bot.reader") / "phrasebook"
    return tuple(sorted(f.name.removesuffix(".toml") for f in folder.iterdir() if f.name.endswith(".toml")))


def spoken(text: str, own: str, table: Table) -> str:
    """Say which language a cleaned text is to be read in; ties go to the person's own."""
    own = own if own in codes() else DEFAULT_LANGUAGE
    words = _words(text, table)
    if not words:
        return own
    mine = _known(words, books.book(own))
    if len(mine) / len(words) >= WELL_KNOWN:
        return own
    for code in codes():
        theirs = _known(words, books.book(code)) if code != own else mine
        is_whole = len(theirs) == len(words) and theirs > mine
        is_far_better = len(words) > FEW and len(theirs) - len(mine) >= FAR_BETTER * len(words)
        if is_whole or is_far_better:
            return code
    return own


def _words(text: str, table: Table) -> list[str]:
    """Give the words that may tell: no names, no numbers, and none with a capital inside a sentence."""
    out: list[str] = []
    for found in _WORD.finditer(text):
        word = found[0]
        starts = not text[: found.start()].rstrip(" \"'(") or text[: found.start()].rstrip(" \"'(")[-1] in ".!?\n:"
        is_name = word[0].isupper() and not starts and not word.isupper()
        if word.lower() not in table.words and word.isalpha() | ("'" in word) and not is_name:
            out.append(word.lower())
        if len(out) == MOST:
            break
    return out


def _known(words: list[str], book: Book) -> frozenset[int]:
    """Give the places of the words that a language knows."""
    return frozenset(place for place, word in enumerate(words) if _is_known(word, book))


def _is_known(word: str, book: Book) -> bool:
    if word in book.shorthand or word in book.contractions:
        return True
    plain = book.folded(word.partition("'")[0])
    return plain in book.words or plain in book.plain or clitics.is_parted(plain, book)
