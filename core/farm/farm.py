"""The farm as it is known at one moment: bins, trays, tubs, places, people, settings.

Not for how it comes about (fold) nor for what the work asks for (core.rules).
"""

import datetime as dt
from collections.abc import Iterator, Mapping

import msgspec

from core.journal.event import Event
from core.journal.kinds import Chore, Density, Holds, MoldLevel, Role
from core.units import SizeGrade, TemperatureUnit

DEFAULT_WATER_TIMES = (dt.time(7), dt.time(18))
DEFAULT_QUIET_HOURS = (dt.time(21), dt.time(7))
DEFAULT_LAY_HOURS = 24.0  # common practice, no source


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
    is_set_up: bool = False  # somebody said where the farm is


class Climate(msgspec.Struct, frozen=True, kw_only=True):
    """One reading of a thermometer or hygrometer."""

    at: dt.datetime
    temp_c: float | None = None
    low_c: float | None = None
    high_c: float | None = None
    rh: float | None = None  # percent


class Place(msgspec.Struct, frozen=True, kw_only=True):
    """Somewhere that tubs stand."""

    name: str
    lamp: bool | None = None  # None: nobody said
    humidifier: bool | None = None
    readings: tuple[Climate, ...] = ()  # by time


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
    count: int | None = None  # about how many, where it was said
    size: SizeGrade | None = None
    sizes: tuple[tuple[dt.datetime, SizeGrade], ...] = ()  # seen, by time; ADULT: the first with wings
    from_tubs: tuple[str, ...] = ()
    hatched_at: dt.datetime | None = None
    chirped_at: dt.datetime | None = None
    tray: Tray | None = None  # None: no tray in it now
    tray_in_at: dt.datetime | None = None  # when the last tray went in, whether it is out again or not
    tray_out_at: dt.datetime | None = None  # when the last tray came out
    readings: tuple[Climate, ...] = ()
    watered_at: dt.datetime | None = None
    fed_at: dt.datetime | None = None
    cleaned_at: dt.datetime | None = None


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
    readings: tuple[Climate, ...] = ()
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


class Person(msgspec.Struct, frozen=True, kw_only=True):
    """Someone of the farm."""

    name: str
    role: Role
    language: str | None = None  # that they chose to be answered in; None: they have not chosen


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


class CustomerOrder(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets promised."""

    number: int
    who: str | None
    count: int
    size: SizeGrade
    due: dt.date
    every: str | None


class Farm(msgspec.Struct, frozen=True, kw_only=True):
    """All that is known of a farm. Mappings are by name, in the order of appearance; never change them in place."""

    name: str = "the farm"
    settings: Settings = Settings()
    people: Mapping[str, Person] = {}
    places: Mapping[str, Place] = {}
    bins: Mapping[str, Bin] = {}
    tubs: Mapping[str, Tub] = {}
    asked: Mapping[int, AskedChore] = {}  # by event number; those of the last days
    pauses: tuple[Pause, ...] = ()
    reminders: tuple[PersonalReminder, ...] = ()
    orders: tuple[CustomerOrder, ...] = ()
    stock: tuple[str, ...] = ()  # items that the farm has bought, in its own words
    cautioned: frozenset[str] = frozenset()
    aliases: Mapping[str, str] = {}  # nicknames and earlier names, to the key of the bin, tub or place
    last_said: tuple[Event, ...] = ()  # the events of the last message of a person that are in force
    known_since: dt.datetime | None = None  # when the first event was said
    last_number: int = 0  # of the journal

    def incubating(self) -> Iterator[Tub]:
        """Give the tubs that eggs may still hatch in."""
        return (tub for tub in self.tubs.values() if tub.is_incubating)

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
        return next_name("T", self.tubs)

    @property
    def next_bin(self) -> str:
        """The name that the next bin gets."""
        return next_name("B", self.bins)


def next_name(letter: str, taken: Mapping[str, object]) -> str:
    """Give the name with the next number: T1, T2, ..."""
    return f"{letter}{max((number_in(name, letter) for name in taken), default=0) + 1}"


def number_in(name: str, letter: str) -> int:
    """Give the number of a name such as T12; 0 for any other name."""
    return int(name[1:]) if name[:1] == letter and name[1:].isdecimal() else 0
