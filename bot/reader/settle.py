"""Settles who is meant: from the words, from what was spoken of, and from the state of the farm.

Not for kinds: which subject a kind takes is frames' business.
"""

from collections.abc import Callable

from bot.reader.names import Group
from bot.reader.scene import Scene, View
from bot.reader.tokens import Token
from core.farm.farm import Farm
from core.journal import codec, facts

ALL = "all"
OF_A_PLACE = frozenset(("reading", "problem"))  # where "it" is mostly the weather of the place
Found = tuple[str, ...] | str | None  # names, ALL, or not settled


def settled(group: Group, scene: Scene, sort: str, *, place: str | None = None) -> Found:
    """Say which bins or tubs a chunk means."""
    return _HOW[group.how](group, scene, sort, place)


def everyone(farm: Farm, sort: str) -> tuple[str, ...]:
    """Give the names of all bins, or of all tubs that eggs are in."""
    return tuple(farm.bins) if sort == "bin" else tuple(t.name for t in farm.incubating())


def _named(group: Group, scene: Scene, sort: str, place: str | None) -> Found:
    return group.names


def _all(group: Group, scene: Scene, sort: str, place: str | None) -> Found:
    return ALL


def _except(group: Group, scene: Scene, sort: str, place: str | None) -> Found:
    letter = "B" if sort == "bin" else "T"
    but = {f"{letter}{n}" if n.isdigit() else n for n in group.names}
    but |= {tub for name in group.names if sort == "tub" for tub in tubs_in(scene.farm, name)}
    if not any(n[:1] == letter and n[1:].isdigit() for n in but):  # "everything except T5" is no word of bins
        return None
    there = tubs_in(scene.farm, place) if place is not None and sort == "tub" else everyone(scene.farm, sort)
    return tuple(n for n in there if n not in but) or None


def _rest(group: Group, scene: Scene, sort: str, place: str | None) -> Found:
    taken = scene.named.get(sort) or last_names(scene.farm, sort)
    return tuple(n for n in everyone(scene.farm, sort) if n not in taken) or None


def _both(group: Group, scene: Scene, sort: str, place: str | None) -> Found:
    several = [scene.spoken.get(sort, ()), last_names(scene.farm, sort)]
    if place is not None and sort == "tub":
        several.insert(0, tubs_in(scene.farm, place))
    several.append(everyone(scene.farm, sort))
    return next((names for names in several if len(names) == 2), None)


def _one(group: Group, scene: Scene, sort: str, place: str | None) -> Found:
    there = tubs_in(scene.farm, place) if place is not None and sort == "tub" else ()
    return there if group.count == len(there) > 1 else None  # "the two tubs in the heat closet"


def _the(group: Group, scene: Scene, sort: str, place: str | None) -> Found:
    spoken = scene.spoken.get(sort)
    if spoken:
        return spoken
    sole = everyone(scene.farm, sort)
    return sole if len(sole) == 1 and sort == "tub" else None


def _it(group: Group, scene: Scene, sort: str, place: str | None) -> Found:
    spoken = scene.spoken.get(sort)
    if spoken:
        return spoken
    return None if scene.named else (last_names(scene.farm, sort) or None)


_HOW: dict[str, Callable[[Group, Scene, str, str | None], Found]] = {
    "named": _named, "all": _all, "except": _except, "rest": _rest, "both": _both, "one": _one, "the": _the,
    "it": _it, "them": _it, "there": _it,
}  # fmt: skip


def tubs_in(farm: Farm, place: str) -> tuple[str, ...]:
    """Give the tubs with eggs that stand in a place."""
    return tuple(t.name for t in farm.incubating() if t.place == place)


def last_names(farm: Farm, sort: str) -> tuple[str, ...]:
    """Give the names that the last message was about."""
    out: list[str] = []
    for event in farm.last_said:
        slots = codec.slots_of(event.body)
        for slot in _SLOTS[sort]:
            if slot == "to" and not isinstance(event.body, facts.Moved):  # of a setting it is no bin
                continue
            value = slots.get(slot)
            out.extend(value if isinstance(value, list | tuple) else [value] if value else [])
        if sort == "tub" and isinstance(event.body, facts.TrayOut) and not event.body.tub:
            new = [t.name for t in farm.incubating() if t.bin == event.body.bin and t.pulled_at == event.happened_at]
            out.extend(new)
    return tuple(dict.fromkeys(out))


_SLOTS = {"bin": ("bin", "bins", "to"), "tub": ("tub", "tubs"), "place": ("place",)}


def _in_view(group: Group, view: View, sort: str, place: str | None) -> Found:
    """Settle a chunk in its act; "it's 86" of a thermometer does not point to an earlier message."""
    points = group.how in ("it", "them") or (group.how == "there" and sort == "place")
    if view.act.kind in OF_A_PLACE and points:
        return view.scene.spoken.get(sort)
    return settled(group, view.scene, sort, place=place)


def first(view: View, sort: str, *, prep: str = "") -> tuple[Token | None, Found]:
    """Settle the first chunk of a sort that can be settled; with its token."""
    place = place_of(view)
    unsettled: Token | None = None
    for token in sorted(view.groups(sort), key=lambda t: t.value.how != "named"):
        if prep and view.prep(token) not in prep.split("|"):
            continue
        found = _in_view(token.value, view, sort, place)
        if found:
            return token, found
        unsettled = unsettled or token
    return unsettled, None


def place_of(view: View, *, after: str = "") -> str | None:
    """Give the place that an act names; of several the last that a "to" leads to."""
    left_out = excepted(view)
    tokens = [t for t in view.tokens if isinstance(t.value, Group) and t.value.sort == "place" and t is not left_out]
    led = [t for t in tokens if after and view.prep(t) in after.split("|")]
    chosen = led[-1:] or [t for t in tokens if not (after and view.prep(t) == "from")][:1]
    if chosen and "<newplace>" in chosen[0].tags and view.book.writing.folds:
        return view.original(chosen).lower()  # the name keeps its accents
    return str(chosen[0].value.names[0]) if chosen else None


def excepted(view: View) -> Token | None:
    """Find what is left out of all: "gave all a good soak, except T8", "skipped T8", "all but those in the closet"."""
    for i, token in enumerate(view.tokens):
        if token.text in view.book.word_sets["except"] and "<all>" in view.act.clause.all_tags:
            named = (t for t in view.tokens[i + 1 : i + 4] if isinstance(t.value, Group) and t.value.how == "named")
            return next(named, None)
    return None


def _all_but(view: View, sort: str) -> Found:
    left_out = excepted(view)
    return ALL if left_out is None else _except(left_out.value, view.scene, sort, place_of(view))


def names_of(view: View, sort: str) -> Found:
    """Settle all chunks of a sort together: "T5 and the rest on the rack"."""
    place = place_of(view)
    out: list[str] = []
    groups = view.groups(sort)
    named = [t for t in groups if t.value.how not in ("it", "them", "there")]
    for token in named or groups:
        found = _in_view(token.value, view, sort, place)
        if found == ALL:
            return _all_but(view, sort)
        if found and (token.value.how == "named" or not out):
            out.extend(found)
    return tuple(dict.fromkeys(out)) or None
