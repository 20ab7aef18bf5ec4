"""The farm as it is known at one moment: bins, trays, tubs, places, people, settings.

Not for how it comes about (fold) nor for what the work asks for (core.rules).
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from typing import Self

import msgspec

from core.farm.cohorts import Cohort, Harvest
from core.farm.orders import Orders
from core.farm.series import Layers, Series
from core.farm.stores import Stores
from core.farm.tally import Tally
from core.journal.event import Event
from core.journal.kinds import Chore, Density, Holds, MoldLevel, Role, Weekday
from core.units import SizeGrade, TemperatureUnit

DEFAULT_WATER_TIMES = (dt.time(7), dt.time(18))
DEFAULT_QUIET_HOURS = (dt.time(21), dt.time(7))
DEFAULT_LAY_HOURS = 24.0  # common practice, no source
KEPT_HATCHES = 100  # tubs that hatched and are at hand to learn from; older ones were under other habits
KEPT_FOUND_DRY = 200  # tubs that were found dry and are at hand to learn from


class Settings(msgspec.Struct, frozen=True, kw_only=True):
    """What a farm has chosen for itself."""

    units: TemperatureUnit = TemperatureUnit.FAHRENHEIT
    timezone: str = "UTC"  # an IANA name, or UTC+05:30
    water_times: tuple[dt.time, ...] = DEFAULT_WATER_TIMES
    water_times_told_at: dt.datetime | None = None  # when they were chosen; None: nobody has
    quiet_hours: tuple[dt.time, dt.time] | None = DEFAULT_QUIET_HOURS  # from, until
    lay_hours: float = DEFAULT_LAY_HOURS
    language: str | None = None  # in which it is answered where a person has none of their own; None: nobody said
    currency: str = "USD"
    summary_day: Weekday | None = Weekday.MON  # on whose morning the week is told of; None: on none
    is_set_up: bool = False  # somebody said where the farm is


class Climate(msgspec.Struct, frozen=True, kw_only=True):
    """One reading of a thermometer or hygrometer."""

    at: dt.datetime
    temp_c: float | None = None
    low_c: float | None = None
    high_c: float | None = None
    rh: float | None = None  # percent


class Readings(Series[Climate]):
    """The readings of a place, bin or tub, by time; those that tell of warmth, and of humidity, are found at once."""

    __slots__ = ("humid", "warm")

    def __init__(self, items: Iterable[Climate] = ()) -> None:
        found = tuple(items)
        super().__init__(found)
        self.warm = Series(r for r in found if _may_tell_warmth(r))
        self.humid = Series(r for r in found if r.rh is not None)

    def extended(self, items: Iterable[Climate]) -> Self:
        """Give the readings with later ones."""
        more = tuple(items)
        found = super().extended(more)
        found.warm = self.warm.extended(r for r in more if _may_tell_warmth(r))
        found.humid = self.humid.extended(r for r in more if r.rh is not None)
        return found


def _may_tell_warmth(reading: Climate) -> bool:
    return reading.temp_c is not None or (reading.low_c is not None and reading.high_c is not None)


class Place(msgspec.Struct, frozen=True, kw_only=True):
    """Somewhere that tubs stand."""

    name: str
    lamp: bool | None = None  # None: nobody said
    humidifier: bool | None = None
    readings: Readings = Readings()


class Tray(msgspec.Struct, frozen=True, kw_only=True):
    """A lay tray in a bin."""

    put_in_at: dt.datetime
    container: str | None = None
    substrate: str | None = None


class Bin(msgspec.Struct, frozen=True, kw_only=True):
    """A bin of crickets."""

    name: str  # B1
    nickname: str | None = None
    holds: Holds = Holds.NOTHING
    cohorts: tuple[Cohort, ...] = ()
    in_hand: tuple[Harvest, ...] = ()  # taken out and not sold yet, by time
    count: int | None = None  # about how many by the book, where it was said
    lost: int = 0  # of those in the book, all that were ever found dead in it
    sold: int = 0  # that were ever sold out of it
    discarded: int = 0  # that were ever thrown away
    size: SizeGrade | None = None
    sizes: tuple[tuple[dt.datetime, SizeGrade], ...] = ()  # seen, by time; ADULT: the first with wings
    from_tubs: tuple[str, ...] = ()
    hatched_at: dt.datetime | None = None
    chirped_at: dt.datetime | None = None
    tray: Tray | None = None  # None: no tray in it now
    tray_in_at: dt.datetime | None = None  # when the last tray went in, whether it is out again or not
    tray_out_at: dt.datetime | None = None  # when the last tray came out
    became: str | None = None  # the tub that the last tray became
    readings: Readings = Readings()
    watered_at: dt.datetime | None = None
    fed_at: dt.datetime | None = None
    cleaned_at: dt.datetime | None = None
    held_since: dt.datetime | None = None  # a disease is suspected: nothing moves in or out; None: all is well
    emptied_at: dt.datetime | None = None  # nothing was left in it then; None: something came in since, or nobody said


class Tub(msgspec.Struct, frozen=True, kw_only=True):
    """A tub of eggs, out of the bin."""

    name: str  # T1
    known_since: dt.datetime  # when it is first spoken of
    told_at: dt.datetime  # when the assistant last heard where and how it stands
    bin: str | None = None  # where it was laid
    pulled_at: dt.datetime | None = None  # None: nobody said
    laid_for: dt.timedelta | None = None  # how long the tray was in the bin
    nickname: str | None = None
    place: str | None = None
    placements: tuple[tuple[dt.datetime, str], ...] = ()  # by time
    is_covered: bool = False
    covers: tuple[tuple[dt.datetime, bool], ...] = ()  # when it was covered and uncovered, by time
    density: Density | None = None
    readings: Readings = Readings()
    watered_at: dt.datetime | None = None
    checked_at: dt.datetime | None = None  # somebody looked for mold, or said what was found
    hatch_checked_at: dt.datetime | None = None
    dry_at: dt.datetime | None = None
    found_dry: tuple[tuple[dt.datetime, dt.datetime], ...] = ()  # when, and when it was last watered, or pulled, before
    mold_at: dt.datetime | None = None  # seen and not taken out since
    mold_level: MoldLevel | None = None
    hatch_at: dt.datetime | None = None  # first pinheads seen
    hatch_count: int | None = None
    hatch_done_at: dt.datetime | None = None
    emptied_at: dt.datetime | None = None  # thrown out

    @property
    def is_incubating(self) -> bool:
        """Say whether eggs in it may still hatch."""
        return self.hatch_done_at is None and self.emptied_at is None

    @property
    def is_hatch_dated(self) -> bool:
        """Say whether it is known when it was pulled and when its first pinheads were seen.

        Where a hatch was told of only when it was over, nobody knows when it began.
        """
        return self.pulled_at is not None and self.hatch_at is not None and self.hatch_at != self.hatch_done_at


class Tubs(Layers[Tub]):
    """All tubs by name. Those that the work is about are found at once, however many there have been."""

    __slots__ = ("found_dry", "hatched", "highest", "incubating")

    def __init__(self, known: Mapping[str, Tub] | None = None) -> None:
        super().__init__(known)
        tubs = tuple((known or {}).values())
        self.incubating = tuple(t for t in tubs if t.is_incubating)
        self.hatched = tuple(t for t in tubs if t.is_hatch_dated)[-KEPT_HATCHES:]  # by when that was known
        self.found_dry = tuple(t for t in tubs if t.found_dry)[-KEPT_FOUND_DRY:]  # by when the first time was
        self.highest = max((number_in(t.name, "T") for t in tubs), default=0)  # number of a tub


class Absence(msgspec.Struct, frozen=True, kw_only=True):
    """A time in which a person does no chores."""

    start: dt.datetime
    until: dt.datetime | None  # None: until they say that they are back


class Person(msgspec.Struct, frozen=True, kw_only=True):
    """Someone of the farm."""

    name: str
    role: Role
    language: str | None = None  # that they chose to be answered in; None: they have not chosen
    days: frozenset[Weekday] = frozenset()  # whose chores they have taken on
    off: frozenset[Weekday] = frozenset()  # on which they never do any
    away: Absence | None = None  # the last that was told


class AskedChore(msgspec.Struct, frozen=True, kw_only=True):
    """A reminder that went out, and what became of it."""

    number: int  # of its event
    at: dt.datetime
    chore: Chore
    due: dt.datetime
    step: int
    bin: str | None
    place: str | None
    tubs: tuple[str, ...]
    bins: tuple[str, ...] = ()  # of a round of several bins
    order: int | None = None  # that it is about
    ended_at: dt.datetime | None = None  # done or skipped
    ended_by: str | None = None
    is_skipped: bool = False
    snoozed_until: dt.datetime | None = None


class PersonalReminder(msgspec.Struct, frozen=True, kw_only=True):
    """A reminder in a person's own words."""

    number: int
    text: str
    when: dt.datetime
    every: str | None
    by: str


class Pause(msgspec.Struct, frozen=True, kw_only=True):
    """Reminders that are stopped: of one chore, or all."""

    chore: Chore | None
    until: dt.datetime | None


class TrayPlan(msgspec.Struct, frozen=True, kw_only=True):
    """The trays that a farm has made up its mind to set."""

    number: int  # of its event
    days: Mapping[str, tuple[dt.date, ...]] = {}  # by bin, in order
    count: int | None = None  # what it is for; None: the orders
    size: SizeGrade | None = None
    every: str | None = None


class Sale(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets sold."""

    number: int  # of its event
    at: dt.datetime
    who: str | None
    count: int | None
    size: SizeGrade | None
    bin: str | None
    price: float | None  # in all, in the farm's currency
    tubs: tuple[str, ...]  # that the crickets hatched in, as far as is known


class Farm(msgspec.Struct, frozen=True, kw_only=True):
    """All that is known of a farm. Mappings are by name, in the order of appearance; never change them in place."""

    name: str = "the farm"
    settings: Settings = Settings()
    people: Mapping[str, Person] = {}
    places: Mapping[str, Place] = {}
    bins: Mapping[str, Bin] = {}
    tubs: Tubs = Tubs()
    asked: Mapping[int, AskedChore] = {}  # by event number; those of the last days
    pauses: tuple[Pause, ...] = ()
    reminders: Series[PersonalReminder] = Series()
    orders: Orders = Orders()
    plan: TrayPlan | None = None  # None: there is none
    sales: Series[Sale] = Series()
    stock: tuple[str, ...] = ()  # items that the farm has bought, in its own words
    stores: Stores = Stores()
    tally: Tally = Tally()
    summed_at: dt.datetime | None = None  # when the last summary of a week was due
    cautioned: frozenset[str] = frozenset()
    aliases: Mapping[str, str] = {}  # nicknames and earlier names, to the key of the bin, tub or place
    last_said: tuple[Event, ...] = ()  # the events of the last message of a person that are in force
    known_since: dt.datetime | None = None  # when the first event was said
    last_number: int = 0  # of the journal

    def incubating(self) -> Iterator[Tub]:
        """Give the tubs that eggs may still hatch in."""
        return iter(self.tubs.incubating)

    def bins_with_tray(self) -> tuple[Bin, ...]:
        """Give the bins that have a lay tray in them."""
        return tuple(b for b in self.bins.values() if b.tray is not None)

    @property
    def last_asked(self) -> AskedChore | None:
        """The reminder that went out last."""
        return max(self.asked.values(), key=lambda a: (a.at, a.number), default=None)

    @property
    def next_tub(self) -> str:
        """The name that the next tub gets."""
        return f"T{self.tubs.highest + 1}"

    @property
    def next_bin(self) -> str:
        """The name that the next bin gets."""
        return f"B{max((number_in(name, 'B') for name in self.bins), default=0) + 1}"


def number_in(name: str, letter: str) -> int:
    """Give the number of a name such as T12; 0 for any other name."""
    return int(name[1:]) if name[:1] == letter and name[1:].isdecimal() else 0
