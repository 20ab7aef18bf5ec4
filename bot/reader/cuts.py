"""A sentence cut further: words that take the rest of it as it stands, and things said with no word between them.

Not for commas and joining words (clauses) nor for what belongs together (acts).
"""

from bot.reader import clauses, readings
from bot.reader.book import Book
from bot.reader.clauses import Clause, Sentence
from bot.reader.readings import Reading

MOST_PIECES = 24  # of one sentence; a flood of commas is not read to its end


def swallowed(sentence: Sentence, book: Book) -> tuple[list[Clause], Reading] | None:
    """Find words that take the rest of the sentence as it stands: a note, a reminder of one's own."""
    joints = book.word_sets["joints"] | {","}
    starts = [0] + [i + 1 for i, t in enumerate(sentence.tokens[:-1]) if t.text in joints]
    best: tuple[int, int, Reading] | None = None
    for start in starts[:MOST_PIECES]:
        tail = clauses.clause(sentence.tokens[start:], book, is_question=sentence.is_question)
        found = readings.read(tail, book, swallowing=True)
        if found and not _is_short(tail, found[0], book):
            place = start + found[0].match.start
            if best is None or place <= best[0]:
                best = (place, start, found[0])
    if best is None:
        return None
    _, start, reading = best
    head = clauses.pieces(Sentence(sentence.tokens[:start], is_question=False), book) if start else []
    if head and all("<time>" in t.tags for piece in head for t in piece.tokens):
        whole = tuple(t for t in sentence.tokens[:start] if "<time>" in t.tags) + sentence.tokens[start:]
        found = readings.read(clauses.clause(whole, book), book, swallowing=True)
        return ([], found[0]) if found else None
    return head, reading


def _is_short(tail: Clause, found: Reading, book: Book) -> bool:
    """Say whether another reading of the same words is fuller: "remind me again" is no reminder of one's own."""
    others = readings.read(tail, book, swallowing=False)
    return bool(others) and others[0].score > found.score


def cut(piece: Clause, book: Book) -> list[Clause]:
    """Cut a piece that has several things in it without a word between them, as dictation has."""
    begins = book.word_sets["begins"]
    for i in range(1, len(piece.tokens)):
        token = piece.tokens[i]
        if piece.tokens[i - 1].text in book.word_sets["wants_more"]:
            continue
        if piece.is_question and token.text not in book.word_sets["asks_begin"]:
            continue
        counted = clauses.is_number(token) and i + 1 < len(piece.tokens) and "@dead" in piece.tokens[i + 1].tags
        asks = token.text in book.word_sets["asks_begin"]
        named = "<subject>" in token.tags and i + 1 < len(piece.tokens) and "@predicate" in piece.tokens[i + 1].tags
        if not (token.text.split(" ")[0] in begins or counted or asks or named):
            continue
        left = clauses.clause(piece.tokens[:i], book, joint=piece.joint)
        right = clauses.clause(piece.tokens[i:], book, is_question=piece.is_question)
        if _is_whole(left, book) and _is_whole(right, book):
            return [left, *cut(right, book)]
    return [piece]


def _is_whole(clause: Clause, book: Book) -> bool:
    found = readings.read(clause, book, swallowing=False)
    return bool(found) and not found[0].is_denied and found[0].score >= 1.5
