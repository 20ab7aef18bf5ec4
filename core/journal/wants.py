"""What people want of the assistant, one frozen record a kind, as orders given.

Not for questions: those record nothing and are bot.ports.intents' business.
"""

import datetime as dt
from typing import Any, ClassVar

import msgspec

from core.journal.kinds import Addable, Chore, Role, Setting, Weekday
from core.journal.record import Moment, Record
from core.units import SizeGrade


class Order(Record, frozen=True, kw_only=True, tag="order"):
    """Someone ordered crickets."""

    who: str | None = None
    count: int
    size: SizeGrade
    due: dt.date
    every: str | None = None  # week, 2 weeks, month


class Plan(Record, frozen=True, kw_only=True, tag="plan"):
    """Trays that are to go into bins, a day each; a plan takes the place of the one before it."""

    bins: tuple[str, ...] = ()
    days: tuple[dt.date, ...] = ()  # one a bin, in the same order
    count: int | None = None  # what it is for; absent: the orders
    size: SizeGrade | None = None
    every: str | None = None


class Cancel(Record, frozen=True, kw_only=True, tag="cancel"):
    """An order is called off, or one day of an order that comes again."""

    order: int = 0  # number of its event
    who: str | None = None
    day: dt.date | None = None  # None: all of it


class Remind(Record, frozen=True, kw_only=True, tag="remind"):
    """A reminder of the person's own."""

    text: str
    when: Moment
    every: str | None = None  # day, week, ...


class Add(Record, frozen=True, kw_only=True, tag="add"):
    """A new bin, place or tub of the farm."""

    what: Addable
    name: str | None = None  # absent: the fold gives the next number
    lamp: bool | None = None
    humidifier: bool | None = None


class Rename(Record, frozen=True, kw_only=True, tag="rename"):
    """A bin, place or tub gets another name."""

    old: str
    new: str


class Set(Record, frozen=True, kw_only=True, tag="set"):
    """A setting of the farm, or of the person who says it."""

    what: Setting
    to: str


class Pause(Record, frozen=True, kw_only=True, tag="pause"):
    """Reminders stop: about one chore, or all."""

    what: Chore | None = None
    until: Moment | None = None


class Resume(Record, frozen=True, kw_only=True, tag="resume"):
    """Reminders go on: about one chore, or all."""

    what: Chore | None = None


class Done(Record, frozen=True, kw_only=True, tag="done"):
    """A chore was done. `of` are the numbers of the asked events that it ends."""

    chore: Chore
    of: tuple[int, ...] = ()


class Skip(Record, frozen=True, kw_only=True, tag="skip"):
    """A chore is left out this time. `of` as in Done."""

    chore: Chore
    of: tuple[int, ...] = ()


class Snooze(Record, frozen=True, kw_only=True, tag="snooze"):
    """The last reminder again later. `of` as in Done."""

    minutes: int | None = None
    until: Moment | None = None
    of: tuple[int, ...] = ()


class Undo(Record, frozen=True, kw_only=True, tag="undo"):
    """Take back the events with these numbers; an undo among them comes back into force."""

    of: tuple[int, ...] = ()


class Fix(Record, frozen=True, kw_only=True, tag="fix"):
    """Put slots of an earlier event right. `at` moves it in time."""

    ANY_OF: ClassVar = (("slots", ("slots", "at")),)
    of: int = 0  # the event's number
    slots: dict[str, Any] = msgspec.field(default_factory=dict)  # in the JSON form of that event's record
    at: Moment | None = None


class Joined(Record, frozen=True, kw_only=True, tag="joined"):
    """A person came to the farm, or got another role."""

    name: str
    role: Role


class Left(Record, frozen=True, kw_only=True, tag="left"):
    """A person left the farm."""

    name: str


class Duty(Record, frozen=True, kw_only=True, tag="duty"):
    """A person does the chores of these days of the week (`on`), or never does them."""

    name: str
    days: tuple[Weekday, ...]
    on: bool = True


class Away(Record, frozen=True, kw_only=True, tag="away"):
    """A person is away and does no chores (`on`), or is back."""

    name: str
    start: Moment | None = None  # absent: from now on
    until: Moment | None = None  # absent: until they are back
    on: bool = True


Want = (
    Order
    | Plan
    | Cancel
    | Remind
    | Add
    | Rename
    | Set
    | Pause
    | Resume
    | Done
    | Skip
    | Snooze
    | Undo
    | Fix
    | Joined
    | Left
    | Duty
    | Away
)
