"""Fills the slots of what is told of people: who it is of, which days of the week, from when until when.

Not for customers: wordslots has those.
"""

import datetime as dt

from bot.reader import moments
from bot.reader.scene import View
from bot.reader.times import When
from bot.reader.tokens import WORD, Token
from core.journal.kinds import Weekday

_WEEK = tuple(Weekday)
_MIDNIGHT = When(hour=0, half="24")
DAY = dt.timedelta(days=1)


def name(view: View) -> str | None:
    """Fill the `name` of a person: one of the farm's, or the words for one; none where somebody means themselves."""
    said = view.chunks("<person>")
    if said:
        return str(said[0].value)
    words = view.original(view.captured("name"))
    return words[:1].upper() + words[1:] or None


def days(view: View) -> list[str]:
    """Fill the `days` of the week."""
    several: dict[str, str] = view.book.data["days_of_week"]
    found: list[int] = []
    for token in view.tokens:
        words = set(token.text.split())
        found += next((_SETS[key] for key, known in several.items() if words & set(known.split())), _named(token))
    named = [n for token in view.tokens for n in _named(token)]
    if len(named) == 2 and any(_leads_to(view, token) for token in view.tokens):
        first, last = named
        found = [(first + step) % 7 for step in range((last - first) % 7 + 1)]
    return [_WEEK[n].value for n in sorted(set(found))]


_SETS: dict[str, list[int]] = {"weekend": [5, 6], "weekdays": [0, 1, 2, 3, 4], "all": list(range(7))}


def _named(token: Token) -> list[int]:
    when = token.value
    if not isinstance(when, When):
        return []
    if when.weekday is not None:
        return [when.weekday]
    return list(range(7)) if when.every == "day" else []


def _leads_to(view: View, token: Token) -> bool:
    is_word = token.kind == WORD and token.text in view.book.word_sets["spans"]
    return is_word or "<until>" in token.tags or token.text.split(" ")[0] in view.book.word_sets["to"]


def start(view: View) -> dt.datetime | None:
    """Fill the `start` of an absence: the beginning of the day that is said; none for now."""
    when = _said(view, until=False)
    if when is None or when.is_now or when.steps or when.day == 0:
        return None
    return _of(view, when)


def until(view: View) -> dt.datetime | None:
    """Fill the end of an absence: what is said, else the end of the day or the weekend that it is of."""
    when = _said(view, until=True)
    if when is not None:
        return _of(view, when)
    when = _said(view, until=False)
    if when is None or when.is_now:
        return None
    if when.steps:  # for three days
        return moments.future(when, view.scene.at)
    weekend = set(view.book.data["days_of_week"]["weekend"].split())
    length = 2 if any(weekend & set(t.text.split()) for t in view.tokens) else 1
    day = moments.date(when, view.scene.at, in_future=True)
    return moments.exists(dt.datetime.combine(day + length * DAY, dt.time(), view.scene.at.tzinfo))


def _said(view: View, *, until: bool) -> When | None:
    said = (t for t in view.tokens if isinstance(t.value, When) and ("<until>" in t.tags) == until)
    return next((t.value for t in said), None)


def _of(view: View, when: When) -> dt.datetime:
    whole = when if when.has_hour else when.joined(_MIDNIGHT) or when
    return moments.future(whole, view.scene.at)
