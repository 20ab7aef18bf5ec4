"""What one clause says: the fullest of all readings that the phrasebook's patterns give it.

Not for the slots of what it says: frames fills those.
"""

import msgspec

from bot.reader import patterns
from bot.reader.book import Book, Row
from bot.reader.clauses import Clause
from bot.reader.patterns import Match
from bot.reader.tokens import WORD

MOST_LEFT = 6  # words of names and things in a sale or an order
FEW_LEFT = 3  # of a want or a question about no subject in particular
_DAY_AHEAD = frozenset(("<ahead>", "<day>"))
_DENIALS = frozenset(("@not", "@hypothetical"))
_FIGURES = frozenset(("<number>", "<n>", "<mass>", "@few", "<two>"))  # "maybe 60" is a figure, no doubt
_SUBJECTS = frozenset(("<subject>", "<there>"))


class Reading(msgspec.Struct):
    """One way to read a clause."""

    row: Row
    match: Match
    clause: Clause
    score: float
    is_denied: bool = False  # said not to be, or only wished or planned: nothing happened

    @property
    def kind(self) -> str:
        """Name the kind."""
        return self.row.kind


def read(clause: Clause, book: Book, *, after: str = "", swallowing: bool | None = None) -> list[Reading]:
    """Give all readings of a clause, the fullest first; of each kind and topic the fullest only."""
    best: dict[tuple[str, str], Reading] = {}
    index = book.index(is_question=clause.is_question, swallows=swallowing)
    for number, pattern in index.candidates(clause.all_tags):
        match = patterns.found(pattern, clause.tags, clause.all_tags)
        if match is None:
            continue
        row = book.rows[number]
        if not _is_open(row, clause, after) or not _is_accounted_for(row, match, clause, book):
            continue
        reading = Reading(row, match, clause, match.score + row.weight)
        topic = (row.kind, str(row.fixed.get("topic", row.fixed.get("what", ""))))
        if topic not in best or reading.score > best[topic].score:
            best[topic] = reading
    out = sorted(best.values(), key=lambda r: -r.score)
    for reading in out:
        reading.is_denied = _is_denied(reading, book)
    return out


def _is_open(row: Row, clause: Clause, after: str) -> bool:
    if row.after and row.after != after:
        return False
    if row.alone and not clause.is_alone:
        return False
    if row.forbids and not row.forbids.isdisjoint(clause.all_tags):
        return False
    return not row.needs or clause.all_tags.issuperset(row.needs)


def _is_accounted_for(row: Row, match: Match, clause: Clause, book: Book) -> bool:
    has_subject = any(not _SUBJECTS.isdisjoint(tags) and "<it>" not in tags for tags in clause.tags)
    is_named = has_subject and any(
        not _SUBJECTS.isdisjoint(t) and t.isdisjoint(("<it>", "<vague>")) for t in clause.tags
    )
    if not is_named and "@home" in clause.all_tags and row.kind in book.word_sets["never_home"]:
        return False
    if row.strict or (not has_subject and row.kind in book.word_sets["needs_subject"]):
        return not left_over(clause, match, row.kind, book)
    if has_subject or row.swallows:
        return True
    return len(left_over(clause, match, row.kind, book)) <= _most_left(row, match, clause, book)


def _most_left(row: Row, match: Match, clause: Clause, book: Book) -> int:
    """Say how many words may be left unexplained; none where the words that say it are themselves mended."""
    if any("<mended>" in clause.tags[i] for i in match.used):
        return 1
    return MOST_LEFT if row.kind in book.word_sets["free"] else FEW_LEFT


def left_over(clause: Clause, match: Match, kind: str, book: Book) -> list[str]:
    """Give the words of a clause that a reading leaves unexplained."""
    explained = book.explained.get(kind, frozenset()) | book.explained["any"]
    held = {i for start, end in match.captures.values() for i in range(start, end)}
    return [
        token.text
        for i, token in enumerate(clause.tokens)
        if (token.kind == WORD or "<newplace>" in token.tags)
        and i not in match.used
        and i not in held
        and token.text not in book.plain
        and not ("<name>" in token.tags and kind == "sold")
        and not ("@hypothetical" in token.tags and kind in book.word_sets["planned"])
        and token.tags.isdisjoint(explained)
        and "<sizeword>" not in token.tags
    ]


def _is_denied(reading: Reading, book: Book) -> bool:
    if reading.row.despite:
        return False
    tokens = reading.clause.tokens
    plans = "@plans" in reading.clause.all_tags
    if plans and any("@later" in t.tags or (t.tags >= _DAY_AHEAD and t.value.day != 0) for t in tokens):
        return True
    for i, token in enumerate(tokens):
        following = tokens[i + 1].tags if i + 1 < len(tokens) else frozenset()
        is_guess = token.text in book.word_sets["guesses"] and not following.isdisjoint(_FIGURES)
        if not token.tags.isdisjoint(_DENIALS) and token.kind == WORD and "@lid" not in following and not is_guess:
            return True
        is_none = "@no" in token.tags and i not in reading.match.used
        if is_none and following.isdisjoint(("@eggs", "@lid", "@longer")):
            return True
    return False
