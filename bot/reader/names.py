"""Names of the farm in a message: bins and tubs with their lists and ranges, places, people, and words for several.

Not for which of them is meant where words leave it open: settle knows the farm's state.
"""

from collections.abc import Sequence

import msgspec

from bot.reader import nametable
from bot.reader.book import Book
from bot.reader.figures import span
from bot.reader.tokens import CHUNK, MARK, NUMBER, WORD, Token

HIGHEST = 9999  # number in a name
HIGHEST_BARE = 300  # of a list's later numbers; a larger one counts crickets
_OF_FIGURES = frozenset(("@humidity", "@temp"))  # a number behind "the humid room" is no humidity for its name


class Group(msgspec.Struct, frozen=True):
    """Who or what a chunk of a message speaks of."""

    sort: str  # bin, tub, place, any
    how: str = "named"  # named, all, rest, both, one, the, it, them, there, other
    names: tuple[str, ...] = ()
    count: int | None = None  # "the other three"


def places_and_people(tokens: list[Token], names: nametable.Table, book: Book) -> list[Token]:
    """Put one chunk in the place of each name of a place, a person, or a bin or tub with a name of its own."""
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        for parts, sort, name in names.entries.get(nametable.said(tokens[i]), ()):
            if len(parts) == 1 and sort == "place" and out and _is_other_place(out[-1], tokens[i], book):
                continue
            if len(parts) <= len(tokens) - i and all(nametable.said(tokens[i + k]) == p for k, p in enumerate(parts)):
                out.append(_named(tokens, i, i + len(parts), sort, (name,)))
                i += len(parts)
                break
        else:
            out.append(tokens[i])
            i += 1
    return out


def _is_other_place(before: Token, noun: Token, book: Book) -> bool:
    """Say whether "top" before "shelf", or "new", means another place than the farm's only shelf."""
    apart = before.text in book.place_adjectives or before.text in book.word_sets["unknown_before"]
    return apart and before.kind == WORD and noun.text in book.place_nouns


def _named(tokens: Sequence[Token], start: int, end: int, sort: str, found: tuple[str, ...]) -> Token:
    if sort == "person":
        return span(tokens, start, end, "person", found[0])
    more = ("<subject>", "<several>") if len(found) > 1 else ("<subject>",)
    return span(tokens, start, end, sort, Group(sort, "named", found), *more)


def new_places(tokens: list[Token], book: Book) -> list[Token]:
    """Put one chunk in the place of words that sound like a place which the farm does not know: "the top shelf"."""
    nouns, before = book.place_nouns, book.place_adjectives
    out: list[Token] = []
    for i, token in enumerate(tokens):
        out.append(token)
        follows = i + 1 < len(tokens) and tokens[i + 1].kind == WORD and tokens[i + 1].text in nouns
        if token.kind != WORD or token.text not in nouns or follows:
            continue
        start = len(out) - 1
        while start and out[start - 1].kind == WORD and out[start - 1].text in before | nouns:
            start -= 1
        name = " ".join(t.text for t in out[start:])
        tags = out[start].tags - _OF_FIGURES
        chunk = span(out, start, len(out), "newplace", Group("place", "named", (name,)), *tags)
        out[start:] = [chunk]
    return out


def bins_and_tubs(tokens: list[Token], book: Book) -> list[Token]:
    """Put one chunk in the place of each bin or tub with a number, and of each list or range of them."""
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        found = _one(tokens, i, book)
        if found is None:
            out.append(tokens[i])
            i += 1
            continue
        sort, numbers, end = found
        numbers, end = _list(tokens, numbers, end, sort, book, is_plural=tokens[i].text in book.plurals)
        letter = "B" if sort == "bin" else "T"
        chunk = _named(tokens, i, end, sort, tuple(dict.fromkeys(f"{letter}{n}" for n in numbers)))
        chunk.tags |= {f"<{sort}name>"}
        chunk.tags |= {"<traynamed>"} if "@tray" in tokens[i].tags else set()
        out.append(chunk)
        i = _past_possessive(tokens, end, book)
    return out


def _past_possessive(tokens: Sequence[Token], end: int, book: Book) -> int:
    """Step over the s of "bin 6's" and "b6s"."""
    at = end + 1 if end < len(tokens) and tokens[end].text == "'" else end
    is_s = at < len(tokens) and tokens[at].is_glued and tokens[at].text in book.word_sets["possessive"]
    return at + 1 if is_s else end


def _sort(token: Token) -> str | None:
    if "@bin" in token.tags:
        return "bin"
    return "tub" if not token.tags.isdisjoint(("@tub", "@tray")) else None


def _one(tokens: Sequence[Token], i: int, book: Book) -> tuple[str, list[int], int] | None:
    """Read "bin 2", "tote #2", "b2", "tub number 4", "number two bin"."""
    first = tokens[i]
    letters = {"bin": book.word_sets["bin_letters"], "tub": book.word_sets["tub_letters"]}
    lettered = next((sort for sort, several in letters.items() if first.kind == WORD and first.text in several), None)
    if lettered and _is_name_number(tokens, i + 1):
        return lettered, [tokens[i + 1].value], i + 2
    if "@numbersign" in first.tags and _is_name_number(tokens, i + 1) and i + 2 < len(tokens):
        sort = _sort(tokens[i + 2])
        return (sort, [tokens[i + 1].value], i + 3) if sort else None
    sort = _sort(first) if first.kind == WORD else None
    if sort is None:
        return None
    at = i + 1
    if at + 1 < len(tokens) and tokens[at].text == "," and "@numbersign" in tokens[at + 1].tags:
        at += 1
    while at < len(tokens) and at < i + 3 and "@numbersign" in tokens[at].tags:
        at += 1
    if _is_name_number(tokens, at):
        return None if _is_count(tokens, i, at, book) else (sort, [tokens[at].value], at + 1)
    if (
        at < len(tokens)
        and tokens[at].kind == WORD
        and tokens[at].text in letters[sort]
        and _is_name_number(tokens, at + 1)
    ):
        return sort, [tokens[at + 1].value], at + 2  # "tub T5"
    alike = _alike(tokens, at, book)
    return (sort, [alike], at + 1) if alike and first.text not in book.plurals else None


def _alike(tokens: Sequence[Token], at: int, book: Book) -> int | None:
    """Give the number that a word sounds like, where more follows: "bin too has mold", "bin to is chirping"."""
    if at + 1 >= len(tokens) or tokens[at].kind != WORD or tokens[at + 1].kind == MARK:
        return None
    alike: int | None = book.data["homophones"].get(tokens[at].text)
    if alike is None and not tokens[at + 1].tags.isdisjoint(("@exists", "@singular")):
        alike = book.data.get("homophones_of_subjects", {}).get(tokens[at].text)
    return alike


def _is_count(tokens: Sequence[Token], i: int, at: int, book: Book) -> bool:
    """Say whether the number counts what follows: "fed all bins two dead in bin 3"."""
    after = tokens[at + 1].text if at + 1 < len(tokens) else ""
    if "@tray" in tokens[i].tags and book.units.get(after, {}).get("sort") == "duration":
        return True
    if at + 2 < len(tokens) and after in book.units and tokens[at + 2].text in book.word_sets["ago"]:
        return True
    is_all = tokens[i].text in book.plurals and i > 0 and tokens[i - 1].text in book.word_sets["all"]
    return is_all and at + 1 < len(tokens) and "@counted" in tokens[at + 1].tags


def _is_name_number(tokens: Sequence[Token], i: int) -> bool:
    if i >= len(tokens) or tokens[i].kind != NUMBER or not isinstance(tokens[i].value, int):
        return False
    return bool(0 < tokens[i].value <= HIGHEST)


def _list(
    tokens: Sequence[Token], numbers: list[int], end: int, sort: str, book: Book, *, is_plural: bool
) -> tuple[list[int], int]:
    while end < len(tokens):
        at, is_and, is_range = _joint(tokens, end, book)
        at = end if at is None and is_plural and tokens[end].kind == NUMBER else at
        if at is None or at >= len(tokens):
            break
        following = _one(tokens, at, book)
        if (
            following is not None
            and following[0] == sort
            and (not is_range or tokens[end].text not in book.word_sets["to"] or is_plural or sort == "tub")
        ):
            if not is_range and _begins_clause(tokens, following[2], is_and=is_and):
                break
            if not is_and and _is_refused(tokens, end, book):
                break
            more, after = following[1], following[2]
        elif (
            _is_name_number(tokens, at)
            and not _counts_in(tokens, at, sort, book)
            and (is_plural or _is_bare(tokens, at, book, is_range=is_range))
        ):
            more, after = [tokens[at].value], at + 1
        else:
            break
        if is_range and 0 < more[0] - numbers[-1] <= 200:
            numbers.extend(range(numbers[-1] + 1, more[0]))
        numbers.extend(more)
        end = after
    return numbers, end


def _counts_in(tokens: Sequence[Token], at: int, sort: str, book: Book) -> bool:
    """Say whether a number counts what is in the next one: "4 in bin 5 and 2 in bin 1"."""
    if at + 2 >= len(tokens) or book.data["preps"].get(tokens[at + 1].text) != "in":
        return False
    return any(_sort(t) == sort for t in tokens[at + 2 : at + 4])


def _joint(tokens: Sequence[Token], end: int, book: Book) -> tuple[int | None, bool, bool]:
    """Read what joins two names: where the next may begin, whether it is an "and", whether a range."""
    tags = tokens[end].tags
    if "@through" in tags or tokens[end].text in book.word_sets["to"]:
        return end + 1, False, True
    at, is_and = end, False
    while at < len(tokens) and at < end + 2 and not tokens[at].tags.isdisjoint(("@listed", "@and")):
        is_and = is_and or "@and" in tokens[at].tags
        at += 1
    return (at, is_and, False) if at > end else (None, False, False)


def _begins_clause(tokens: Sequence[Token], after: int, *, is_and: bool) -> bool:
    """Say whether a name behind a comma has something of its own said of it: "watered T5, T6 is dry"."""
    if after >= len(tokens):
        return False
    tags = tokens[after].tags
    return not tags.isdisjoint(("@singular",)) or (not is_and and "@predicate" in tags)


def _is_refused(tokens: Sequence[Token], end: int, book: Book) -> bool:
    """Say whether a message begins by taking one name back for another: "not T5, T6", "no, not B2, B3"."""
    before = [t for t in tokens[:end] if t.kind != MARK]
    opens = [t.text in book.fix_plain for t in before]
    nots = [i for i, t in enumerate(before) if t.text in book.word_sets["not"]]
    return bool(nots) and len(before) - nots[-1] <= 3 and all(opens[: nots[-1]])


def _is_bare(tokens: Sequence[Token], at: int, book: Book, *, is_range: bool) -> bool:
    """Say whether a number alone goes on with a list of names: "t5-7", "T5, 6 and 7"."""
    if tokens[at - 1].text in book.word_sets["to"] or tokens[at].value > HIGHEST_BARE:
        return False
    if is_range:
        return True
    after = tokens[at + 1] if at + 1 < len(tokens) else None
    if after is None or after.kind == MARK:
        return True
    following = tokens[at + 2] if at + 2 < len(tokens) else None
    is_there = following is not None and "<place>" in following.tags and after.text in book.word_sets["in"]
    is_unit = after.text in book.units and not is_there  # "T5, 6 and 7 in the closet"
    counted = after.kind in (NUMBER, CHUNK) or is_unit or "@counted" in after.tags
    counted = counted or after.text in book.word_sets["comes_from"]  # "3 out of B2, 1 from B3"
    return not counted


def groups(tokens: list[Token], book: Book) -> list[Token]:
    """Put one chunk in the place of words for several or unnamed ones: "all the tubs", "the rest", "it"."""
    out: list[Token] = []
    tags = [t.tags for t in tokens]
    i = 0
    while i < len(tokens):
        found = book.groups.longest(tags, i)
        if found is None:
            out.append(tokens[i])
            i += 1
            continue
        row, match = found
        taken = tokens[i : match.end]
        numbers = [t.value for t in taken if t.kind == NUMBER]
        but = [n for t in taken if isinstance(t.value, Group) for n in t.value.names]
        but += [str(n) for n in numbers] if row["how"] == "except" else []
        group = Group(row["sort"], row["how"], tuple(but), numbers[0] if numbers else None)
        chunk = span(tokens, i, match.end, row["sort"], group, *row["tags"])
        chunk.tags |= {chunk.text} if row["sort"] == "any" else set()
        out.append(chunk)
        i = match.end
    return out
