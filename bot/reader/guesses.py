"""What a message most likely means where no pattern of the phrasebook takes it: a linear model over its words.

The model is multinomial logistic regression on the words, their classes, chunks and neighbors; its weights are trained
from the tables of messages in tests/ by `deploy/train` and stand in weights/<language>.json.
Not for slots: frames fills those from the clause as from any other.
"""

import functools
import itertools
import math
from collections.abc import Mapping, Sequence
from importlib import resources
from typing import Any

import msgspec

from bot.ports.intents import ASK, Intent
from bot.reader import frames
from bot.reader.book import Book, Row
from bot.reader.clauses import Clause
from bot.reader.scene import Scene, view_of
from bot.reader.tokens import CHUNK, MARK, NUMBER, WORD, Token

NONE = "none"  # the label of a message that means nothing
SURE = 0.6  # from this probability on it is taken; of a question, which records nothing, from ASKS on
ASKS = 0.45
MAYBE = 0.2  # what is likelier than that is offered to the person
_FIXED = ("topic", "what", "on", "removed")  # what a label has besides its kind
_START, _END = "^", "$"
Weights = Mapping[str, Mapping[str, float]]  # feature to label to weight


class Model(msgspec.Struct, frozen=True):
    """Trained weights."""

    labels: tuple[str, ...]
    weights: dict[str, dict[str, float]]


@functools.cache
def model(language: str) -> Model:
    """Load a language's weights; an empty model where there are none."""
    file = resources.files("bot.reader") / "weights" / f"{language}.json"
    return msgspec.json.decode(file.read_bytes(), type=Model) if file.is_file() else Model((), {})


def features(tokens: Sequence[Token], book: Book) -> list[str]:
    """Give what the model looks at: words, classes, chunks, neighbors, and pieces of unknown words; sorted."""
    found: set[str] = set()
    line = [_START]
    for token in tokens:
        names = _names(token)
        found.update(f"t {name}" for name in names)
        if token.kind == WORD:
            found.add(f"w {token.text}")
            if token.text not in book.words:
                found.update(f"c {token.text[k : k + 3]}" for k in range(len(token.text) - 2))
        if token.kind != MARK:
            line.append(names[0] if names else token.text)
        elif token.text == "?":
            found.add("?")
    line.append(_END)
    found.update(f"b {a} {b}" for a, b in itertools.pairwise(line))
    found.update(f"s {a} {b}" for a, b in zip(line, line[2:], strict=False))
    return sorted(found)


def _names(token: Token) -> list[str]:
    """Give the classes of a word and the sorts of a chunk."""
    if token.kind == NUMBER:
        return ["<number>"]
    classes = sorted(t for t in token.tags if t[0] == "@" and len(t) > 1 and t != "@verb")
    return classes + (sorted(t for t in token.tags if t[0] == "<")[:3] if token.kind == CHUNK else [])


def probabilities(found: Sequence[str], weights: Weights, labels: Sequence[str]) -> dict[str, float]:
    """Give the probability of each label: softmax of the sum of the weights, scaled by the number of features."""
    scores = dict.fromkeys(labels, 0.0)
    scale = 1.0 / math.sqrt(len(found) + 1)
    for name in ("", *found):
        for label, weight in weights.get(name, {}).items():
            scores[label] += weight * scale
    top = max(scores.values(), default=0.0)
    powers = {label: math.exp(score - top) for label, score in scores.items()}
    total = sum(powers.values())
    return {label: power / total for label, power in powers.items()}


def label_of(kind: str, slots: Mapping[str, Any]) -> str:
    """Name what the model tells apart: the kind, and what of it the words themselves settle."""
    fixed = next((str(slots[name]) for name in _FIXED if name in slots and kind in _SPLIT), "")
    return f"{kind}/{fixed}" if fixed else kind


_SPLIT = frozenset((ASK, "problem", "add", "set", "covered", "mold"))


@functools.cache
def _rows(book: Book) -> dict[str, Row]:
    """Give a row of the phrasebook for each label, for what it settles."""
    plain = [
        row for row in book.rows if row.also is None and not row.after and row.kind not in book.word_sets["unguessed"]
    ]
    return {label_of(row.kind, row.fixed): row for row in reversed(plain)}


def guess(tokens: Sequence[Token], scene: Scene, *, is_question: bool) -> tuple[Intent | None, tuple[Intent, ...]]:
    """Give what the words surely mean; where nothing is sure, what they may mean, the likelier first."""
    known = model(scene.book.language)
    rows, found = _rows(scene.book), features(tokens, scene.book)
    if not known.labels or not found:
        return None, ()
    clause = Clause(tuple(t for t in tokens if t.kind != MARK), is_question)
    ranked = sorted(probabilities(found, known.weights, known.labels).items(), key=lambda p: (-p[1], p[0]))
    best, chance = ranked[0]
    if best in rows and chance >= (ASKS if best.startswith(f"{ASK}/") else SURE):
        return _intent(rows[best], clause, scene), ()
    likely = [rows[label] for label, p in ranked[:3] if p >= MAYBE and label in rows]
    several = tuple(i for row in likely if row.kind in frames.FACTS and (i := _intent(row, clause, scene)))
    return None, several if len(several) > 1 and best != NONE else ()


def _intent(row: Row, clause: Clause, scene: Scene) -> Intent | None:
    """Make the intent of a guess; None where it lacks what it is about."""
    intent = frames.intent(view_of(clause, scene, row))
    return None if intent.needs else intent
