"""Small words that hang on a verb or stand for a noun: "sácala", "la saqué", "la 2 y la 3".

A phrasebook without a table `clitics` has none of them. Not for whom a pronoun means: settle does that.
"""

import itertools
from collections.abc import Sequence
from typing import Any

from bot.reader.book import Book
from bot.reader.tokens import MARK, NUMBER, WORD, Token

HIGHEST = 300  # number of a bin or tub said with nothing but an article
_VERBS = frozenset(("@said", "@hypothetical", "@aux"))
_NAMES = frozenset(("@bin", "@tub", "@tray"))
_FIGURES = frozenset(("@temp", "@humidity"))
_JOINTS = frozenset(("@and", "@listed"))


def parted(tokens: list[Token], book: Book) -> list[Token]:
    """Part pronouns from the verbs that they are written together with: "sácala" is "saca la"."""
    table: dict[str, str] = book.data.get("clitics", {}).get("behind", {})
    if not table:
        return tokens
    out: list[Token] = []
    for token in tokens:
        found = _behind(token.text, book) if token.kind == WORD and token.text not in book.words else None
        if found is None:
            out.append(token)
            continue
        cut = len(token.text) - len(found)
        verb, place = token.text[:cut], token.end - len(found)
        out.append(Token(verb, token.start, place, WORD, book.tags(verb), None, token.is_glued))
        out += [Token(word, place, token.end, WORD, book.tags(word)) for word in table[found].split()]
    return out


def _behind(word: str, book: Book) -> str | None:
    table: dict[str, str] = book.data.get("clitics", {}).get("behind", {})
    return next((e for e in table if word.endswith(e) and "@host" in book.tags(word[: -len(e)])), None)


def is_parted(word: str, book: Book) -> bool:
    """Say whether a word is a verb with its pronouns."""
    return _behind(word, book) is not None


def pronouns(tokens: list[Token], book: Book) -> None:
    """Tell the pronoun from the article: "la saqué" has one, "la caja" the other."""
    rules: dict[str, Any] = book.data.get("clitics", {})
    table: dict[str, str] = rules.get("before", {})
    for token, following in itertools.pairwise(tokens):
        if token.text in table and token.kind == WORD and not following.tags.isdisjoint(_VERBS):
            token.text = table[token.text]
            token.tags = book.tags(token.text)
    just: frozenset[str] = book.word_sets.get("just", frozenset())
    for i, token in enumerate(tokens):
        if i > 1 and "@hypothetical" in token.tags and tokens[i - 2].text in just and tokens[i - 1].kind == WORD:
            token.tags = token.tags - {"@hypothetical"}  # "acabo de regar" has happened


def nouns(tokens: list[Token], book: Book) -> list[Token]:
    """Put the noun in the place of an article with only a number: "la 2", "el 5"; drop it in a list."""
    table: dict[str, str] = book.data.get("clitics", {}).get("noun", {})
    if not table:
        return tokens
    out: list[Token] = []
    has_name = any(not t.tags.isdisjoint(_NAMES) for t in tokens)
    skips = 0  # small words still to leave out
    for i, token in enumerate(tokens):
        skips = skips or _in_a_list(tokens, i, out, book) or _use(tokens, i, out, book)
        if skips:
            skips -= 1
            continue
        if token.text not in table or not _is_name(tokens, i + 1):
            out.append(token)
        elif _stands_alone(tokens, i, out, book, has_name=has_name):
            noun = _noun(token, out, book)
            out.append(Token(noun, token.start, token.end, WORD, book.tags(noun)))
        else:
            out.append(token)
    return out


def _noun(article: Token, out: Sequence[Token], book: Book) -> str:
    """Give the noun that an article stands for: behind "all tubs but" the same as before."""
    rules: dict[str, Any] = book.data["clitics"]
    before = [t.text for t in out if not t.tags.isdisjoint(_NAMES)]
    is_same = bool(before) and out[-1].text in rules["always_behind"].split()
    return before[-1] if is_same else str(rules["noun"][article.text])


def _in_a_list(tokens: Sequence[Token], i: int, out: Sequence[Token], book: Book) -> int:
    """Count the small words before a later number of a list: "la 2 y a la 3"."""
    if len(out) < 2 or out[-1].tags.isdisjoint(_JOINTS) or out[-2].kind != NUMBER:
        return 0
    if out[-1].kind == MARK and tokens[0].text in book.word_sets["answers_no"]:  # "no el 10, el 12"
        return 0
    several = book.data["clitics"]["list_words"].split("|")
    for length in (2, 1):
        said = " ".join(t.text for t in tokens[i : i + length])
        at = i + length
        if said in several and at < len(tokens) and not tokens[at].tags.isdisjoint(_NAMES) and _is_name(tokens, at + 1):
            return length
        if said in several and _is_name(tokens, at) and not (length == 2 and tokens[at].value == 1):
            return length
    return 0


def _use(tokens: Sequence[Token], i: int, out: Sequence[Token], book: Book) -> int:
    """Count the words that tell what a bin or tub is for, before its number: "bote de huevos 5"."""
    if not out or out[-1].tags.isdisjoint(_NAMES) or tokens[i].text not in book.word_sets["of"]:
        return 0
    uses = book.data["clitics"]["uses"].split()
    end = i + 1
    while end < len(tokens) and tokens[end].text in uses:
        end += 1
    numbered = end < len(tokens) and "@numbersign" in tokens[end].tags
    return end - i if end > i + 1 and _is_name(tokens, end + numbered) else 0


def _is_name(tokens: Sequence[Token], i: int) -> bool:
    if i >= len(tokens) or tokens[i].kind != NUMBER or not isinstance(tokens[i].value, int):
        return False
    return bool(0 < tokens[i].value <= HIGHEST)


def _stands_alone(tokens: Sequence[Token], i: int, out: Sequence[Token], book: Book, *, has_name: bool) -> bool:
    """Say whether the number names a bin or tub; it may be an hour, a day, or count what follows."""
    rules: dict[str, Any] = book.data["clitics"]
    before = out[-1].text if out else ""
    if before in rules["always_behind"].split():
        return True
    after = tokens[i + 2] if i + 2 < len(tokens) else None
    if tokens[i].text in rules["hours"].split():  # "a las 2", "la 1"
        listed = after is not None and not after.tags.isdisjoint(_JOINTS | {"@through"}) and _is_name(tokens, i + 3)
        if not listed or before in rules["before_hours"].split():
            return False
    goes_on = bool(out) and (
        "@and" in out[-1].tags or before in book.word_sets["contrasts"]
    )  # "y el 6" is no day of the month
    if tokens[i].text in rules["to"].split() and (
        (out and out[-1].kind == NUMBER) or any(not t.tags.isdisjoint(_FIGURES) for t in tokens)
    ):
        return False  # "del 5 al 7", "subió al 80"
    goes_on = goes_on or before in rules["never_days"].split()
    is_of_name = any("@of_names" in t.tags for t in tokens) and not has_name  # "falta para el 12"
    dated = (has_name and not goes_on) or any("@dated" in t.tags for t in tokens)
    if tokens[i].text in rules["days"].split() and not is_of_name and (dated or before in rules["before_days"].split()):
        return False
    if after is None or after.kind == MARK:
        return True
    counted = after.kind == NUMBER or after.text in book.units or not after.tags.isdisjoint(("@counted", "@month"))
    return not counted and after.text not in book.word_sets["of"]
