"""Words that may mean two things: all that they may mean, the likelier first, for the person to choose from.

Only for what no pattern of one meaning has taken.
"""

from collections.abc import Iterable

from bot.ports.intents import Intent
from bot.reader import frames, patterns, readings
from bot.reader.acts import Act
from bot.reader.clauses import Clause
from bot.reader.scene import Scene, View


def read(pieces: Iterable[Clause], scene: Scene) -> tuple[Intent, ...]:
    """Give the meanings of the first piece that has several."""
    for piece in pieces:
        for number, pattern in scene.book.either.candidates(piece.all_tags):
            match = patterns.found(pattern, piece.tags, piece.all_tags)
            rows = scene.book.meanings[number]
            if match is None or readings.left_over(piece, match, rows[0].kind, scene.book):
                continue
            acts = (Act(readings.Reading(row, match, piece, match.score), piece) for row in rows)
            return tuple(frames.intent(View(act, scene)) for act in acts)
    return ()
