"""What can be wrong with an event, and where.

Not for finding it: checks and count_checks do that.
"""

import datetime as dt
from enum import StrEnum

import msgspec


class Fault(StrEnum):
    """What cannot be so."""

    IN_FUTURE = "in_future"
    TEMPERATURE = "temperature"
    HUMIDITY = "humidity"
    LOW_ABOVE_HIGH = "low_above_high"
    NO_FIGURE = "no_figure"
    NUMBER = "number"
    NO_TRAY = "no_tray"
    BEFORE_TRAY = "before_tray"
    TRAY_ALREADY_IN = "tray_already_in"
    NO_SUCH_TUB = "no_such_tub"
    TUB_GONE = "tub_gone"
    TUB_TAKEN = "tub_taken"
    BEFORE_PULL = "before_pull"
    BAD_SETTING = "bad_setting"
    BAD_NAME = "bad_name"
    EMPTY_BIN = "empty_bin"
    TOO_MANY = "more_than_there"
    SAME_BIN = "same_bin"
    SHRUNK = "shrunk"
    DUE_PAST = "due_past"
    HELD = "held"
    NO_SUCH_PERSON = "no_such_person"
    LOOKS_ON = "looks_on"


class Finding(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that cannot be so, and what it is about."""

    fault: Fault
    subject: str | None = None  # a bin, a tub, a setting
    word: str | None = None  # a size, a day
    figure: float | None = None  # as the journal has it: C, percent, crickets
    at: dt.datetime | None = None
