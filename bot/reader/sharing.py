"""What two things said in one breath share: "misted and covered tub 10" is of tub 10 both.

Not for pieces that say nothing alone: acts puts those together.
"""

import itertools
from collections.abc import Sequence

from bot.reader.acts import Act
from bot.reader.book import Book
from bot.reader.clauses import Clause
from bot.reader.names import Group

MOST_BARE = 2  # words of a piece that is no more than its verb


def subjects(acts: Sequence[Act], book: Book) -> list[Act]:
    """Let a bare verb before an "and" have the subject of what follows; the same thing said twice is said once."""
    out = list(acts)
    for before, act in itertools.pairwise(acts):
        named = [t for t in act.clause.tokens if isinstance(t.value, Group) and t.value.how != "it"]
        if not named or act.clause.joint not in book.word_sets["and"]:
            continue
        if before.kind == act.kind and (_is_bare(before, book) or _is_other_figure(before, act)):
            act.clause = Clause((*before.clause.tokens, *act.clause.tokens), joint=before.clause.joint)
            out = [a for a in out if a is not before]
        elif not _is_bare(before, book):
            continue
        else:
            before.extras += tuple(named)
    return out


_HUMIDITY = frozenset(("<rh>", "@humidity"))


def _is_other_figure(before: Act, act: Act) -> bool:
    """Say whether a temperature without a place comes before the humidity of one, or the reverse."""
    if act.kind != "reading" or any(isinstance(t.value, Group) for t in before.clause.tokens):
        return False
    return _HUMIDITY.isdisjoint(before.clause.all_tags) is not _HUMIDITY.isdisjoint(act.clause.all_tags)


def _is_bare(act: Act, book: Book) -> bool:
    tokens = (*act.clause.tokens, *act.extras)
    has_subject = any(isinstance(t.value, Group) or "@tray" in t.tags for t in tokens)
    return act.kind in book.word_sets["never_home"] and not has_subject and len(tokens) <= MOST_BARE
