"""The farm's own names as the reader looks them up: places, people, nicknames, earlier names and short forms.

Not for finding them in a message: names does that.
"""

import functools
from collections.abc import Sequence

import msgspec

from bot.reader.book import Book
from bot.reader.figures import number_words
from bot.reader.tokens import MARK, NUMBER, Token, cleaned, tokenize
from core.farm.farm import Farm


class Table(msgspec.Struct, frozen=True):
    """The farm's names as the reader looks them up."""

    entries: dict[str, tuple[tuple[tuple[str, ...], str, str], ...]]  # first word to (words, sort, name), longest first
    words: tuple[str, ...]  # all words of names, for spelling
    people: tuple[str, ...]
    place_words: frozenset[str]


def table(farm: Farm, book: Book) -> Table:
    """Give the farm's names for look-up; kept as long as the names are the same."""
    nicknames = tuple((b.nickname, "bin", b.name) for b in farm.bins.values() if b.nickname)
    nicknames += tuple((alias, _sort_of(farm, key), key) for alias, key in farm.aliases.items())
    people = tuple(farm.people) + farm.orders.customers
    return _table(tuple(farm.places), nicknames, tuple(farm.bins), people, book)


def _sort_of(farm: Farm, key: str) -> str:
    if key in farm.places:
        return "place"
    return "tub" if key in farm.tubs else "bin"


@functools.lru_cache(maxsize=64)
def _table(
    places: tuple[str, ...],
    nicknames: tuple[tuple[str, str, str], ...],
    bins: tuple[str, ...],
    people: tuple[str, ...],
    book: Book,
) -> Table:
    words = [_words(p, book) for p in places]
    short = [(part, n) for n, parts in zip(places, words, strict=True) for part in _parts(parts, words, book)]
    entries: dict[tuple[str, ...], tuple[str, str]] = {_words(name, book): ("person", name) for name in people}
    entries |= {part: ("person", name) for name in people if (part := _first_name(name, people, book))}
    entries |= {part: ("place", name) for part, name in short}
    entries |= {("".join(parts),): ("place", name) for name, parts in zip(places, words, strict=True)}
    entries |= {parts: ("place", name) for name, parts in zip(places, words, strict=True)}
    entries |= {_words(called, book): (sort, name) for called, sort, name in nicknames}
    entries |= {_words(name, book): ("bin", name) for name in bins if not name[1:].isdigit()}
    by_first: dict[str, list[tuple[tuple[str, ...], str, str]]] = {}
    for parts, (sort, name) in sorted(entries.items(), key=lambda e: -len(e[0])):
        if parts:
            by_first.setdefault(parts[0], []).append((parts, sort, name))
    known = sorted({w for parts in entries for w in parts if w.isalpha()})
    return Table(
        {first: tuple(several) for first, several in by_first.items()},
        tuple(known),
        people,
        frozenset(w for parts in words for w in parts),
    )


def _words(name: str, book: Book) -> tuple[str, ...]:
    tokens = number_words(tokenize(cleaned(name), book), book)
    return tuple(said(t) for t in tokens if t.kind != MARK and t.text not in book.word_sets["definite"])


def _parts(parts: tuple[str, ...], places: Sequence[tuple[str, ...]], book: Book) -> list[tuple[str, ...]]:
    """Give the short forms that mean one place only: "garage" for the garage rack."""
    if len(parts) < 2:
        return []
    never = set(book.data["never_short"].split())
    ends = [(parts[0],), (parts[-1],)] if book.writing.has_head_first else [(parts[-1],), (parts[0],)]
    usable = [end for end in ends if end[0] not in never and (end is ends[0] or not _is_classed(end[0], book))]
    return [end for end in usable if sum(end[0] in p for p in places) == 1]


def _first_name(name: str, people: Sequence[str], book: Book) -> tuple[str, ...]:
    """Give the first word of a customer's name where it can only mean that one: "Rio" for Rio Herps."""
    first, *rest = _words(name, book) or ("",)
    is_sole = sum(_words(p, book)[:1] == (first,) for p in people) == 1
    return (first,) if rest and is_sole and first not in book.words else ()


def _is_classed(word: str, book: Book) -> bool:
    return any(tag[0] == "@" for tag in book.tags(word)) or word in book.little


def said(token: Token) -> str:
    """Give a token as names are looked up: a number by its digits."""
    if token.kind == NUMBER and isinstance(token.value, int):
        return str(token.value)
    return token.text
