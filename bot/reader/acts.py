"""Clauses put together to acts: what belongs to which thing said, in one sentence after another.

Not for cutting (clauses) nor for slots (frames).
"""

import itertools
from collections.abc import Sequence

import msgspec

from bot.reader import clauses, cuts, readings
from bot.reader.book import Book
from bot.reader.clauses import Clause, Sentence
from bot.reader.names import Group
from bot.reader.readings import Reading
from bot.reader.tokens import Token

MOST_HELD = 4  # unread pieces that wait for the next to make sense


class Act(msgspec.Struct):
    """One thing said, with the clause that says it."""

    reading: Reading
    clause: Clause
    others: tuple[Reading, ...] = ()
    extras: tuple[Token, ...] = ()  # pieces that only add to it: "lots of eggs"
    reason: tuple[Token, ...] = ()
    sentence: int = 0
    shared: Token | None = None  # the time of a neighbour that holds for it too

    @property
    def kind(self) -> str:
        """Name the kind."""
        return self.reading.kind


class Heap(msgspec.Struct):
    """What was made of a message so far."""

    acts: list[Act] = []
    held: list[Clause] = []  # pieces that say nothing alone
    unread: list[Clause] = []
    before: str = ""  # kind of what the last message said: "took it out" after mold
    is_denied: bool = False  # something was said not to be, so there is nothing to record
    denied: Act | None = None  # what the piece before said not to be: "no mold on T5" - "but some on T6"


def gather(heap: Heap, sentence: Sentence, number: int, book: Book, *, is_alone: bool) -> None:
    """Read one sentence onto the heap."""
    first = len(heap.acts)
    swallowed = cuts.swallowed(sentence, book)
    head, tail = swallowed if swallowed else (clauses.pieces(sentence, book), None)
    if is_alone and len(head) == 1 and tail is None:
        head[0].is_alone = True
    for piece in head[: cuts.MOST_PIECES]:
        for part in cuts.cut(piece, book):
            _take(heap, part, number, book)
    if tail is not None:
        heap.acts.append(Act(tail, tail.clause, sentence=number))
    if len(heap.acts) > first or not all("<subject>" in t.tags for c in heap.held for t in c.tokens):
        heap.unread.extend(heap.held)  # "Bin two." alone waits for the next sentence
        heap.held.clear()
    _share_times(heap.acts[first:], book)


def _best(clause: Clause, book: Book, after: str) -> list[Reading]:
    return readings.read(clause, book, after=after, swallowing=False)


def _take(heap: Heap, piece: Clause, number: int, book: Book) -> None:
    last = heap.acts[-1] if heap.acts else None
    found = _best(piece, book, last.kind if last else heap.before)
    if _takes_back(heap, last, piece, number, book):
        return
    denied, heap.denied = heap.denied, None
    if found and found[0].is_denied:
        heap.is_denied = True
        heap.denied = Act(found[0], piece, sentence=number)
        heap.held.clear()
        _take_exception(last, piece, number)
        return
    if not found and denied is not None and denied.sentence == number and _is_contrast(denied, piece, book):
        heap.acts.append(Act(_borrowed(denied, piece), piece, sentence=number))
        return
    if heap.held and _joins_held(heap, piece, found, number, book):
        return
    if found:
        _add(heap, Act(found[0], piece, tuple(found[1:]), sentence=number), book)
    elif last is None or not _attach(heap, last, piece, number, book):
        heap.held.append(piece)
        if len(heap.held) > MOST_HELD:
            heap.unread.append(heap.held.pop(0))


def _takes_back(heap: Heap, last: Act | None, piece: Clause, number: int, book: Book) -> bool:
    """Say whether a piece takes back what was said, or goes on with what is only wished."""
    if last is not None and last.sentence == number and _is_not_yet(piece, book):
        heap.acts.pop()  # "pulled it, no wait, not yet"
    elif heap.held and _is_wish_going_on(heap.held[-1], piece, book):
        heap.held.clear()
    else:
        return False
    heap.is_denied = True
    return True


def _is_not_yet(piece: Clause, book: Book) -> bool:
    """Say whether a piece takes back all that was said: "no wait, not yet"."""
    words = {t.text for t in piece.tokens}
    return "@not" in piece.all_tags and words <= book.word_sets["not_yet"]


def _is_wish_going_on(held: Clause, piece: Clause, book: Book) -> bool:
    """Say whether a piece only goes on with what is wished: "wish bin 1 would hurry up" - "and chirp"."""
    return _is_denied(held) and piece.joint in book.word_sets["and"] and "<subject>" not in piece.all_tags


def _take_exception(last: Act | None, piece: Clause, number: int) -> None:
    """Let what is said not to be add to the act before: why a tub was thrown out, or which of all was left out."""
    if last is None or last.sentence != number:
        return
    if last.kind == "discarded" or ("<all>" in last.clause.all_tags and "<subject>" in piece.all_tags):
        last.extras += piece.tokens


def _joins_held(heap: Heap, piece: Clause, found: list[Reading], number: int, book: Book) -> bool:
    """Read a piece together with those that said nothing alone before it, where that makes an act."""
    if found and _stands_apart(Act(found[0], piece), heap.held[-1], book):
        return False
    joined = clauses.clause(_tokens(*heap.held, piece), book, is_question=piece.is_question)
    both = _best(joined, book, heap.acts[-1].kind if heap.acts else "")
    if not both or both[0].is_denied or (found and both[0].kind != found[0].kind):
        return False
    heap.held.clear()
    heap.acts.append(Act(both[0], joined, tuple(both[1:]), sentence=number))
    return True


_SOME = frozenset(("@trace", "@someword", "@heavy"))


def _is_contrast(denied: Act, piece: Clause, book: Book) -> bool:
    """Say whether a piece tells that of another subject which the piece before denied: "but T6 does"."""
    if piece.is_question or _is_denied(piece) or not _is_parallel(denied, piece):
        return False
    joins = piece.joint in book.word_sets["contrasts"] or (
        denied.kind == "mold" and not _SOME.isdisjoint(piece.all_tags)
    )
    return joins and not readings.left_over(piece, _borrowed(denied, piece).match, denied.kind, book)


def _tokens(*several: Clause) -> tuple[Token, ...]:
    return tuple(t for c in several for t in c.tokens)


def _add(heap: Heap, act: Act, book: Book) -> None:
    last = heap.acts[-1] if heap.acts else None
    if last is not None and last.kind == act.kind and act.kind in ("undo", "help"):
        return
    if last is not None and _goes_into(last, act, book):
        last.extras += act.clause.tokens
        return
    heap.held.clear() if act.kind != "ask" else None
    heap.acts.append(act)


def _goes_into(last: Act, act: Act, book: Book) -> bool:
    """Say whether an act only adds to the one before: "pulled the tray" - "it's on the lamp shelf"."""
    groups = [t.value for t in act.clause.tokens if isinstance(t.value, Group) and "<beside>" not in t.tags]
    names = [g for g in groups if g.sort != "place"]
    is_pronoun = all(g.how in ("it", "them", "there", "the", "both") for g in names)
    if (last.reading.row.also or {}).get("kind") == act.kind:
        return True
    if act.clause.joint in book.word_sets["because"] and act.kind in book.word_sets["reasons"] and is_pronoun:
        return True
    if last.kind == "tray_out":
        return act.kind in book.word_sets["pronoun_joins"] and is_pronoun
    if last.sentence != act.sentence and last.kind != "mold":
        return False
    if last.kind == "discarded":
        return act.kind in book.word_sets["reasons"] and is_pronoun
    return last.kind == act.kind and _repeats(last, act, book, is_pronoun=is_pronoun, is_bare=not names)


def _repeats(last: Act, act: Act, book: Book, *, is_pronoun: bool, is_bare: bool) -> bool:
    """Say whether an act says again, or in other words, what the one before of the same kind says."""
    kind = act.kind
    if kind == "mold":
        return act.reading.row.fixed.get("removed") is True and is_pronoun
    if kind in book.word_sets["chore_said"]:
        return len(act.clause.tokens) < 3
    if kind == "set":
        return act.reading.row.fixed == last.reading.row.fixed
    if kind == "order":
        return not last.clause.all_tags & {"<number>", "<size>", "<sizeword>"}
    if kind == "ask":
        return last.reading.row.fixed["topic"] in book.word_sets["takes_more"]
    if kind == "reading":
        return act.clause.all_tags.isdisjoint(("<place>", "<bin>", "<tub>")) and not _same_figures(last, act)
    if kind in book.word_sets["once"]:
        return (is_pronoun or _same_names(last, act)) and act.clause.all_tags.isdisjoint(("<number>", "<time>"))
    return kind in book.word_sets["said_twice"] or (kind == "sold" and is_bare)


def _same_names(last: Act, act: Act) -> bool:
    def names(c: Clause) -> list[Group]:
        return [t.value for t in c.tokens if isinstance(t.value, Group)]

    return names(last.clause) == names(act.clause) != []


def _same_figures(last: Act, act: Act) -> bool:
    def figures(c: Clause) -> frozenset[str]:
        is_humidity = "@humidity" in c.all_tags
        bounds = frozenset(tag for tag in ("@low", "@high") if tag in c.all_tags)
        if bounds:
            return bounds
        return frozenset(
            "rh" if is_humidity or "<rh>" in t.tags else "n" for t in c.tokens if not t.tags.isdisjoint(("<rh>", "<n>"))
        )

    return not figures(last.clause).isdisjoint(figures(act.clause))


def _attach(heap: Heap, last: Act, piece: Clause, number: int, book: Book) -> bool:
    """Put a piece that says nothing alone to the act before, or read it as the same thing said of another subject."""
    if _is_denied(piece):
        _take_exception(last, piece, number)
        return last.sentence == number
    if last.sentence != number and not _goes_back(last, piece, book):
        return False
    own = _has_own_words(last, piece, book)
    if _is_parallel(last, piece) and not own:
        heap.acts.append(Act(_borrowed(last, piece), piece, sentence=number))
        return True
    if own and last.kind in book.word_sets["own_subject"]:
        return False
    joined = clauses.clause((*last.clause.tokens, *piece.tokens), book, is_question=last.clause.is_question)
    again = [r for r in _best(joined, book, "") if r.kind == last.kind]
    again = [r for r in again[:1] if r.kind == "ask" or r.row.fixed == last.reading.row.fixed]
    if again and not again[0].is_denied and last.kind not in ("discarded", "tray_out"):
        last.reading, last.clause = again[0], joined
        return True
    last.extras += piece.tokens
    return True


def _stands_apart(act: Act, held: Clause, book: Book) -> bool:
    return act.kind in book.word_sets["own_subject"] and _has_own_words(act, held, book)


def _has_own_words(last: Act, piece: Clause, book: Book) -> bool:
    """Say whether a piece says something else of another subject, if nothing that is understood: "T6 smells funny"."""
    if "money" in _sorts(piece.tokens) or "<subject>" not in piece.all_tags or "<it>" in piece.all_tags:
        return False
    return bool(readings.left_over(piece, _borrowed(last, piece).match, last.kind, book))


_MAY_LACK = frozenset(("@eggs", "@lid", "@lamp", "@humidifier"))  # "no eggs" is news of a tray, not a denial


def _is_denied(piece: Clause) -> bool:
    """Say whether a piece tells what is not so; "maybe 100" is a figure all the same."""
    denials = {"@not", "@no", "@skip", "@hypothetical"} & piece.all_tags
    is_guess = denials == {"@hypothetical"} and "<number>" in piece.all_tags
    return bool(denials) and not is_guess and piece.all_tags.isdisjoint(_MAY_LACK)


def _goes_back(last: Act, piece: Clause, book: Book) -> bool:
    """Say whether a sentence of its own only adds to the one before: "T5 hatched! About 500"."""
    if all(_is_moment(t) for t in piece.tokens):
        return last.kind in book.word_sets["never_home"] and _time_of(last) is None
    lacks_subject = last.kind in book.word_sets["needs_subject"] and not _sorts(last.clause.tokens)
    if lacks_subject and _sorts(piece.tokens):
        return all("<subject>" in t.tags or t.text in book.plain for t in piece.tokens)
    if last.kind in book.word_sets["counted_kinds"]:
        has_count = "<number>" in piece.all_tags and "<number>" not in last.clause.all_tags
        return has_count and all(clauses.is_number(t) or t.text in book.plain for t in piece.tokens)
    if last.kind == "tray_in":
        return "@substrate" in piece.all_tags and _is_small(piece, book)
    return last.kind == "tray_out" and _is_small(piece, book)


_OF_A_TRAY = frozenset(("@substrate", "@container", "@wet", "@lid", "@someword"))


def _is_small(piece: Clause, book: Book) -> bool:
    return all(
        t.text in book.plain or t.tags & {"<tub>", "<place>", "<it>", "<there>", "@eggs", "@many", "@few", *_OF_A_TRAY}
        for t in piece.tokens
    )


def _sorts(tokens: Sequence[Token]) -> frozenset[str]:
    found = {t.value.sort for t in tokens if isinstance(t.value, Group)}
    return frozenset(found | {"money" for t in tokens if "<money>" in t.tags})


def _is_parallel(last: Act, piece: Clause) -> bool:
    mine, its = _sorts(piece.tokens), _sorts(last.clause.tokens)
    if last.kind in ("tray_out", "ask") and "bin" not in mine:
        return False
    if last.kind == "placed" and "tub" not in mine:  # "off the porch" - "and into the closet"
        return False
    return bool(mine) and mine <= its and last.kind != "moved"


def _borrowed(last: Act, piece: Clause) -> Reading:
    return Reading(last.reading.row, msgspec.structs.replace(last.reading.match, used=(), captures={}), piece, 1.0)


_HAS_NO_PAST = frozenset(("ask", "order", "remind", "pause", "snooze"))  # their times lie ahead


def _share_times(acts: Sequence[Act], book: Book) -> None:
    """Let a time at the head of a sentence hold for all of it, and one behind "did this and that" for both."""
    lead = next((t for t in acts[0].clause.tokens[:1] if _is_moment(t)), None) if acts else None
    for before, act in itertools.pairwise(acts):
        if lead is not None and _time_of(act) is None:
            act.shared = lead
        is_past = _HAS_NO_PAST.isdisjoint((act.kind, before.kind))
        if act.clause.joint in book.word_sets["and"] and _time_of(before) is None and is_past:
            starts_with_verb = 0 in act.reading.match.used and 0 in before.reading.match.used
            before.shared = _time_of(act) if starts_with_verb and before.shared is None else before.shared


def _is_moment(token: Token) -> bool:
    return "<time>" in token.tags and token.tags.isdisjoint(("<until>", "<every>"))


def _time_of(act: Act) -> Token | None:
    return next((t for t in act.clause.tokens if _is_moment(t)), None)
