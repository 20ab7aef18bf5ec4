"""Where a message is read: the farm, the moment, the language, and what was spoken of so far.

Not for the slots of one intent: frames fills those from a view on one act.
"""

import datetime as dt
from typing import Any

import msgspec

from bot.reader.acts import Act
from bot.reader.book import Book, Row
from bot.reader.clauses import Clause
from bot.reader.names import Group
from bot.reader.nametable import Table
from bot.reader.patterns import Match
from bot.reader.readings import Reading
from bot.reader.tokens import NUMBER, WORD, Token
from core.farm.farm import Farm
from core.journal import codec

STILL_SPOKEN_OF = dt.timedelta(hours=3)  # "it" of a later message is something else


class Scene(msgspec.Struct):
    """The state that one message is read in; it grows as intents come out."""

    farm: Farm
    at: dt.datetime
    book: Book
    table: Table
    text: str
    spoken: dict[str, tuple[str, ...]] = {}  # sort to the names last spoken of in this message
    named: dict[str, tuple[str, ...]] = {}  # sort to all names spoken of in this message
    who: str | None = None

    @property
    def last_kind(self) -> str:
        """The kind of what the last message said, where that is not long ago."""
        last = self.farm.last_said[-1] if self.farm.last_said else None
        return codec.kind_of(last.body) if last is not None and self.at - last.said_at < STILL_SPOKEN_OF else ""

    def speak(self, sort: str, names: tuple[str, ...]) -> None:
        """Note names that were spoken of; the sort spoken of last is the last."""
        self.spoken.pop(sort, None)
        self.spoken[sort] = names
        self.named[sort] = (*self.named.get(sort, ()), *names)


class View(msgspec.Struct):
    """One act in its scene: what the fillers of slots look at."""

    act: Act
    scene: Scene
    tokens: tuple[Token, ...] = ()  # of the clause and what adds to it

    def __post_init__(self) -> None:
        """Put the tokens together."""
        self.tokens = (*self.act.clause.tokens, *self.act.extras)

    @property
    def clause(self) -> Clause:
        """The clause."""
        return self.act.clause

    @property
    def book(self) -> Book:
        """The phrasebook."""
        return self.scene.book

    def groups(self, sort: str) -> list[Token]:
        """Give the chunks that name things of one sort."""
        return [t for t in self.tokens if isinstance(t.value, Group) and t.value.sort in (sort, "any")]

    def chunks(self, tag: str) -> list[Token]:
        """Give the tokens with a tag."""
        return [t for t in self.tokens if tag in t.tags]

    def numbers(self) -> list[Token]:
        """Give the bare numbers."""
        return [t for t in self.tokens if t.kind == NUMBER and "<number>" in t.tags]

    def before(self, token: Token, steps: int = 1) -> Token | None:
        """Give the token before."""
        at = self.tokens.index(token) - steps
        return self.tokens[at] if at >= 0 else None

    def after(self, token: Token) -> Token | None:
        """Give the token after."""
        at = self.tokens.index(token) + 1
        return self.tokens[at] if at < len(self.tokens) else None

    def prep(self, token: Token) -> str:
        """Give the small word that a chunk hangs on: from, to, in, on, or none."""
        preps = self.book.data["preps"]
        before = self.before(token)
        if before is not None and before.kind == WORD and before.text in preps:
            return str(preps[before.text])
        return ""

    def captured(self, name: str) -> tuple[Token, ...]:
        """Give the tokens that the pattern captured."""
        piece = self.act.reading.match.captures.get(name)
        return self.act.reading.clause.tokens[piece[0] : piece[1]] if piece else ()

    def original(self, tokens: tuple[Token, ...] | list[Token]) -> str:
        """Give the words of the message from the first to the last of some tokens, as they were typed."""
        return self.scene.text[tokens[0].start : tokens[-1].end].strip(" .,:;!?\"'") if tokens else ""

    def says(self, table: str) -> str | None:
        """Find the first word of a table of phrases (`density`, `level`, ...) that is in the act."""
        return phrase_in(self.tokens, self.book.phrases[table])

    def fixed(self, slot: str) -> Any | None:  # noqa: ANN401
        """Give a slot that the pattern itself settles."""
        return self.act.reading.row.fixed.get(slot)


def view_of(clause: Clause, scene: Scene, row: Row | None = None) -> View:
    """Give a view on words that no pattern has taken, as if a row of the phrasebook, by default any, had."""
    reading = Reading(row or scene.book.rows[0], Match(0, (), {}, 0, 0), clause, 0.0)
    return View(Act(reading, clause), scene)


def phrase_in(tokens: tuple[Token, ...], phrases: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]) -> str | None:
    """Find the first of several values one of whose phrases stands in the tokens."""
    tags = [t.tags for t in tokens]
    for value, several in phrases:
        for words in several:
            for i in range(len(tags) - len(words) + 1):
                if all(word in tags[i + k] for k, word in enumerate(words)):
                    return value
    return None
