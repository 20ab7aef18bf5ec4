"""Words that only are polite, left out wherever they stand: "hi,", "thanks", "thanks for the reminder".

Not for single words that mean nothing anywhere: those the phrasebook skips.
"""

from collections.abc import Sequence

from bot.reader.book import Book
from bot.reader.tokens import MARK, Token

_LEADING = frozenset((",", ":", "-", "!"))


def without(tokens: Sequence[Token], book: Book) -> list[Token]:
    """Leave out thanks with what they are for, and the marks that a greeting leaves behind."""
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        if tokens[i].text in book.word_sets["thanks"]:
            i = _past_thanks(tokens, i + 1, book)
            _drop_comma(out)
            continue
        if out or tokens[i].text not in _LEADING:
            out.append(tokens[i])
        i += 1
    return out


def _past_thanks(tokens: Sequence[Token], at: int, book: Book) -> int:
    """Step over "so much", and over what somebody is thanked for."""
    while at < len(tokens) and tokens[at].text in book.word_sets["how_thankful"]:
        at += 1
    if at < len(tokens) and tokens[at].text in book.word_sets["thanked_for"]:
        while at < len(tokens) and tokens[at].kind != MARK:
            at += 1
    return at


def _drop_comma(out: list[Token]) -> None:
    if out and out[-1].text == ",":
        out.pop()
