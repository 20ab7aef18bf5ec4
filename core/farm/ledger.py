"""The farm while it is being folded: the same records as in farm, in dictionaries that change.

Not for use outside this package: others see the frozen Farm that `Ledger.farm` gives.
"""

import datetime as dt
from collections.abc import Iterable
from typing import TypeVar

from msgspec.structs import replace

from core.farm.farm import (
    KEPT_FOUND_DRY,
    KEPT_HATCHES,
    AskedChore,
    Bin,
    Climate,
    Farm,
    Pause,
    Person,
    Place,
    Tub,
    Tubs,
    number_in,
)
from core.farm.names import Names
from core.journal.event import Event

_Read = TypeVar("_Read", Place, Bin, Tub)
KEPT_ASKED = 200  # reminders that are remembered one by one; older ones are answered long since


class GrowingTubs:
    """The tubs of a farm while they change."""

    def __init__(self, known: Tubs) -> None:
        self._known = known
        self._changed: dict[str, Tub] = {}
        self._incubating = {tub.name: tub for tub in known.incubating}
        self._hatched = {tub.name: tub for tub in known.hatched}
        self._found_dry = {tub.name: tub for tub in known.found_dry}
        self._highest = known.highest

    def get(self, name: str) -> Tub | None:
        """Give a tub, where there is one."""
        return self._changed.get(name) or self._known.find(name)

    def put(self, tub: Tub, before: Tub | None = None) -> None:
        """Keep a tub that is new, or as it has become."""
        name = tub.name
        self._changed[name] = tub
        if tub.is_incubating:
            self._incubating[name] = tub
        else:
            self._incubating.pop(name, None)
        if before is None:
            self._highest = max(self._highest, number_in(name, "T"))
            return
        if tub.hatch_at is not None:
            _file(self._hatched, tub, KEPT_HATCHES, was_in=before.is_hatch_dated, is_in=tub.is_hatch_dated)
        if tub.found_dry:
            _file(self._found_dry, tub, KEPT_FOUND_DRY, was_in=bool(before.found_dry), is_in=True)

    def incubating(self) -> list[Tub]:
        """Give the tubs that eggs may still hatch in, in the order in which they came."""
        return list(self._incubating.values())

    @property
    def next_name(self) -> str:
        """The name that a tub without one gets."""
        return f"T{self._highest + 1}"

    def frozen(self) -> Tubs:
        """Give the tubs as they are now."""
        if self._changed:
            found = self._known.with_changes(self._changed)
            found.incubating = tuple(self._incubating.values())
            found.hatched = tuple(self._hatched.values())
            found.found_dry = tuple(self._found_dry.values())
            found.highest = self._highest
            self._known, self._changed = found, {}
        return self._known


def _file(among: dict[str, Tub], tub: Tub, most: int, *, was_in: bool, is_in: bool) -> None:
    """Keep a tub among the newest of some sort, or take it out; one that has made room for newer ones stays away."""
    if not is_in:
        among.pop(tub.name, None)
    elif not was_in or tub.name in among:
        among[tub.name] = tub
    if len(among) > most:
        del among[next(iter(among))]


class Ledger:
    """What is known so far, by name."""

    def __init__(self, names: Names, farm: Farm | None = None) -> None:
        """Go on from a farm, or begin a new one."""
        known = farm or Farm()
        self.names = names
        self.name = known.name
        self.settings = known.settings
        self.people: dict[str, Person] = dict(known.people)
        self.places: dict[str, Place] = dict(known.places)
        self.bins: dict[str, Bin] = dict(known.bins)
        self.tubs = GrowingTubs(known.tubs)
        self.asked: dict[int, AskedChore] = dict(known.asked)
        self.pauses: tuple[Pause, ...] = known.pauses
        self.reminders = known.reminders
        self.orders = known.orders
        self.plan = known.plan
        self.sales = known.sales
        self.stock: tuple[str, ...] = known.stock
        self.stores = known.stores
        self.tally = known.tally
        self.summed_at = known.summed_at
        self.cautioned: set[str] = set(known.cautioned)
        self._newest_asked = {(a.chore, a.bin, a.place, a.order): number for number, a in self.asked.items()}
        self._highest_bin = max((number_in(name, "B") for name in self.bins), default=0)
        self._readings: dict[tuple[str, str], list[Climate]] = {}  # those that are new

    def bin(self, name: str) -> Bin:
        """Give a bin, new where it is spoken of for the first time."""
        key, nickname = self.names.bin(name)
        found = self.bins.get(key)
        if found is None:
            found = self.bins[key] = Bin(name=key, nickname=nickname)
            self._highest_bin = max(self._highest_bin, number_in(key, "B"))
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
            self.tubs.put(found)
        return found

    def set_tub(self, tub: Tub, **changes: object) -> None:
        """Change a tub."""
        self.tubs.put(replace(tub, **changes), tub)

    def next_tub(self) -> str:
        """Give the name that a tub without one gets."""
        return self.tubs.next_name

    def next_bin(self) -> str:
        """Give the name that a bin without one gets."""
        return f"B{self._highest_bin + 1}"

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
        self._readings.setdefault((kind, name), []).append(reading)

    def remember(self, asked: AskedChore) -> None:
        """Keep a reminder that went out; of the older ones beyond `KEPT_ASKED`, only the newest of its kind."""
        self.asked[asked.number] = asked
        self._newest_asked[asked.chore, asked.bin, asked.place, asked.order] = asked.number
        if len(self.asked) > KEPT_ASKED:
            newest = set(self._newest_asked.values())
            stale = next((number for number in self.asked if number not in newest), None)
            if stale is not None:
                del self.asked[stale]

    def tubs_meant(self, entry: Event, tubs: Iterable[str], place: str | None, *, every: bool) -> list[Tub]:
        """Give the tubs that a message means by name, by place or by `all`."""
        named = [self.tub(name, entry) for name in tubs]
        if place is not None:
            where = self.place(place).name
            named += [tub for tub in self.tubs.incubating() if tub.place == where]
        return list({tub.name: tub for tub in named + (self.tubs.incubating() if every else [])}.values())

    def farm(self, *, last_said: tuple[Event, ...], known_since: dt.datetime | None, last_number: int) -> Farm:
        """Give the farm as a frozen record."""
        self._file_readings()
        return Farm(
            name=self.name,
            settings=self.settings,
            people=dict(self.people),
            places=dict(self.places),
            bins=dict(self.bins),
            tubs=self.tubs.frozen(),
            asked=dict(self.asked),
            pauses=self.pauses,
            reminders=self.reminders,
            orders=self.orders,
            plan=self.plan,
            sales=self.sales,
            stock=self.stock,
            stores=self.stores,
            tally=self.tally,
            summed_at=self.summed_at,
            cautioned=frozenset(self.cautioned),
            aliases=self.names.others(),
            last_said=last_said,
            known_since=known_since,
            last_number=last_number,
        )

    def _file_readings(self) -> None:
        """Give the new readings to what they were taken of."""
        for (kind, name), news in self._readings.items():
            if kind == "place":
                self.places[name] = _with_readings(self.places[name], news)
            elif kind == "bin":
                self.bins[name] = _with_readings(self.bins[name], news)
            elif (tub := self.tubs.get(name)) is not None:
                self.tubs.put(_with_readings(tub, news), tub)
        self._readings.clear()


def _with_readings(owner: _Read, news: list[Climate]) -> _Read:
    return replace(owner, readings=owner.readings.extended(news))
