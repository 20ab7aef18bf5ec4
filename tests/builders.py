"""Records with sane defaults, for tests to say only what they are about.

The farm is an invented one in America/Denver; `at("05-04 07:00")` is a time on its clocks in 2026.
"""

import datetime as dt
from zoneinfo import ZoneInfo

from core.farm.farm import AskedChore, Bin, Climate, Farm, Place, Readings, Settings, Tray, Tub, Tubs
from core.farm.fold import FarmFold
from core.journal import facts, wants
from core.journal.event import Event
from core.journal.kinds import Addable, Chore, Role, Setting
from core.rules.chores import ChoreDue

DENVER = "America/Denver"
LORD_HOWE = "Australia/Lord_Howe"


def at(text, zone=DENVER, *, fold=0):
    """A time on a farm's clocks, "05-04 07:00" or with a year before it; in UTC."""
    full = text if text.count("-") == 2 else f"2026-{text}"
    return dt.datetime.fromisoformat(full).replace(tzinfo=ZoneInfo(zone), fold=fold).astimezone(dt.UTC)


NOON = at("05-04 12:00")


def after(start=NOON, **span):
    return start + dt.timedelta(**span)


def an_event(body=None, number=1, happened_at=NOON, **fields):
    defaults = {"said_at": happened_at, "by": "Ines", "message": f"chat:{number}"}
    return Event(number=number, happened_at=happened_at, body=body or facts.Chirp(bin="B1"), **(defaults | fields))


def a_journal(*entries):
    """Events from 1 on; an entry is a body, or a body and when it happened."""
    pairs = [entry if isinstance(entry, tuple) else (entry, NOON) for entry in entries]
    return [an_event(body, number, happened_at) for number, (body, happened_at) in enumerate(pairs, start=1)]


def a_climate(happened_at=NOON, **figures):
    return Climate(at=happened_at, **(figures or {"temp_c": 30.0}))


def with_readings(fields):
    return fields | {"readings": Readings(fields.get("readings", ()))}


def a_tub(name="T1", pulled_at=NOON, **fields):
    place = fields.get("place")
    defaults = {
        "known_since": pulled_at,
        "told_at": pulled_at,
        "bin": "B1",
        "laid_for": dt.timedelta(hours=24),
        "placements": () if place is None else ((pulled_at, place),),
    }
    return Tub(name=name, pulled_at=pulled_at, **(defaults | with_readings(fields)))


def a_bin(name="B1", **fields):
    tray_in_at = fields.get("tray_in_at")
    defaults = {"tray": None if tray_in_at is None else Tray(put_in_at=tray_in_at)}
    return Bin(name=name, **(defaults | with_readings(fields)))


def a_place(name="lamp shelf", **fields):
    return Place(name=name, **with_readings(fields))


def an_asked(chore=Chore.WATER, number=1, due=NOON, **fields):
    defaults = {"at": due, "step": 0, "bin": None, "place": None, "tubs": ()}
    return AskedChore(number=number, chore=chore, due=due, **(defaults | fields))


def a_chore(chore=Chore.WATER, due=NOON, **fields):
    return ChoreDue(chore=chore, due=due, **({"ask_at": due} | fields))


def settings(zone=DENVER, **fields):
    return Settings(timezone=zone, **fields)


def a_farm(*things, **fields):
    """A farm of bins, tubs, places and reminders that went out."""
    mapped = {"bins": Bin, "tubs": Tub, "places": Place}
    held = {field: {t.name: t for t in things if isinstance(t, sort)} for field, sort in mapped.items()}
    asked = {t.number: t for t in things if isinstance(t, AskedChore)}
    held["tubs"] = Tubs(held["tubs"])
    return Farm(**({"settings": settings(), **held, "asked": asked} | fields))


class Notebook:
    """A farm's journal as it grows."""

    def __init__(self, zone=DENVER, start=NOON):
        self.now = start
        self._fold = FarmFold()
        self.write(wants.Set(what=Setting.TIMEZONE, to=zone), start)
        self.write(wants.Joined(name="Ines", role=Role.OWNER), start)

    @property
    def farm(self):
        return self._fold.farm

    @property
    def events(self):
        return self._fold.events

    def write(self, body, happened_at=None, *, said_at=None, by="Ines"):
        """Write down what happened, now or at a time; what is told of the past is said now."""
        happened_at = happened_at or self.now
        self.now = said_at = said_at or max(self.now, happened_at)
        number = self.farm.last_number + 1
        self._fold.add([an_event(body, number, happened_at, said_at=said_at, by=by)])
        return number

    def add_place(self, name="lamp shelf", **kind):
        return self.write(wants.Add(what=Addable.PLACE, name=name, **kind))
