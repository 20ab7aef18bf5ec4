"""Reads the answer to an open question: "3", "the lamp shelf", "T5 and T6", "88", "tomorrow", "1/2 inch".

A text that says more than the answer is none. Not for whole messages: reader reads those.
"""

import datetime as dt
from collections.abc import Callable
from typing import Any

from bot.reader import amounts, moments, readings, settle, wants, whens, wordslots
from bot.reader.clauses import Clause
from bot.reader.names import Group
from bot.reader.scene import Scene, View, view_of
from bot.reader.times import When
from bot.reader.tokens import MARK, NUMBER, WORD, Token

MOST_WORDS = 5  # of an answer in the person's own words


def read(tokens: list[Token], scene: Scene, slot: str, candidates: tuple[str, ...]) -> Any | None:  # noqa: ANN401
    """Give the slot's value, or None."""
    plain = [t for t in tokens if t.kind != MARK or t.text in "-/"]
    filler = _FILLERS.get(slot)
    if not plain or filler is None or any(t.text == "?" for t in tokens):
        return None
    view = view_of(Clause(tuple(plain)), scene)
    if slot not in _FREE and _left(plain, scene):
        return None
    return filler(view, candidates)


def _left(tokens: list[Token], scene: Scene) -> bool:
    plain = scene.book.plain | scene.book.fix_plain
    return any(t.kind == WORD and t.text not in plain and not t.tags & _FINE for t in tokens)


_FINE = frozenset(("<sizeword>", "<ordinal>", "@bin", "@tub", "@tray", "@temp", "@humidity", "@lamp", "@size", "@not"))


def _named(sort: str) -> Callable[[View, tuple[str, ...]], list[str] | None]:
    def names(view: View, candidates: tuple[str, ...]) -> list[str] | None:
        groups = view.groups(sort)
        if groups:
            found = settle.names_of(view, sort)
            if found == settle.ALL:
                return list(candidates or settle.everyone(view.scene.farm, sort)) or None
            return list(found) if found else _counted(groups, candidates)
        letter = "B" if sort == "bin" else "T"
        numbers = [t.value for t in view.numbers() if isinstance(t.value, int) and t.value > 0]
        ordinals = [t.value for t in view.chunks("<ordinal>") if isinstance(t.value, int)]
        if ordinals:
            return [candidates[ordinals[0] - 1]] if ordinals[0] <= len(candidates) else None
        return [f"{letter}{n}" for n in numbers] or None

    return names


def _counted(groups: list[Token], candidates: tuple[str, ...]) -> list[str] | None:
    group: Group = groups[0].value
    return list(candidates) if group.how == "both" and len(candidates) == 2 else None


def _one(sort: str) -> Callable[[View, tuple[str, ...]], str | None]:
    several = _named(sort)

    def name(view: View, candidates: tuple[str, ...]) -> str | None:
        found = several(view, candidates)
        return found[0] if found and len(found) == 1 else None

    return name


def _place(view: View, candidates: tuple[str, ...]) -> str | None:
    if view.chunks("<n>") or view.chunks("<rh>"):
        return None
    known = settle.place_of(view)
    if known is not None:
        return None if _left([t for t in view.tokens if t.value is None], view.scene) else known
    preps = view.book.data["preps"]
    words = [t for t in view.tokens if not (t.kind == WORD and t.text in preps)]
    is_name = all(t.kind in (WORD, NUMBER) for t in words) and any(t.kind == WORD for t in words)
    if {t.text for t in words} & view.book.word_sets["no_name"]:
        return None
    if not is_name or len(words) > MOST_WORDS or {t.text for t in words} & view.book.word_sets["places"]:
        return None
    if any(t.tags & {"@asks", "@not", "@no"} for t in words) or _says_something(view):
        return None
    return view.original(words) or None


def _says_something(view: View) -> bool:
    return bool(readings.read(view.clause, view.book)) or all(t.text in view.book.plain for t in view.tokens)


def _number(view: View, candidates: tuple[str, ...]) -> float | None:
    return amounts.count(view)


def _temp(view: View, candidates: tuple[str, ...]) -> float | None:
    return amounts.figures_of(view).get("temp_c")


def _date(view: View, candidates: tuple[str, ...]) -> dt.date | None:
    return whens.due(view)


def _moment(view: View, candidates: tuple[str, ...]) -> dt.datetime | None:
    when = whens.wanted(view)
    if when is not None:
        return when
    clocks = whens.clocks(view)
    if not clocks:
        return None
    hour, minute, _ = clocks[0]
    return moments.future(When(hour=hour, minute=minute), view.scene.at)


def _words(view: View, candidates: tuple[str, ...]) -> str | None:
    if _says_something(view) or any("@asks" in t.tags for t in view.tokens[:1]):
        return None
    if {t.text for t in view.tokens} <= view.book.word_sets["no_name"] | view.book.little:
        return None
    return view.original(list(view.tokens)) or None


def _text(view: View, candidates: tuple[str, ...]) -> str | None:
    return view.original(list(view.tokens)) or None


def _setting(view: View, candidates: tuple[str, ...]) -> str | None:
    """Read what a setting is to be; its form tells which setting was asked for."""
    if _says_something(view) and len(view.tokens) > MOST_WORDS:
        return None
    clocks = whens.clocks(view)
    for form in (wants.units_of, wants.language_of):
        found = form(view)
        if found is not None:
            return found
    if len(clocks) == 2 and any(t.text in view.book.word_sets["spans"] or "<until>" in t.tags for t in view.tokens):
        return wants.quiet_hours_of(view)
    return wants.water_times_of(view) or view.original(list(view.tokens)) or None


_FILLERS: dict[str, Callable[[View, tuple[str, ...]], Any]] = {
    "bin": _one("bin"),
    "from": _one("bin"),
    "to": lambda view, c: _one("bin")(view, c) if view.groups("bin") else _setting(view, c),
    "tub": _one("tub"),
    "bins": _named("bin"),
    "tubs": _named("tub"),
    "place": _place,
    "count": _number,
    "temp_c": _temp,
    "rh": lambda view, c: (amounts.humidity(view) or (_number(view, c), None))[0],
    "mass_g": lambda view, c: amounts.mass(view),
    "volume_ml": lambda view, c: amounts.volume(view),
    "size": lambda view, c: amounts.size(view),
    "price": lambda view, c: next((t.value for t in view.chunks("<money>")), None) or _number(view, c),
    "due": _date,
    "day": _date,
    "when": _moment,
    "until": _moment,
    "text": _text,
    "item": _words,
    "name": _words,
    "new": _words,
    "old": _words,
    "who": lambda view, c: wordslots.who(view) or _words(view, c),
}
_FREE = frozenset(("text", "item", "name", "new", "old", "who", "place", "to"))
