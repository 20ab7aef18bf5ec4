"""Places that the farm does not know yet, in a language whose nouns come first.

Not for those whose nouns come last ("the top shelf"): names reads them.
"""

from collections.abc import Sequence

from bot.reader.book import Book
from bot.reader.figures import span
from bot.reader.names import Group
from bot.reader.tokens import WORD, Token


def by_head(tokens: list[Token], book: Book) -> list[Token]:
    """Put one chunk in the place of a noun for a place and what tells which: "el estante de arriba"."""
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        end = i + 1
        if tokens[i].kind == WORD and tokens[i].text in book.place_nouns:
            end = _end_of_place(tokens, end, book)
            group = Group("place", "named", (" ".join(t.text for t in tokens[i:end]),))
            out.append(span(tokens, i, end, "newplace", group, *tokens[i].tags))
        else:
            out.append(tokens[i])
        i = end
    return out


def _end_of_place(tokens: Sequence[Token], end: int, book: Book) -> int:
    own = book.place_adjectives | book.place_nouns
    while end < len(tokens) and tokens[end].kind == WORD:
        at = end + 1 if tokens[end].text in book.word_sets["of"] else end
        at += at > end and at < len(tokens) and tokens[at].text in book.word_sets["late_articles"]
        if at >= len(tokens) or tokens[at].kind != WORD or tokens[at].text not in own:
            break
        end = at + 1
    return end
