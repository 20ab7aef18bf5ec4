"""A phrasebook: one language's words and patterns, read from its data file.

Not for using them: tokens, figures, times, names, clauses and frames do, each its own part.
"""

import functools
import tomllib
from importlib import resources
from typing import Any

import msgspec

from bot.ports.messages import DEFAULT_LANGUAGE
from bot.reader import inflection
from bot.reader.patterns import Index, Pattern, Starts, compiled

_OF_SETS = ("kinds", "grammar", "split", "vague", "remind", "who", "numbers_lead", "reason", "answers", "repair")
_OF_PARTS = frozenset(("@about", "@verb"))  # classes that a compound has from its parts: a lay tray is a tray


_OF_WORDS = ("split", "vague", "remind", "who", "numbers_lead", "reason", "answers")  # parts that hold plain words


class Row(msgspec.Struct, frozen=True):
    """One group of a phrasebook's patterns, all of which say the same kind of thing."""

    kind: str
    patterns: tuple[Pattern, ...]
    fixed: dict[str, Any]  # slots that the words themselves settle
    only: str  # statement, question, any
    strict: bool  # every word of the clause has to be accounted for
    after: str  # only after an intent of this kind in the same message
    also: dict[str, Any] | None  # a second intent that the same words mean
    weight: float
    swallows: bool  # takes the rest of the sentence as its own words
    despite: bool  # said of the future or with a "not", it still holds
    forbids: frozenset[str]  # words with which it is not meant
    alone: bool  # only as a whole message
    needs: tuple[str, ...]  # chunks without which it is not meant


Compounds = dict[str, list[tuple[tuple[str, ...], str]]]  # by the first word: all words, and as one


class Writing(msgspec.Struct, frozen=True):
    """How a language is written."""

    has_decimal_comma: bool
    has_head_first: bool  # the noun of a name stands first: "estante de la lámpara" is a shelf
    drops_pronouns: bool  # "cuánto falta" may be of what was spoken of
    clock: str  # a regular expression for its own ways to write a time of day, that ends in `|`
    early: Compounds  # words that are put together before numbers are read
    folds: dict[int, int]  # letters with accents to plain ones, where many leave the accents out


class Book:
    """Words and patterns of one language."""

    def __init__(self, data: dict[str, Any], language: str = DEFAULT_LANGUAGE) -> None:
        self.data, self.language = data, language
        self.shorthand: dict[str, str] = data["shorthand"]
        self.contractions: dict[str, str] = data["contractions"]
        self.endings: dict[str, str] = data["endings"]
        self.takes_is = frozenset(data["takes_is"].split())
        self.compounds: Compounds = {}
        self._tags: dict[str, frozenset[str]] = {}
        self.writing = _writing(data.get("writing", {}))
        rare: dict[str, str] = data.get("rare", {})
        classes = {name: f"{words} {rare.get(name, '')}" for name, words in data["classes"].items()}
        usual = set(_all(data["classes"]).replace("_", " ").split())
        self._rare = frozenset(_all(rare).replace("_", " ").split()) - usual
        self._classes(classes | {"verb": _all(data["verbs"]), "about": _all(data["howto"])})
        self.plurals = frozenset(data["plurals"].split())
        self.little = frozenset(data["plain"].split()) | frozenset(data["numbers_lead"]["price"].split())
        self.plain = self.little | frozenset(data["trade_plain"].split())
        self.explained = {kind: frozenset(words.split()) for kind, words in data["explained"].items()}
        self.word_sets = {
            name: frozenset(words.split(" ") if name in ("marks", "ends") else words.split())
            for part in _OF_SETS
            for name, words in data[part].items()
        }
        self.phrases = {table: _phrases(data[table]) for table in ("density", "level", "stage", "cover")}
        self.skipped = frozenset(data["skipped"].split())
        self.given_names = frozenset(data["given_names"].split())
        self._patterns(data)
        self._sets(data)

    def _sets(self, data: dict[str, Any]) -> None:
        self.atoms = Starts((row, compiled(p)) for row in data["time"]["atom"] for p in row["patterns"])
        self.groups = Starts((row, compiled(p)) for row in data["group"] for p in row["patterns"])
        self.units = {w.replace("_", " "): u for u in data["unit"] for w in u["words"].split()}
        self.fix_strong, self.fix_weak = (tuple(compiled(p) for p in data["fix"][part]) for part in ("strong", "weak"))
        self.echo = tuple(compiled(p) for p in data.get("echo", {}).get("patterns", ()))
        self.fix_plain = frozenset(data["fix"]["plain"].split())
        self.measures = frozenset(data["feeding"]["measures"].split())
        self.no_feed = frozenset(data["feeding"]["never"].split())
        self.place_nouns = frozenset(data["new_places"]["nouns"].split())
        self.place_adjectives = frozenset(data["new_places"]["before"].split())
        self.words = self._vocabulary()
        self.trade = tuple(sorted(w for w in self._trade_words() - self._rare if len(w) > 3 and " " not in w))

    def _patterns(self, data: dict[str, Any]) -> None:
        self.rows = tuple(_row(r) for r in data["reading"])
        self._indexes: dict[tuple[bool, bool | None], Index] = {}
        self.meanings = tuple(tuple(_row(r | {"patterns": ()}) for r in e["means"]) for e in data.get("either", ()))
        self.either = Index((n, compiled(p)) for n, e in enumerate(data.get("either", ())) for p in e["patterns"])

    def _classes(self, classes: dict[str, str]) -> None:
        tags: dict[str, set[str]] = {}
        for name, words in classes.items():
            for word in words.split():
                parts = tuple(word.split("_"))
                if len(parts) > 1:
                    self.compounds.setdefault(parts[0], []).append((parts, " ".join(parts)))
                tags.setdefault(" ".join(parts), set()).add("@" + name)
        for several in self.compounds.values():
            several.sort(key=lambda c: -len(c[0]))
        for word, found in tags.items():
            of_parts = [tags.get(part, set()) for part in word.split()] if " " in word else []
            found |= {tag for several in of_parts for tag in several if tag in _OF_PARTS}
        self._tags = {word: frozenset({word, *found}) for word, found in tags.items()}

    def index(self, *, is_question: bool, swallows: bool | None = None) -> Index:
        """Give the patterns of questions or of statements; only those that swallow the rest, or that do not."""
        key = (is_question, swallows)
        if key not in self._indexes:
            meant = ("any", "question" if is_question else "statement")
            rows = ((n, r) for n, r in enumerate(self.rows) if r.only in meant and swallows in (None, r.swallows))
            self._indexes[key] = Index((n, p) for n, row in rows for p in row.patterns)
        return self._indexes[key]

    def folded(self, word: str) -> str:
        """Give a word without its accents, in a language whose writers leave them out."""
        return word.translate(self.writing.folds) if self.writing.folds else word

    def tags(self, word: str) -> frozenset[str]:
        """Give what patterns may call a word: itself and its classes."""
        return self._tags.get(word) or frozenset((word,))

    def _vocabulary(self) -> frozenset[str]:
        common = self.data["common"].split()
        known = {*common, *(w + s for w in common if len(w) > 3 for s in self.data["inflections"].split())}
        known |= self.skipped | self._trade_words()
        known |= {part for text in (*self.shorthand.values(), *self.contractions.values()) for part in text.split()}
        known |= set(self.data["numbers"]) | set(self.data["scales"]) | set(self.data["ordinals"])
        known |= self.fix_plain | {w for p in self.fix_strong for e in p.elements for w in e.any_of if w.isalpha()}
        known |= self.plain.union(*(self.word_sets[name] for part in _OF_WORDS for name in self.data[part]))
        known |= self.word_sets["point"]
        known |= self.place_nouns | self.place_adjectives | self._words_of_chunks()
        known |= {word for unit in self.data["unit"] for word in unit["words"].split()}
        return frozenset(known)

    def _words_of_chunks(self) -> set[str]:
        rows = (*self.data["time"]["atom"], *self.data["group"])
        return {w for row in rows for p in row["patterns"] for part in p.split() for w in part.strip("?").split("|")}

    def _trade_words(self) -> set[str]:
        out = {part for word in self._tags for part in word.split()}
        for row in self.rows:
            for pattern in row.patterns:
                out |= {w for e in pattern.elements for w in e.any_of if w.isalpha()}
        return out


def _row(data: dict[str, Any]) -> Row:
    return Row(
        kind=data["kind"],
        patterns=tuple(compiled(p) for p in data["patterns"]),
        fixed=data.get("fixed", {}),
        only=data.get("only", "statement"),
        strict=data.get("strict", False),
        after=data.get("after", ""),
        also=data.get("also"),
        weight=data.get("weight", 0.0),
        swallows=data.get("swallows", False),
        despite=data.get("despite", False),
        forbids=frozenset(data.get("forbids", "").split()),
        alone=data.get("alone", False),
        needs=tuple(data.get("needs", ())),
    )


def _phrases(table: dict[str, str]) -> tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]:
    return tuple((value, tuple(tuple(p.split()) for p in several.split("|"))) for value, several in table.items())


def _writing(data: dict[str, Any]) -> Writing:
    accented, plain = data.get("folds", ("", ""))
    return Writing(
        has_decimal_comma=data.get("decimal_comma", False),
        has_head_first=data.get("head_first", False),
        drops_pronouns=data.get("drops_pronouns", False),
        clock=data.get("clock", ""),
        early=_compounds(data.get("early", "")),
        folds=str.maketrans(accented, plain),
    )


def _compounds(words: str) -> Compounds:
    out: Compounds = {}
    for word in words.split():
        parts = tuple(word.split("_"))
        out.setdefault(parts[0], []).append((parts, " ".join(parts)))
    return out


def _all(table: dict[str, str]) -> str:
    return " ".join(table.values())


@functools.cache
def book(language: str) -> Book:
    """Load a language's phrasebook; English where there is none."""
    folder = resources.files("bot.reader") / "phrasebook"
    file = folder / f"{language}.toml"
    if not language.isalpha() or not file.is_file():
        return book(DEFAULT_LANGUAGE)
    return Book(inflection.written_out(tomllib.loads(file.read_text("utf-8"))), language)
