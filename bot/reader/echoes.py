"""The last thing said again of another subject: "and T11 too", "same for bin 3".

Not for a correction: fixes.
"""

from typing import Any

from bot.ports.intents import Intent
from bot.reader import patterns, settle, subjects
from bot.reader.clauses import Clause, Sentence
from bot.reader.frames import FACTS
from bot.reader.scene import Scene, view_of
from core.journal import codec

# Which slot of what was said names its subject, and the sort of thing that it names.
_SUBJECTS = {"tubs": "tub", "tub": "tub", "bins": "bin", "bin": "bin", "place": "place"}

_FIGURES = frozenset(("count", "mass_g"))  # of one bin only; the person is asked for the other's


def read(sentences: list[Sentence], scene: Scene) -> Intent | None:
    """Read a whole message as an echo of the last one; None where it is none."""
    last = scene.farm.last_said[-1] if scene.farm.last_said else None
    if last is None or len(sentences) != 1 or sentences[0].is_question or codec.kind_of(last.body) not in FACTS:
        return None
    clause = Clause(tuple(t for t in sentences[0].tokens if t.kind != "mark"))
    if not any(patterns.found(p, clause.tags, clause.all_tags) for p in scene.book.echo):
        return None
    said = codec.slots_of(last.body)
    slot = next((s for s in _SUBJECTS if said.get(s)), None)
    named = _named(clause, scene, slot) if slot else None
    if slot is None or named is None:
        return None
    left = _SUBJECTS.keys() | _FIGURES
    kept: dict[str, Any] = {name: value for name, value in said.items() if value is not None and name not in left}
    at = last.happened_at.astimezone(scene.at.tzinfo) if last.happened_at != last.said_at else None
    return Intent(kind=codec.kind_of(last.body), slots={slot: named, **kept}, at=at)


def _named(clause: Clause, scene: Scene, slot: str) -> str | list[str] | None:
    """Name the subject that the echo puts in the place of the last one's."""
    view = view_of(clause, scene)
    sort = _SUBJECTS[slot]
    if sort == "place":
        return settle.place_of(view)
    names = settle.names_of(view, sort) or subjects.numbered(view, sort)
    if not names or names == settle.ALL:
        return None
    return list(names) if slot.endswith("s") else (names[0] if len(names) == 1 else None)
