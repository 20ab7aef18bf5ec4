"""The farm while it is being folded: the same records as in farm, in dictionaries that change.

Not for use outside this package: others see the frozen Farm that `Ledger.farm` gives.
"""

import datetime as dt
from collections.abc import Iterable
from typing import Any

from msgspec.structs import replace

from core.farm.farm import (
    AskedChore,
    Bin,
    Climate,
    CustomerOrder,
    Farm,
    Pause,
    Person,
    PersonalReminder,
    Place,
    Settings,
    Tub,
    number_in,
)
from core.farm.names import Names
from core.journal.event import Event

KEPT_ASKED = 200  # reminders that are remembered one by one; older ones are answered long since


class Ledger:
    """What is known so far, by name."""

    def __init__(self, names: Names) -> None:
        self.names = names
        self.name = "the farm"
        self.settings = Settings()
        self.people: dict[str, Person] = {}
        self.places: dict[str, Place] = {}
        self.bins: dict[str, Bin] = {}
        self.tubs: dict[str, Tub] = {}
        self.asked: dict[int, AskedChore] = {}
        self.pauses: tuple[Pause, ...] = ()
        self.reminders: tuple[PersonalReminder, ...] = ()
        self.orders: tuple[CustomerOrder, ...] = ()
        self.stock: tuple[str, ...] = ()
        self.cautioned: set[str] = set()
        self._newest_asked: dict[tuple[str, str | None, str | None], int] = {}  # by chore, bin, place
        self._highest = {"B": 0, "T": 0}  # numbers of bins and tubs
        self._incubating: dict[str, None] = {}
        self._readings: dict[tuple[str, str], list[Climate]] = {}

    def bin(self, name: str) -> Bin:
        """Give a bin, new where it is spoken of for the first time."""
        key, nickname = self.names.bin(name)
        found = self.bins.get(key)
        if found is None:
            found = self.bins[key] = Bin(name=key, nickname=nickname)
            self._highest["B"] = max(self._highest["B"], number_in(key, "B"))
        return found

    def set_bin(self, name: str, **changes: object) -> None:
        """Change a bin."""
        found = self.bin(name)
        self.bins[found.name] = replace(found, **changes)

    def tub(self, name: str, entry: Event) -> Tub:
        """Give a tub, new where it is spoken of for the first time."""
        key, nickname = self.names.tub(name)
        found = self.tubs.get(key)
        if found is None:
            found = Tub(name=key, nickname=nickname, known_since=entry.happened_at, told_at=entry.said_at)
            self.tubs[key] = found
            self._incubating[key] = None
            self._highest["T"] = max(self._highest["T"], number_in(key, "T"))
        return found

    def set_tub(self, tub: Tub, **changes: object) -> None:
        """Change a tub."""
        changed = self.tubs[tub.name] = replace(tub, **changes)
        if changed.is_incubating:
            self._incubating[tub.name] = None
        else:
            self._incubating.pop(tub.name, None)

    def next_tub(self) -> str:
        """Give the name that a tub without one gets."""
        return f"T{self._highest['T'] + 1}"

    def next_bin(self) -> str:
        """Give the name that a bin without one gets."""
        return f"B{self._highest['B'] + 1}"

    def place(self, name: str) -> Place:
        """Give a place, new where it is spoken of for the first time."""
        key = self.names.place(name)
        found = self.places.get(key)
        if found is None:
            found = self.places[key] = Place(name=key)
        return found

    def set_place(self, name: str, **changes: object) -> None:
        """Change a place."""
        found = self.place(name)
        self.places[found.name] = replace(found, **changes)

    def add_reading(self, kind: str, name: str, reading: Climate) -> None:
        """Keep a reading of a `place`, `bin` or `tub` that is known; they come in the order of time."""
        known = self._readings.get((kind, name))
        if known is None:
            owners: dict[str, dict[str, Any]] = {"place": self.places, "bin": self.bins, "tub": self.tubs}
            owner = owners[kind][name]
            known = self._readings[kind, name] = list(owner.readings)
        known.append(reading)

    def remember(self, asked: AskedChore) -> None:
        """Keep a reminder that went out; of the older ones beyond `KEPT_ASKED`, only the newest of its kind."""
        self.asked[asked.number] = asked
        self._newest_asked[asked.chore, asked.bin, asked.place] = asked.number
        if len(self.asked) > KEPT_ASKED:
            newest = set(self._newest_asked.values())
            stale = next((number for number in self.asked if number not in newest), None)
            if stale is not None:
                del self.asked[stale]

    def incubating(self) -> list[Tub]:
        """Give the tubs that eggs may still hatch in."""
        return [self.tubs[name] for name in self._incubating]

    def tubs_meant(self, entry: Event, tubs: Iterable[str], place: str | None, *, every: bool) -> list[Tub]:
        """Give the tubs that a message means by name, by place or by `all`."""
        named = [self.tub(name, entry) for name in tubs]
        if place is not None:
            where = self.place(place).name
            named += [tub for tub in self.incubating() if tub.place == where]
        return list({tub.name: tub for tub in named + (self.incubating() if every else [])}.values())

    def farm(self, *, last_said: tuple[Event, ...], known_since: dt.datetime | None, last_number: int) -> Farm:
        """Give the farm as a frozen record."""
        owners: dict[str, dict[str, Any]] = {"place": self.places, "bin": self.bins, "tub": self.tubs}
        for (kind, name), readings in self._readings.items():
            owners[kind][name] = replace(owners[kind][name], readings=tuple(readings))
        self._readings.clear()
        return Farm(
            name=self.name,
            settings=self.settings,
            people=dict(self.people),
            places=dict(self.places),
            bins=dict(self.bins),
            tubs=dict(self.tubs),
            asked=dict(self.asked),
            pauses=self.pauses,
            reminders=self.reminders,
            orders=self.orders,
            stock=self.stock,
            cautioned=frozenset(self.cautioned),
            aliases=self.names.others(),
            last_said=last_said,
            known_since=known_since,
            last_number=last_number,
        )
