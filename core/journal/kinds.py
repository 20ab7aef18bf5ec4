"""The words that the journal's records choose from: kinds, chores, densities and the like.

Not for the records themselves: those are in facts, wants and notices.
"""

from enum import StrEnum


class Chore(StrEnum):
    """A piece of work that the rules ask for."""

    TRAY_IN = "tray_in"  # look in on a chirping bin, then set a lay tray
    PULL_TRAY = "pull_tray"
    WATER = "water"
    MOLD_CHECK = "mold_check"
    HATCH_CHECK = "hatch_check"
    FEED = "feed"
    BIN_WATER = "bin_water"  # for the crickets, not for the eggs
    SIZE_CHECK = "size_check"
    CLEAN = "clean"
    SPLIT = "split"  # before a bin is crowded
    FIRST_CHIRP = "first_chirp"  # adults are due: listen
    BUY_FEED = "buy_feed"
    BREEDERS = "breeders"  # no bin will be laying in six weeks
    AGE_OUT = "age_out"  # the good laying of a bin is over
    ORDER_SHORT = "order_short"  # an order can hardly be met any more
    PICK = "pick"  # crickets for the orders of a day


class Density(StrEnum):
    """Eggs seen in a pulled tray."""

    NONE = "none"
    FEW = "few"
    SOME = "some"
    MANY = "many"


class MoldLevel(StrEnum):
    """How much mold was seen."""

    TRACE = "trace"
    SOME = "some"
    HEAVY = "heavy"


class HatchStage(StrEnum):
    """How far a hatch is, where it was said."""

    STARTED = "started"
    DONE = "done"


class Trouble(StrEnum):
    """What is wrong, in a `problem`."""

    FRUIT_FLIES = "fruit_flies"
    MITES = "mites"
    ANTS = "ants"
    SPIDERS = "spiders"
    DIE_OFF = "die_off"
    SMELL = "smell"
    ESCAPE = "escape"
    FIGHTING = "fighting"
    SLOW = "slow"
    SICK = "sick"
    HEAT_LOST = "heat_lost"
    TOO_HOT = "too_hot"
    OTHER = "other"


class Addable(StrEnum):
    """What `add` can add to a farm."""

    BIN = "bin"
    PLACE = "place"
    TUB = "tub"


class Setting(StrEnum):
    """What `set` can set; the value is text in the form that the comment shows."""

    NAME = "name"  # Ocotillo Flats
    UNITS = "units"  # F or C
    TIMEZONE = "timezone"  # America/Denver
    WATER_TIMES = "water_times"  # 07:00,18:00
    QUIET_HOURS = "quiet_hours"  # 21:00-07:00
    LAY_HOURS = "lay_hours"  # 24
    LANGUAGE = "language"  # en; of the person who says it
    SUMMARY = "summary"  # mon, or off


class Role(StrEnum):
    """What a person may do on a farm."""

    OWNER = "owner"
    HAND = "hand"
    LOOKER_ON = "looker-on"


class Weekday(StrEnum):
    """A day of the week, Monday first."""

    MON = "mon"
    TUE = "tue"
    WED = "wed"
    THU = "thu"
    FRI = "fri"
    SAT = "sat"
    SUN = "sun"


class Holds(StrEnum):
    """What lives in a bin."""

    NOTHING = "nothing"
    PINHEADS = "pinheads"
    NYMPHS = "nymphs"
    ADULTS = "adults"
