"""Reads words that put the last record right: "no, bin 3", "that was yesterday at 5", "I meant the humid room".

Not for taking a record back: undo is a pattern like any other.
"""

import datetime as dt
from typing import Any

import msgspec

from bot.ports.intents import Intent
from bot.reader import amounts, moments, patterns, readings
from bot.reader.clauses import Clause, Sentence
from bot.reader.names import Group
from bot.reader.scene import Scene, View, view_of
from bot.reader.times import When
from bot.reader.tokens import MARK, NUMBER, WORD, Token
from core import units
from core.journal import codec

# Which slot of the last record a word of a sort puts right: the first that its kind has.
_SLOTS = {
    "bin": ("bin", "bins", "to", "from"),
    "tub": ("tub", "tubs"),
    "place": ("place",),
    "mass": ("mass_g",),
    "size": ("size",),
    "sizeword": ("size",),
    "rh": ("rh",),
    "money": ("price", "price_each"),
    "person": ("who",),
    "volume": ("volume_ml",),
}
FULL = 2.5  # a reading as full as this is no correction but news
_FIGURE_SLOTS = frozenset(("count", "temp_c", "rh", "minutes"))
_PLURAL = frozenset(("bins", "tubs"))


def read(sentences: list[Sentence], scene: Scene) -> Intent | None:
    """Read a whole message as a correction; None where it is none."""
    tokens = [t for s in sentences for t in s.tokens]
    if not tokens or any(s.is_question for s in sentences):
        return None
    clause = Clause(tuple(tokens))
    strong = _is_any(scene.book.fix_strong, clause)
    if not strong and not _is_any(scene.book.fix_weak, clause):
        return None
    kept = _without_denied(tokens, scene.book.word_sets)
    view = view_of(Clause(tuple(kept)), scene)
    slots, at, fullest = _slots(view), _moment(view), _fullest(clause, scene)
    if at is not None and (due := _due(view)) is not None:
        slots, at = slots | {"due": due}, None
    if not slots and at is None:
        return None
    if _left(kept, scene) > (3 if strong else 0) or (
        not strong and fullest >= (FULL if _is_of_last(slots, scene) else 1.5)
    ):
        return None
    return Intent(kind="fix", slots=slots, at=at)


def _is_any(several: tuple[patterns.Pattern, ...], clause: Clause) -> bool:
    return any(patterns.found(p, clause.tags, clause.all_tags) for p in several)


def _is_of_last(slots: dict[str, Any], scene: Scene) -> bool:
    """Say whether the figures can be of the last record: no temperature puts a watering right."""
    have = {name for e in scene.farm.last_said for name in _fields(codec.RECORDS[codec.kind_of(e.body)])}
    return not (_FIGURE_SLOTS & slots.keys()) or not (_FIGURE_SLOTS & slots.keys() - have)


def _fields(record: type) -> set[str]:
    return {f.encode_name for f in msgspec.structs.fields(record)}


def _fullest(clause: Clause, scene: Scene) -> float:
    """Give the score of the fullest reading of the words as something that happened."""
    found = readings.read(Clause(tuple(t for t in clause.tokens if t.kind in (WORD, NUMBER, "chunk"))), scene.book)
    return found[0].score if found and not found[0].is_denied else 0.0


def _left(tokens: list[Token], scene: Scene) -> int:
    plain = scene.book.fix_plain
    return sum(t.kind == WORD and t.text not in plain and "<sizeword>" not in t.tags for t in tokens)


def _without_denied(tokens: list[Token], sets: dict[str, frozenset[str]]) -> list[Token]:
    """Leave out what is said not to be: "the humid room, not the lamp shelf"."""
    out: list[Token] = []
    is_denied = False
    for i, token in enumerate(tokens):
        if i == 0 and token.text in sets.get("answers_no", ()) and _is_answer(tokens):
            continue
        if token.text in sets["not"] or (token.text in sets["of"] and i and tokens[i - 1].text in sets["instead"]):
            is_denied = True
            continue
        held = token.kind != WORD or token.tags & {"<sizeword>"}
        if is_denied and held and token.kind != MARK:
            is_denied = False
            continue
        out.append(token)
    return out


def _is_answer(tokens: list[Token]) -> bool:
    """Say whether a "no" that begins a message answers it, in a language where it is "not" too."""
    held = [t for t in tokens[1:] if t.kind not in (WORD, MARK) or t.tags & {"<sizeword>"}]
    return len(held) < 2 or tokens[1].kind == MARK


def _moment(view: View) -> dt.datetime | None:
    whens = [t.value for t in view.tokens if isinstance(t.value, When)]
    when: When | None = None
    for each in whens:
        when = each if when is None else (when.joined(each) or each)
    if when is None:
        when = _bare_clock(view)
    return None if when is None or when.is_now else moments.past(when, view.scene.at)


def _due(view: View) -> dt.date | None:
    """Give the day that an order was put right to, where the last record is one."""
    has_due = any("due" in _fields(codec.RECORDS[codec.kind_of(e.body)]) for e in view.scene.farm.last_said)
    when = next((t.value for t in view.tokens if isinstance(t.value, When) and t.value.has_day), None)
    return moments.date(when, view.scene.at, in_future=True) if has_due and when is not None else None


def _bare_clock(view: View) -> When | None:
    for token in view.tokens:
        if token.kind == "clock" and isinstance(token.value, tuple) and token.value[0] <= 24 and token.value[1] <= 59:
            hour, minute = token.value
            return When(hour=hour % 24, minute=minute, half="24" if hour > 12 or hour == 0 else "")
    return None


def _slots(view: View) -> dict[str, Any]:
    kinds = [codec.RECORDS[codec.kind_of(e.body)] for e in view.scene.farm.last_said]
    fields = [_fields(k) for k in kinds]
    out: dict[str, Any] = {}
    for token in view.tokens:
        sort, value = _value(token)
        if sort is None:
            continue
        names = _SLOTS[sort]
        slot = next((n for n in names if any(n in have for have in fields)), names[0])
        if slot in _PLURAL:
            out[slot] = list(value) if isinstance(value, tuple) else [value]
        elif slot not in out:
            out[slot] = value[0] if isinstance(value, tuple) else value
    out |= _figures(view, fields)
    return out


def _value(token: Token) -> tuple[str | None, Any]:
    if isinstance(token.value, Group):
        return (token.value.sort, token.value.names) if token.value.how == "named" else (None, None)
    for sort in ("mass", "size", "sizeword", "rh", "money", "person", "volume"):
        if f"<{sort}>" in token.tags:
            return sort, token.value
    return None, None


def _figures(view: View, fields: list[set[str]]) -> dict[str, Any]:
    """Read a bare number as the temperature or the count of the last record, whichever it has."""
    numbers = [t for t in view.tokens if "<n>" in t.tags and not isinstance(t.value, When)]
    if not numbers:
        return {}
    token = numbers[0]
    meant = next((t.value.sort for t in view.tokens if isinstance(t.value, Group) and t.value.how == "the"), None)
    if meant in ("bin", "tub") and isinstance(token.value, int):  # "wrong tub, it was number 12"
        slot = next((n for n in _SLOTS[meant] if any(n in have for have in fields)), meant)
        name = f"{meant[0].upper()}{token.value}"
        return {slot: [name] if slot in _PLURAL else name}
    degrees = token.value[0] if "<temp>" in token.tags else token.value
    if "<temp>" in token.tags or any("temp_c" in have for have in fields):
        said = token.value[1] if "<temp>" in token.tags else None
        unit = amounts.unit_of(view, [(token, float(degrees), said)])
        return {"temp_c": round(units.to_celsius(float(degrees), unit), 1)}
    slot = next((n for n in ("count", "minutes") if any(n in have for have in fields)), "count")
    return {slot: token.value}
