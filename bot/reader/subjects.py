"""Fills the slots that name bins, tubs and places.

Not for settling who a word means: settle does that.
"""

from bot.reader import settle
from bot.reader.names import Group
from bot.reader.scene import View
from bot.reader.settle import ALL
from bot.reader.tokens import NUMBER, WORD, Token

_TO = "to|in"
MOST_PLACE_WORDS = 4


def one_bin(view: View) -> str | None:
    """Fill `bin`."""
    return _one(view, "bin")


def held_bin(view: View) -> str | None:
    """Fill the `bin` that is all clear: the one named, else the only one that is held back."""
    held = [house.name for house in view.scene.farm.bins.values() if house.held_since is not None]
    return one_bin(view) or (held[0] if len(held) == 1 and not view.groups("bin") else None)


def one_tub(view: View) -> str | None:
    """Fill `tub`."""
    return _one(view, "tub")


def _one(view: View, sort: str) -> str | None:
    _, found = settle.first(view, sort)
    if found == ALL:
        return None
    if found is None and _is_bare(view):
        found = _led_number(view, sort) or view.scene.spoken.get(sort)
    return found[0] if found else None


def _led_number(view: View, sort: str) -> tuple[str, ...]:
    """Read "tray in 3", "chirping in 5": a bare number behind a small word, where the kind is one of bins."""
    if sort != "bin" or view.act.kind not in view.book.word_sets["in_numbers"]:
        return ()
    known = view.scene.farm.bins
    led = [t for t in view.numbers() if view.prep(t) or _is_signed(view, t)]
    return tuple(f"B{t.value}" for t in led if f"B{t.value}" in known)[:1]


def _is_signed(view: View, number: Token) -> bool:
    before = view.before(number)
    return before is not None and "@numbersign" in before.tags


def _is_bare(view: View) -> bool:
    """Say whether no subject is named, so that the one spoken of before is meant."""
    return not any(isinstance(t.value, Group) for t in view.tokens)


def tray_bin(view: View) -> str | None:
    """Fill the bin of a pulled tray: as said, or the one that has a tray in it."""
    said, with_tray = _one(view, "bin"), view.scene.farm.bins_with_tray()
    is_named = any(t.value.how == "named" for t in view.groups("bin"))
    if is_named or len(with_tray) != 1:
        return said
    return with_tray[0].name


def named_tub(view: View) -> str | None:
    """Fill the tub of a pulled tray: only where it is named."""
    named = [str(t.value.names[0]) for t in view.groups("tub") if t.value.how == "named"]
    is_told = any(
        t.value.how == "named" for t in view.act.extras if isinstance(t.value, Group) and t.value.sort == "tub"
    )
    return next((n for n in named if not (is_told and n in view.scene.farm.tubs)), None)


def into_bin(view: View) -> str | None:
    """Fill the bin that pinheads or crickets went into."""
    return _led(view, "to") or _one(view, "bin")


def from_bin(view: View) -> str | None:
    """Fill the bin that crickets came out of."""
    found = _led(view, "from")
    if found:
        return found
    loose = [t for t in view.groups("bin") if view.prep(t) == "" and t.value.how == "named"]
    return str(loose[0].value.names[0]) if loose else None


def to_bin(view: View) -> str | None:
    """Fill the bin that crickets went to."""
    return _led(view, "to")


def _led(view: View, prep: str) -> str | None:
    _, found = settle.first(view, "bin", prep=_TO if prep == "to" else prep)
    return found[0] if found and found != ALL else None


def said_bin(view: View) -> str | None:
    """Fill the bin of a sale: only where it is named."""
    return _one(view, "bin") if view.groups("bin") else None


def tubs(view: View) -> list[str] | None:
    """Fill `tubs`."""
    return _several(view, "tub")


def bins(view: View) -> list[str] | None:
    """Fill `bins`."""
    return _several(view, "bin")


def _several(view: View, sort: str) -> list[str] | None:
    found = _bare_numbers(view, sort) or settle.names_of(view, sort)
    if found is None and (_is_bare(view) or (view.act.kind == "stocked" and not view.groups(sort))):
        found = view.scene.spoken.get(sort) or _last_if_it_goes_on(view, sort)
    place_of_all = settle.place_of(view) if found == ALL and view.act.kind == "dry" else None
    if place_of_all is not None:
        found = settle.tubs_in(view.scene.farm, place_of_all)
    return list(found) if found and found != ALL else None


def _last_if_it_goes_on(view: View, sort: str) -> tuple[str, ...] | None:
    """Give the names of the last message where the act only makes sense after it: "removed", after mold."""
    goes_on = bool(view.act.reading.row.after) and not view.scene.named
    return settle.last_names(view.scene.farm, sort) if goes_on else None


def _bare_numbers(view: View, sort: str) -> tuple[str, ...]:
    """Read "watered 10 and 11" where the farm has just these."""
    pointed = all(t.value.how in ("it", "them", "there") for t in view.tokens if isinstance(t.value, Group))
    if view.act.kind not in _OF_NUMBERS or not pointed:
        return ()
    if (sort == "bin") != (view.act.kind in _OF_BINS):
        return ()
    return numbered(view, sort)


def numbered(view: View, sort: str) -> tuple[str, ...]:
    """Give the bins or tubs that have the bare numbers of an act; none where one of them is no such number."""
    known, letter = (view.scene.farm.bins, "B") if sort == "bin" else (view.scene.farm.tubs, "T")
    names = tuple(f"{letter}{t.value}" for t in view.numbers())
    return names if all(name in known for name in names) else ()


_OF_BINS = frozenset(("fed", "cleaned"))
_OF_NUMBERS = frozenset(("watered", "dry", "placed", "fed", "cleaned", "mold", "covered"))


def all_of(view: View) -> bool | None:
    """Fill `all`."""
    return True if view.chunks("<all>") and settle.excepted(view) is None else None


def place(view: View) -> str | None:
    """Fill `place` with a place of the farm."""
    return settle.place_of(view)


def goal(view: View) -> str | None:
    """Fill the place that tubs went to; a place that the farm does not know yet by its words."""
    return settle.place_of(view, after=_TO) or new_place(view)


def spoken_place(view: View) -> str | None:
    """Fill the place of a reading: as said, or as spoken of before."""
    found = settle.place_of(view)
    if found is not None:
        return found
    spoken = view.scene.spoken.get("place")
    return spoken[0] if spoken else None


def new_place(view: View) -> str | None:
    """Read the words behind "on" or "in" as a place that is not known yet."""
    preps = view.book.data["preps"]
    vague = view.book.word_sets["places"]
    for i, token in enumerate(view.tokens):
        if token.kind != WORD or preps.get(token.text) not in ("in", "to"):
            continue
        run: list[Token] = []
        for following in view.tokens[i + 1 : i + 1 + MOST_PLACE_WORDS]:
            is_number = following.kind == NUMBER and bool(run) and following.value < 100
            if not is_number and (following.kind != WORD or following.text in preps or _is_end(view, following.text)):
                break
            run.append(following)
        words = {t.text for t in run}
        if run and not words & vague and not any(t.tags & _NO_PLACE for t in run):
            return view.original(run)
    return None


_NO_PLACE = frozenset(
    ("@tray", "@lid", "@bin", "@tub", "@pinheads", "@substrate", "@weekday", "@eggs", "@put", "@water")
)


def _is_end(view: View, word: str) -> bool:
    return word in view.book.word_sets["joints"] or word in view.book.word_sets["ends_place"]


def speak(view: View) -> None:
    """Note what an act speaks of, for "it" in what follows."""
    sorts = ("tub", "bin", "place") if view.act.kind == "stocked" else ("bin", "tub", "place")  # "in there": the bin
    for sort in sorts:
        groups = [t.value for t in view.tokens if isinstance(t.value, Group) and t.value.sort == sort]
        names = tuple(name for group in groups if group.how == "named" for name in group.names)
        if names:
            view.scene.speak(sort, names)
