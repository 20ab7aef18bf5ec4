"""What happened on the farm, one frozen record a kind, in the farmer's words.

Names are the farm's own: bins `B1`, tubs `T1`, places and people as they are called.
Temperatures in degrees Celsius, humidity in percent, masses in grams, volumes in millilitres.
Not for what people want (wants) nor for what the assistant did (notices).
"""

from typing import ClassVar

import msgspec

from core.journal.kinds import Density, HatchStage, MoldLevel, Trouble
from core.journal.record import Record
from core.units import SizeGrade

Names = tuple[str, ...]


class Chirp(Record, frozen=True, kw_only=True, tag="chirp"):
    """First chirping heard in a bin."""

    bin: str


class TrayIn(Record, frozen=True, kw_only=True, tag="tray_in"):
    """A lay tray was put into a bin."""

    bin: str
    container: str | None = None  # the grower's words: "salad tub"
    substrate: str | None = None  # peat, coir, soil, sand, vermiculite, or the grower's words


class TrayOut(Record, frozen=True, kw_only=True, tag="tray_out"):
    """The tray was pulled; it is a tub of eggs from now on."""

    bin: str
    tub: str | None = None  # only where the message names it; the fold numbers it otherwise
    place: str | None = None
    cover: bool | None = None
    density: Density | None = None


class Placed(Record, frozen=True, kw_only=True, tag="placed"):
    """Tubs were set in, or moved to, a place."""

    ANY_OF: ClassVar = (("tubs", ("tubs", "all")),)
    place: str
    tubs: Names = ()
    all: bool = False


class Covered(Record, frozen=True, kw_only=True, tag="covered"):
    """A cover went on tubs (`on`), or came off."""

    ANY_OF: ClassVar = (("tubs", ("tubs", "place", "all")),)
    on: bool = msgspec.field()
    tubs: Names = ()
    place: str | None = None
    all: bool = False


class Reading(Record, frozen=True, kw_only=True, tag="reading"):
    """A thermometer or hygrometer reading: at least one figure."""

    ANY_OF: ClassVar = (("place", ("place", "bin", "tub")),)
    place: str | None = None
    bin: str | None = None
    tub: str | None = None
    temp_c: float | None = None
    low_c: float | None = None
    high_c: float | None = None
    rh: float | None = None  # percent, 0 to 100


class Watered(Record, frozen=True, kw_only=True, tag="watered"):
    """Water was given to tubs, to all tubs of a place, or to bins."""

    ANY_OF: ClassVar = (("tubs", ("tubs", "place", "bins", "all")),)
    tubs: Names = ()
    place: str | None = None
    bins: Names = ()
    all: bool = False


class Mold(Record, frozen=True, kw_only=True, tag="mold"):
    """Mold was seen, or taken out (`removed`)."""

    ANY_OF: ClassVar = (("tubs", ("tubs", "place", "all")),)
    tubs: Names = ()
    place: str | None = None
    removed: bool = msgspec.field()
    level: MoldLevel | None = None
    all: bool = False


class Dry(Record, frozen=True, kw_only=True, tag="dry"):
    """Tubs were found dry."""

    tubs: Names


class Hatch(Record, frozen=True, kw_only=True, tag="hatch"):
    """Pinheads were seen in a tub."""

    tub: str
    count: int | None = None
    stage: HatchStage | None = None


class Stocked(Record, frozen=True, kw_only=True, tag="stocked"):
    """Pinheads were put into a grow-out bin."""

    bin: str
    tubs: Names = ()
    count: int | None = None


class Counted(Record, frozen=True, kw_only=True, tag="counted"):
    """How many crickets there are in a bin, as somebody counted or weighed them, or knows."""

    bin: str
    count: int
    size: SizeGrade | None = None


class Fed(Record, frozen=True, kw_only=True, tag="fed"):
    """Bins were fed."""

    ANY_OF: ClassVar = (("bins", ("bins", "all")),)
    bins: Names = ()
    all: bool = False
    feed: str | None = None
    mass_g: float | None = None


class Dead(Record, frozen=True, kw_only=True, tag="dead"):
    """Dead crickets were counted or weighed."""

    bin: str
    count: int | None = None
    mass_g: float | None = None


class Moved(Record, frozen=True, kw_only=True, tag="moved"):
    """Crickets went from one bin to another."""

    from_: str = msgspec.field(name="from")
    to: str
    count: int | None = None
    size: SizeGrade | None = None


class Sized(Record, frozen=True, kw_only=True, tag="sized"):
    """The size that most of a bin has reached."""

    bin: str
    size: SizeGrade


class Adults(Record, frozen=True, kw_only=True, tag="adults"):
    """First winged adults seen in a bin."""

    bin: str


class Cleaned(Record, frozen=True, kw_only=True, tag="cleaned"):
    """Bins were cleaned out."""

    ANY_OF: ClassVar = (("bins", ("bins", "all")),)
    bins: Names = ()
    all: bool = False


class Harvested(Record, frozen=True, kw_only=True, tag="harvested"):
    """Crickets were taken out of a bin for use or sale."""

    bin: str
    count: int | None = None
    mass_g: float | None = None
    size: SizeGrade | None = None


class Sold(Record, frozen=True, kw_only=True, tag="sold"):
    """A sale, or the filling of an order. Prices are in the farm's currency."""

    who: str | None = None
    count: int | None = None
    mass_g: float | None = None
    size: SizeGrade | None = None
    bin: str | None = None
    price: float | None = None  # in all
    price_each: float | None = None


class Bought(Record, frozen=True, kw_only=True, tag="bought"):
    """Stock came in. Prices are in the farm's currency."""

    item: str  # the grower's words
    count: int | None = None
    mass_g: float | None = None
    volume_ml: float | None = None
    price: float | None = None  # in all
    price_each: float | None = None


class Discarded(Record, frozen=True, kw_only=True, tag="discarded"):
    """A tub, or all that a bin held, was thrown away."""

    ANY_OF: ClassVar = (("tub", ("tub", "bin")),)
    bin: str | None = None
    tub: str | None = None
    reason: str | None = None


class Problem(Record, frozen=True, kw_only=True, tag="problem"):
    """Something is wrong."""

    what: Trouble
    bin: str | None = None
    tub: str | None = None
    place: str | None = None


class Cleared(Record, frozen=True, kw_only=True, tag="cleared"):
    """A bin that was suspected of a disease is well: crickets may move again."""

    bin: str


class Remark(Record, frozen=True, kw_only=True, tag="remark"):
    """Words to keep."""

    text: str
    unread: bool = False  # kept because it looked like the farm and could not be read


Fact = (
    Chirp
    | TrayIn
    | TrayOut
    | Placed
    | Covered
    | Reading
    | Watered
    | Mold
    | Dry
    | Hatch
    | Stocked
    | Counted
    | Fed
    | Dead
    | Moved
    | Sized
    | Adults
    | Cleaned
    | Harvested
    | Sold
    | Bought
    | Discarded
    | Problem
    | Cleared
    | Remark
)
