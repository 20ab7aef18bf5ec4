"""Trains the reader's guesses from the tables of messages in tests/, into bot/reader/weights/. Run by deploy/train.

Adagrad on the softmax loss, one example at a time, in pure Python: the sets are small. Only labels that an example
makes likely are moved, which keeps the weights few. The order of the examples is seeded, so the same tables give the
same weights. Held-back examples are never read.
"""

import json
import math
import random
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from bot.reader import clauses, guesses, languages
from bot.reader.reader import scene_of
from tests.bot.reader import tables
from tests.bot.reader.farms import juniper_hollow

ROUNDS = 12
RATE = 0.3
LEAST_MOVE = 0.05  # of probability: labels that are further off than that are moved
LEAST_SEEN = 2  # examples that a feature is in
LEAST_TOLD = 5  # examples of a label; of fewer nothing is learned but their words
OUT = Path(__file__).parent.parent / "bot" / "reader" / "weights"

Example = tuple[list[str], str]


def examples(language: str) -> Iterator[Example]:
    """Give the features and the label of each message that means one thing or nothing."""
    farm = juniper_hollow()
    for text, at, means in tables.worked(language):
        if len(means) > 1:
            continue
        scene = scene_of(text, at, farm, language)
        tokens = clauses.chunked(scene.text, scene.book, scene.table)
        if tokens:
            yield guesses.features(tokens, scene.book), _label(means)


def _label(means: list[dict[str, Any]]) -> str:
    if not means:
        return guesses.NONE
    slots = {name: value[0] for name, value in means[0].items() if name != "kind"}
    return guesses.label_of(means[0]["kind"], slots)


def train(told: list[Example]) -> guesses.Model:
    """Fit the weights."""
    times = Counter(label for _, label in told)
    told = [(found, label) for found, label in told if times[label] >= LEAST_TOLD]
    seen = Counter(name for found, _ in told for name in found)
    kept = [([name for name in found if seen[name] >= LEAST_SEEN], label) for found, label in told]
    labels = sorted({label for _, label in told})
    weights: dict[str, dict[str, float]] = defaultdict(dict)
    squares: dict[tuple[str, str], float] = defaultdict(lambda: 1e-6)
    order = random.Random(1)  # noqa: S311 - the same order each time is what is wanted
    for _ in range(ROUNDS):
        order.shuffle(kept)
        for found, label in kept:
            _move(weights, squares, found, label, guesses.probabilities(found, weights, labels))
    rounded = {n: {label: round(w, 1) for label, w in sorted(own.items())} for n, own in sorted(weights.items())}
    return guesses.Model(tuple(labels), {n: kept for n, own in rounded.items() if (kept := _without_zeros(own))})


def _without_zeros(own: dict[str, float]) -> dict[str, float]:
    return {label: weight for label, weight in own.items() if weight}


def _move(
    weights: dict[str, dict[str, float]],
    squares: dict[tuple[str, str], float],
    found: list[str],
    label: str,
    likely: dict[str, float],
) -> None:
    scale = 1.0 / math.sqrt(len(found) + 1)
    errors = {known: p - (known == label) for known, p in likely.items()}
    for known, error in errors.items():
        if abs(error) < LEAST_MOVE:
            continue
        gradient = error * scale
        for name in ("", *found):
            squares[name, known] += gradient * gradient
            step = RATE * gradient / math.sqrt(squares[name, known])
            weights[name][known] = weights[name].get(known, 0.0) - step


def main() -> None:
    """Train each language that has tables."""
    for language in sys.argv[1:] or languages.codes():
        told = list(examples(language))
        fitted = train(told)
        OUT.mkdir(exist_ok=True)
        text = json.dumps(
            {"labels": fitted.labels, "weights": fitted.weights}, ensure_ascii=False, separators=(",", ":")
        )
        (OUT / f"{language}.json").write_text(text.replace("},", "},\n") + "\n", "utf-8")
        print(f"{language}: {len(told)} messages, {len(fitted.labels)} labels, {len(fitted.weights)} features")


if __name__ == "__main__":
    main()
