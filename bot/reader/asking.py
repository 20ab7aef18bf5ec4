"""Fills the slots of a question, by its topic.

Not for answering: that is the assistant's work.
"""

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any

from bot.reader import amounts, subjects, whens, wordslots
from bot.reader.names import Group
from bot.reader.scene import View

Filler = Callable[[View], Any]


def _subject(view: View) -> dict[str, Any]:
    """Give the one bin, tub or place that a question is about."""
    for sort, fill in (("tub", subjects.one_tub), ("bin", subjects.one_bin), ("place", subjects.place)):
        found = fill(view) if _named(view, sort) else None
        if found is not None:
            return {sort: found}
    return _tub(view) or _bin(view)


def _named(view: View, sort: str) -> bool:
    return any(t.value.how == "named" for t in view.groups(sort))


def _tub(view: View) -> dict[str, Any]:
    found = subjects.one_tub(view) if view.groups("tub") else None
    spoken = view.scene.spoken.get("tub", ()) if view.book.writing.drops_pronouns else ()
    if found is None and len(spoken) == 1 and not any(isinstance(t.value, Group) for t in view.tokens):
        found = spoken[0]
    return {"tub": found} if found else {}


def _bin(view: View) -> dict[str, Any]:
    found = subjects.one_bin(view) if view.groups("bin") else None
    return {"bin": found} if found else {}


def _due(view: View) -> dict[str, Any]:
    return _with({}, day=whens.day(view, in_future=True))


def _agenda(view: View) -> dict[str, Any]:
    return _with({}, days=whens.days(view))


def _ready(view: View) -> dict[str, Any]:
    goal = view.fixed("for") or amounts.size(view)
    return _with(_bin(view), **{"for": goal})


def _supply(view: View) -> dict[str, Any]:
    return _with({}, count=amounts.count(view), size=amounts.size(view), day=whens.due(view))


def _orders(view: View) -> dict[str, Any]:
    people = view.chunks("<person>")
    return _with({}, who=people[0].value if people else None)


def _takings(view: View) -> dict[str, Any]:
    words = {word for token in view.tokens for word in token.text.split()}
    spans: dict[str, int] = view.book.data["day_spans"]
    days = next((n for word, n in spans.items() if word in words), None) or whens.days(view)
    return _orders(view) | _with({}, days=days, day=None if days else whens.day(view, in_future=False))


def _stock(view: View) -> dict[str, Any]:
    return _with({}, item=wordslots.asked_item(view))


def _of(view: View) -> str | None:
    words = [t.text for t in view.tokens]
    if view.chunks("@tray"):
        said = set(words)
        if said & book_words(view, "tray_out"):
            return "tray_out"
        if said & book_words(view, "tray_in"):
            return "tray_in"
    verbs: dict[str, str] = view.book.data["verbs"]
    by_word = {word.replace("_", " "): kind for kind, several in verbs.items() for word in several.split()}
    found = [by_word[w] for w in words if w in by_word]
    kind = found[0] if found else None
    return "placed" if kind == "moved" and view.groups("tub") else kind


def book_words(view: View, name: str) -> frozenset[str]:
    """Give the words that say which way a tray went."""
    return view.book.word_sets[name]


def _history(view: View) -> dict[str, Any]:
    return _with({}, of=_of(view)) | _subject(view)


def _who(view: View) -> dict[str, Any]:
    return _with({}, of=_of(view), day=whens.day(view, in_future=False))


def _duty(view: View) -> dict[str, Any]:
    """Give the day that is asked about; a weekend is two, a week that begins today is seven."""
    day = whens.day(view, in_future=True)
    words = {word for token in view.tokens for word in token.text.split()}
    days = 2 if words & set(view.book.data["days_of_week"]["weekend"].split()) else whens.days(view)
    return _with({}, day=day, days=days if days and days > 1 else None)


def _about(view: View) -> str | None:
    topics: dict[str, str] = view.book.data["howto"]
    words = {t.text.replace(" ", "_") for t in view.tokens}
    words |= {part for w in words for part in w.split("_")}
    return next((topic for topic, several in topics.items() if words & set(several.split())), None)


def _howto(view: View) -> dict[str, Any]:
    return _with({}, about=_about(view))


def _plan(view: View) -> dict[str, Any]:
    return _with({}, count=amounts.count(view), size=amounts.size(view), every=whens.every(view))


_TOPICS: Mapping[str, Callable[[View], dict[str, Any]]] = {
    "days_left": _tub,
    "status": _subject,
    "due": _due,
    "agenda": _agenda,
    "ready": _ready,
    "supply": _supply,
    "orders": _orders,
    "takings": _takings,
    "week": lambda _: {},
    "stock": _stock,
    "history": _history,
    "count": lambda view: _bin(view) or _tub(view),
    "climate": _subject,
    "why": lambda view: _tub(view) if _named(view, "tub") else {},
    "howto": _howto,
    "cost": lambda view: {},
    "plan": _plan,
    "who": _who,
    "duty": _duty,
}


def _with(slots: dict[str, Any], **more: str | float | dt.date | None) -> dict[str, Any]:
    return slots | {name: value for name, value in more.items() if value is not None}


def slots(view: View) -> dict[str, Any]:
    """Give the slots of a question."""
    topic = str(view.fixed("topic"))
    return {"topic": topic} | _TOPICS[topic](view)
