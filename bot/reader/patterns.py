"""The little language of the phrasebook's patterns, and how one is found in tokens.

`pull|take .. tray` are words in this order, `..` a gap; `word?` may be missing; `{text}` takes words as they stand;
`^` and `$` are the ends of a clause; `!word` must not be in the clause; a pattern that starts with `&` has its
elements in any order. A word stands for itself, `@water` for a class of words, `<bin>` for a chunk.
Not for what a match is good for: frames fills slots from it.
"""

from collections.abc import Iterable, Sequence
from typing import Any

import msgspec

WIDEST_GAP = 12  # tokens that `..` steps over at most
_NO_TAGS: frozenset[str] = frozenset()


class Element(msgspec.Struct, frozen=True):
    """One part of a pattern."""

    any_of: frozenset[str] = _NO_TAGS
    is_optional: bool = False
    gap: int = 0  # more than 0: steps over up to so many tokens
    capture: str = ""  # a name: takes one or more tokens


class Pattern(msgspec.Struct, frozen=True):
    """A compiled pattern."""

    source: str
    elements: tuple[Element, ...]
    forbids: frozenset[str]
    is_bag: bool
    starts: bool
    ends: bool
    key: frozenset[str]  # one of these has to be there: how the index finds the pattern
    needs: tuple[frozenset[str], ...]  # of each of these, too


class Match(msgspec.Struct, frozen=True):
    """Where a pattern was found."""

    score: float
    used: tuple[int, ...]  # indexes of tokens that elements took
    captures: dict[str, tuple[int, int]]  # name to a slice of tokens
    start: int
    end: int


def compiled(source: str) -> Pattern:
    """Read a pattern."""
    words = source.split()
    is_bag = words[:1] == ["&"]
    starts, ends = "^" in words, "$" in words
    forbids = frozenset(w for word in words if word[0] == "!" for w in word[1:].split("|"))
    elements = tuple(_element(w) for w in words if w not in ("&", "^", "$") and w[0] != "!")
    needed = [e.any_of for e in elements if e.any_of and not e.is_optional]
    key = min(needed, key=_commonness, default=_NO_TAGS)
    return Pattern(source, elements, forbids, is_bag, starts, ends, key, tuple(needed))


def _commonness(tags: frozenset[str]) -> tuple[int, int]:
    return (sum(t[0] == "<" for t in tags), len(tags))


def _element(word: str) -> Element:
    if word == "..":
        return Element(gap=WIDEST_GAP)
    if word == ".":
        return Element(gap=2)
    if word[0] == "{" and word[-1] == "}":
        return Element(capture=word[1:-1])
    optional = len(word) > 1 and word[-1] == "?"
    words = (word[:-1] if optional else word).split("|")
    return Element(any_of=frozenset(w if w[0] in "<@" else w.replace("_", " ") for w in words), is_optional=optional)


def found(pattern: Pattern, tags: Sequence[frozenset[str]], all_tags: frozenset[str]) -> Match | None:
    """Find a pattern in the tags of a clause; the first place, the smallest gaps."""
    for any_of in pattern.needs:
        if any_of.isdisjoint(all_tags):
            return None
    if pattern.forbids and not pattern.forbids.isdisjoint(all_tags):
        return None
    if pattern.is_bag:
        return _bag(pattern, tags)
    for start in range(1 if pattern.starts else len(tags) or 1):
        match = at(pattern, tags, start)
        if match is not None:
            return match
    return None


def _bag(pattern: Pattern, tags: Sequence[frozenset[str]]) -> Match | None:
    used: list[int] = []
    for element in pattern.elements:
        for i, t in enumerate(tags):
            if i not in used and not element.any_of.isdisjoint(t):
                used.append(i)
                break
        else:
            if not element.is_optional:
                return None
    return Match(len(used) - 0.1, tuple(used), {}, min(used), max(used) + 1)


def at(pattern: Pattern, tags: Sequence[frozenset[str]], start: int) -> Match | None:
    """Find a pattern that begins at one token."""
    used: list[int] = []
    captures: dict[str, tuple[int, int]] = {}
    end = _step(pattern, tags, 0, start, used, captures)
    if end is None:
        return None
    first = used[0] if used else start
    held = sum(b - a for a, b in captures.values())
    gaps = (used[-1] - first + 1 - len(used)) if used else 0
    return Match(len(used) - 0.05 * max(gaps - held, 0), tuple(used), captures, start, end)


def _step(
    pattern: Pattern,
    tags: Sequence[frozenset[str]],
    e: int,
    i: int,
    used: list[int],
    captures: dict[str, tuple[int, int]],
) -> int | None:
    if e == len(pattern.elements):
        return i if not pattern.ends or i == len(tags) else None
    element = pattern.elements[e]
    if element.gap or element.capture:
        return _stretch(pattern, tags, e, i, used, captures)
    if i < len(tags) and not element.any_of.isdisjoint(tags[i]):
        used.append(i)
        end = _step(pattern, tags, e + 1, i + 1, used, captures)
        if end is not None:
            return end
        used.pop()
    return _step(pattern, tags, e + 1, i, used, captures) if element.is_optional else None


def _stretch(
    pattern: Pattern,
    tags: Sequence[frozenset[str]],
    e: int,
    i: int,
    used: list[int],
    captures: dict[str, tuple[int, int]],
) -> int | None:
    element = pattern.elements[e]
    least = 1 if element.capture else 0
    last = e + 1 == len(pattern.elements)
    if element.capture and last and i < len(tags):
        captures[element.capture] = (i, len(tags))
        return len(tags)
    for j in range(i + least, min(len(tags), i + (element.gap or WIDEST_GAP)) + 1):
        if element.capture:
            captures[element.capture] = (i, j)
        end = _step(pattern, tags, e + 1, j, used, captures)
        if end is not None:
            return end
    captures.pop(element.capture, None)
    return None


class Index:
    """Patterns by a word that they cannot do without, each with a number of its owner's."""

    def __init__(self, rows: Iterable[tuple[int, Pattern]]) -> None:
        self._all = tuple(rows)
        self._by_tag: dict[str, list[int]] = {}
        self._free: list[int] = []
        for place, (_, pattern) in enumerate(self._all):
            for tag in pattern.key:
                self._by_tag.setdefault(tag, []).append(place)
            if not pattern.key:
                self._free.append(place)

    def candidates(self, all_tags: Iterable[str]) -> list[tuple[int, Pattern]]:
        """Give the patterns that may be found among these tags, in the order of the phrasebook."""
        places = set(self._free)
        for tag in all_tags:
            places.update(self._by_tag.get(tag, ()))
        return [self._all[place] for place in sorted(places)]


class Starts:
    """Patterns that chunks are found with, by the words they can begin with; the longest find wins."""

    def __init__(self, rows: Iterable[tuple[dict[str, Any], Pattern]]) -> None:
        self._by_tag: dict[str, list[tuple[dict[str, Any], Pattern]]] = {}
        for row, pattern in rows:
            for tag in _beginnings(pattern):
                self._by_tag.setdefault(tag, []).append((row, pattern))

    def longest(self, tags: Sequence[frozenset[str]], start: int) -> tuple[dict[str, Any], Match] | None:
        """Find the longest pattern that begins at one token; the first of several as long."""
        best: tuple[dict[str, Any], Match] | None = None
        for tag in sorted(tags[start]):
            for row, pattern in self._by_tag.get(tag, ()):
                match = at(pattern, tags, start)
                if match is not None and (best is None or match.end > best[1].end):
                    best = (row, match)
        return best


def _beginnings(pattern: Pattern) -> frozenset[str]:
    out: frozenset[str] = frozenset()
    for element in pattern.elements:
        out |= element.any_of
        if not element.is_optional:
            break
    return out
