"""Mends misspelt words against the trade's words and the farm's names, and digits that stand for words.

A word that the language knows is never touched, so that "later" does not become "water".
Not for names with numbers ("t5"): names reads those.
"""

import functools
from collections.abc import Sequence

from bot.reader.book import Book
from bot.reader.tokens import NUMBER, WORD, Token

SHORTEST = 4  # letters of a word that is mended
LONG = 8  # letters from which two slips are mended
MOST_MENDED = 40  # unknown words of a message that are looked at; a flood of nonsense has hundreds
_VOWELS = frozenset("aeiou")


def mend(tokens: Sequence[Token], book: Book, names: tuple[str, ...]) -> None:
    """Put the likely word in the place of each unknown one."""
    left = MOST_MENDED
    for token in tokens:
        is_known = token.text in book.words or token.text in book.given_names or token.text in names
        if token.kind != WORD or is_known or not left:
            continue
        left -= 1
        better = _mended(token.text, book, names)
        if better is not None:
            token.text = better
            token.tags = book.tags(better) | {"<mended>"}


@functools.lru_cache(maxsize=4096)
def _mended(word: str, book: Book, names: tuple[str, ...]) -> str | None:
    if len(word) < 3 or not word.isascii():
        return None
    squeezed = _squeezed(word)
    if squeezed in book.words and len(squeezed) < len(word):
        return squeezed
    known = _by_letter(book, names)
    best = _by_skeleton(word, known.get(word[0], ()))
    if best is None and len(word) >= SHORTEST:
        best = _by_distance(word, (*known.get(word[0], ()), *(known.get(word[1], ()) if word[1] != word[0] else ())))
    return best


@functools.lru_cache(maxsize=64)
def _by_letter(book: Book, names: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    out: dict[str, list[str]] = {}
    for word in (*book.trade, *names):
        out.setdefault(word[0], []).append(word)
    return {letter: tuple(words) for letter, words in out.items()}


def _squeezed(word: str) -> str:
    """Take back drawn-out letters: "sooo" to "so"."""
    out = ""
    for i, letter in enumerate(word):
        if out[-1:] == letter and (
            out[-2:-1] == letter or word[i + 1 : i + 2] == letter or len(word) > i + 1 == len(word)
        ):
            continue
        out += letter
    return out if out != word else word


def _skeleton(word: str) -> str:
    out = word[0]
    for letter in word[1:]:
        if letter not in _VOWELS and letter != out[-1]:
            out += letter
    return out


def _by_skeleton(word: str, known: tuple[str, ...]) -> str | None:
    """Find the word of which vowels were left out: "wtrd" is "watered"."""
    if sum(letter in _VOWELS for letter in word[1:]) > len(word) // 4:
        return None
    mine = _skeleton(word)
    near = [
        k for k in known if k[-1] == word[-1] and len(k) > len(word) and _is_within(word, k) and _skeleton(k) == mine
    ]
    return min(near, key=lambda k: (len(k), k), default=None) if len(mine) > 2 else None


def _is_within(word: str, whole: str) -> bool:
    letters = iter(whole)
    return all(letter in letters for letter in word)


def _by_distance(word: str, known: tuple[str, ...]) -> str | None:
    from rapidfuzz.distance import OSA  # takes a tenth of the reader's start, and most messages have no slip

    slips = 2 if len(word) >= LONG else 1
    best: tuple[int, bool, int, str] | None = None
    for candidate in known:
        if abs(len(candidate) - len(word)) > slips or len(candidate) < SHORTEST:
            continue
        if candidate[0] != word[0] and (len(word) < 6 or sorted(candidate[:2]) != sorted(word[:2])):
            continue
        distance = OSA.distance(word, candidate, score_cutoff=slips)
        if distance <= slips:
            ranked = (distance, candidate[-1] != word[-1], abs(len(candidate) - len(word)), candidate)
            best = ranked if best is None or ranked < best else best
    return best[3] if best else None


def digits_as_words(tokens: list[Token], book: Book, place_words: frozenset[str]) -> None:
    """Read "2" and "4" as "to" and "for" where no figure can stand."""
    rules = book.data.get("digit_words", {})
    for i, token in enumerate(tokens):
        rule = rules.get(token.text) if token.kind == NUMBER and token.tags >= {"<number>"} else None
        if rule is None or (token.is_glued and i and tokens[i - 1].kind == WORD):
            continue
        before = tokens[i - 1].tags if i else frozenset(("^",))
        after = tokens[i + 1] if i + 1 < len(tokens) else None
        counts = after is not None and (after.text in book.units or "@counted" in after.tags)
        if counts or not before.isdisjoint(rules["never_after"].split()) or (after is not None and after.is_glued):
            continue
        is_word = _is_word(rule, before, after, place_words) or _is_wished(i, tokens, rules)
        if is_word or _is_renamed(i, tokens, rules):
            token.text, token.kind, token.value = rule["word"], WORD, None
            token.tags = book.tags(rule["word"])


def _is_wished(i: int, tokens: Sequence[Token], rules: dict[str, str]) -> bool:
    """Say whether the "2" stands behind "remind me": "remind me 2 rinse the dishes"."""
    wishes = rules.get("wishes", "").split()
    return i > 1 and tokens[i - 1].text in wishes and not tokens[i - 2].tags.isdisjoint(wishes)


def _is_renamed(i: int, tokens: Sequence[Token], rules: dict[str, str]) -> bool:
    """Say whether a name stands on both sides of the "2": "rename lamp shelf 2 hot shelf"."""
    renames = frozenset(rules["renames"].split())
    is_before = any(not t.tags.isdisjoint(renames) for t in tokens[:i])
    return is_before and 1 < i < len(tokens) - 1 and tokens[i - 1].kind == WORD and tokens[i + 1].kind == WORD


def _is_word(rule: dict[str, str], before: frozenset[str], after: Token | None, place_words: frozenset[str]) -> bool:
    if not before.isdisjoint(rule["after"].split()):
        return after is None or after.kind == WORD or not before.isdisjoint(rule["surely_after"].split())
    if after is None:
        return False
    if after.kind == NUMBER:
        return rule["word"] == "for" and not before.isdisjoint(rule["surely_after"].split())
    return after.text in place_words or not after.tags.isdisjoint(rule["before"].split())
