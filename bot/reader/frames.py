"""What each kind of intent holds: its slots and what fills them; from an act to an intent.

Not for the filling itself: subjects, amounts, wordslots, whens, wants and asking do that.
"""

import datetime as dt
from collections.abc import Callable, Mapping
from typing import Any

from bot.ports.intents import ASK, Intent
from bot.reader import amounts, asked, asking, people, subjects, wants, whens, wordslots
from bot.reader.scene import View
from core.journal.codec import RECORDS
from core.journal.record import missing

Filler = Callable[[View], Any]

FRAMES: Mapping[str, Mapping[str, Filler]] = {
    "chirp": {"bin": subjects.one_bin},
    "tray_in": {"bin": subjects.one_bin, "container": wordslots.container, "substrate": wordslots.substrate},
    "tray_out": {
        "bin": subjects.tray_bin,
        "tub": subjects.named_tub,
        "place": subjects.goal,
        "cover": wordslots.cover,
        "density": wordslots.density,
    },
    "placed": {"tubs": subjects.tubs, "all": subjects.all_of, "place": subjects.goal},
    "covered": {"tubs": subjects.tubs, "all": subjects.all_of, "place": subjects.place},
    "reading": {"place": subjects.spoken_place, "bin": subjects.one_bin, "tub": subjects.one_tub},
    "watered": {"tubs": subjects.tubs, "bins": subjects.bins, "all": subjects.all_of, "place": subjects.place},
    "mold": {
        "tubs": subjects.tubs,
        "all": subjects.all_of,
        "place": subjects.place,
        "removed": wordslots.removed,
        "level": wordslots.level,
    },
    "dry": {"tubs": subjects.tubs},
    "hatch": {"tub": subjects.one_tub, "count": amounts.hatch_count, "stage": wordslots.stage},
    "stocked": {"bin": subjects.into_bin, "tubs": subjects.tubs, "count": amounts.count},
    "fed": {"bins": subjects.bins, "all": subjects.all_of, "feed": wordslots.feed, "mass_g": amounts.mass},
    "dead": {"bin": subjects.one_bin, "count": amounts.count, "mass_g": amounts.mass},
    "moved": {"from": subjects.from_bin, "to": subjects.to_bin, "count": amounts.count, "size": amounts.size},
    "sized": {"bin": subjects.one_bin, "size": amounts.size},
    "counted": {"bin": subjects.one_bin, "count": amounts.count, "size": amounts.size},
    "adults": {"bin": subjects.one_bin},
    "cleaned": {"bins": subjects.bins, "all": subjects.all_of},
    "harvested": {
        "bin": subjects.one_bin,
        "count": amounts.count,
        "mass_g": amounts.mass,
        "size": amounts.size,
    },
    "sold": {
        "who": wordslots.who,
        "count": amounts.count,
        "mass_g": amounts.mass,
        "size": amounts.size,
        "bin": subjects.said_bin,
        "price": amounts.price,
        "price_each": amounts.price_each,
    },
    "bought": {
        "item": wordslots.item,
        "count": amounts.count,
        "mass_g": amounts.mass,
        "volume_ml": amounts.volume,
        "price": amounts.price,
        "price_each": amounts.price_each,
    },
    "discarded": {"tub": subjects.one_tub, "bin": subjects.one_bin, "reason": wordslots.reason},
    "problem": {"tub": subjects.one_tub, "bin": subjects.one_bin, "place": subjects.spoken_place},
    "cleared": {"bin": subjects.held_bin},
    "remark": {"text": wants.text},
    "order": {
        "who": wordslots.who,
        "count": amounts.count,
        "size": amounts.size,
        "due": whens.due,
        "every": whens.every,
    },
    "remind": {"text": wants.remind_text, "when": whens.wanted, "every": whens.every},
    "add": {"name": wants.add_name, "lamp": wants.lamp, "humidifier": wants.humidifier},
    "rename": {"old": wants.old_name, "new": wants.new_name},
    "set": {"to": wants.setting},
    "pause": {"what": wants.chore, "until": whens.until},
    "resume": {"what": wants.chore},
    "done": {"chore": wants.last_chore},
    "skip": {"chore": wants.last_chore},
    "snooze": {"minutes": whens.minutes, "until": whens.rest_until},
    "undo": {},
    "help": {},
    "duty": {"name": people.name, "days": people.days},
    "away": {"name": people.name, "start": people.start, "until": people.until},
    "joined": {},
    "left": {"name": people.name},
    "cancel": {"order": wants.order_number, "who": wordslots.who, "size": amounts.size, "day": whens.called_off},
}
# Where one of these is known the later ones are left out: a reading is of a place, a bin or a tub.
ONE_OF: Mapping[str, tuple[str, ...]] = {
    "placed": ("tubs", "all"),
    "covered": ("tubs", "place", "all"),
    "watered": ("tubs", "bins", "place", "all"),
    "mold": ("tubs", "place", "all"),
    "fed": ("bins", "all"),
    "cleaned": ("bins", "all"),
    "discarded": ("tub", "bin"),
}
SPOKEN_LAST = frozenset(("reading", "problem"))  # kinds of one subject of any sort
_NO_FACTS = "order remind add rename set pause resume done skip snooze undo help remark duty away joined left cancel"
FACTS = frozenset(FRAMES) - frozenset(_NO_FACTS.split())


def intent(view: View) -> Intent:
    """Make the intent of an act."""
    kind = view.act.kind
    if kind == ASK:
        return Intent(kind=ASK, slots=asking.slots(view))
    slots: dict[str, Any] = {}
    for name, filler in FRAMES[kind].items():
        value = filler(view)
        if value is not None and value != []:
            slots[name] = value
    slots |= {name: value for name, value in view.act.reading.row.fixed.items() if name not in slots}
    slots = _settled(kind, slots, view)
    return Intent(kind=kind, slots=slots, at=_at(kind, view), needs=needs(kind, slots))


def needs(kind: str, slots: Mapping[str, Any]) -> tuple[str, ...]:
    """Name the slots that are missing."""
    return missing(RECORDS[kind], slots) if kind in RECORDS else ()


def _at(kind: str, view: View) -> dt.datetime | None:
    return whens.happened(view) if kind in FACTS else None


def _settled(kind: str, slots: dict[str, Any], view: View) -> dict[str, Any]:
    if kind in SPOKEN_LAST:
        slots = _one_subject(slots, view)
    order = ONE_OF.get(kind, ())
    if slots.get("tubs") and slots.get("all"):
        slots.pop("all")
    known = [name for name in order if slots.get(name)]
    if known[1:]:
        slots = {name: value for name, value in slots.items() if name not in known[1:]}
    after = _AFTER.get(kind)
    return after(slots, view) if after else slots


def _one_subject(slots: dict[str, Any], view: View) -> dict[str, Any]:
    """Keep the subject that the clause itself names; else the one spoken of last."""
    names = [sort for sort in ("place", "tub", "bin") if slots.get(sort)]
    here = [sort for sort in names if any(t.value.how == "named" for t in view.groups(sort) if hasattr(t.value, "how"))]
    spoken = [sort for sort in view.scene.spoken if sort in names]
    keep = here[:1] or spoken[-1:] or names[:1]
    return {name: value for name, value in slots.items() if name not in ("place", "tub", "bin") or name in keep}


def _reading(slots: dict[str, Any], view: View) -> dict[str, Any]:
    slots = slots | amounts.figures_of(view)
    if not {"place", "bin", "tub"} & set(slots) and len(view.scene.farm.places) == 1:
        slots["place"] = next(iter(view.scene.farm.places))
    if not {"place", "bin", "tub"} & set(slots):
        place = subjects.new_place(view)
        slots |= {"place": place} if place else {}
    return slots


def _placed(slots: dict[str, Any], view: View) -> dict[str, Any]:
    """Read "the tubs on the lamp shelf to the humid room" as those that stand there."""
    from_places = [
        t for t in view.groups("place") if t.value.sort == "place" and t.value.names[0] != slots.get("place")
    ]
    if slots.get("all") and from_places:
        there = [t.name for t in view.scene.farm.incubating() if t.place == from_places[0].value.names[0]]
        if there:
            slots = {"tubs": there, **{k: v for k, v in slots.items() if k != "all"}}
    return slots


_AFTER: Mapping[str, Callable[[dict[str, Any], View], dict[str, Any]]] = {
    "reading": _reading,
    "placed": _placed,
    "watered": asked.watered,
    "fed": asked.fed,
    "cleaned": asked.cleaned,
}
