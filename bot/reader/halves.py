"""A half behind a number or a unit: "two and a half pounds", "an hour and a half", "dos kilos y medio".

Not for halves without a number ("half an hour"): figures reads those.
"""

from bot.reader.book import Book
from bot.reader.tokens import NUMBER, WORD, Token


def counted(tokens: list[Token], book: Book) -> list[Token]:
    """Put each half to the number before its unit; a unit without one has "one and a half"."""
    halves = book.word_sets.get("half_behind", ())
    if not halves:
        return tokens
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        unit = tokens[i]
        out.append(unit)
        i += 1
        at = i + 1 + _is_article(tokens, i + 1, book)
        if not _has_half(tokens, i, at, book):
            continue
        if unit.kind == NUMBER and tokens[at].text in book.word_sets["half_alone"]:
            unit.value, unit.end = unit.value + 0.5, tokens[at].end  # "treinta y medio"; hours have "y media"
            i = at + 1
            continue
        if not _is_unit(unit, book) or tokens[at].text not in halves:
            continue
        if len(out) > 1 and out[-2].kind == NUMBER:
            out[-2].value += 0.5
        else:
            out.insert(-1, Token("1.5", unit.start, unit.start, NUMBER, frozenset(("<number>", "<n>")), 1.5))
        unit.end = tokens[at].end
        i = at + 1
    return out


def _is_unit(token: Token, book: Book) -> bool:
    return token.kind == WORD and (token.text in book.units or token.text in book.word_sets["degrees"])


def _is_article(tokens: list[Token], i: int, book: Book) -> bool:
    return i < len(tokens) and tokens[i].text in book.word_sets["articles"]


def _has_half(tokens: list[Token], i: int, at: int, book: Book) -> bool:
    """Say whether "and" and a word follow that do not begin a figure of their own: "y media hora"."""
    if at >= len(tokens) or tokens[i].text not in book.word_sets["and"]:
        return False
    return at + 1 >= len(tokens) or not _is_unit(tokens[at + 1], book)


def join(out: list[Token], book: Book) -> None:
    """Make one number of "two and a half"."""
    joints = book.word_sets["and"] | book.word_sets["articles"]
    if "<fraction>" not in out[-1].tags or len(out) < 3 or out[-2].text not in joints:
        return
    at = -4 if out[-3].text in joints and len(out) > 3 else -3
    if out[at].kind == NUMBER and isinstance(out[at].value, int) and out[at + 1].text in book.word_sets["and"]:
        total = out[at].value + out[-1].value
        out[at:] = [Token(f"{total:g}", out[at].start, out[-1].end, NUMBER, frozenset(("<number>", "<n>")), total)]
