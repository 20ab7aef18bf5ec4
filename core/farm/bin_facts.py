"""What the facts about bins of crickets, sales and stock do to the farm.

Not for who lives in a bin and how many they are: that is bin_contents.
"""

import datetime as dt
from typing import assert_never

from msgspec.structs import replace

from core.farm import bin_contents
from core.farm.farm import Tray
from core.farm.ledger import Ledger
from core.farm.stores import Feeding, Purchase, taken_between, with_newest
from core.journal.event import Event
from core.journal.facts import (
    Adults,
    Bought,
    Chirp,
    Cleaned,
    Cleared,
    Counted,
    Dead,
    Fed,
    Harvested,
    Moved,
    Problem,
    Remark,
    Sized,
    Sold,
    Stocked,
    TrayIn,
)
from core.journal.kinds import Holds, Trouble
from core.units import SizeGrade

BinFact = (
    Chirp
    | TrayIn
    | Stocked
    | Fed
    | Dead
    | Moved
    | Sized
    | Adults
    | Cleaned
    | Harvested
    | Sold
    | Bought
    | Problem
    | Cleared
    | Counted
    | Remark
)

SAME_CRICKETS = dt.timedelta(days=42)  # guess: the next generation of a bin cannot chirp sooner than this


def apply(ledger: Ledger, entry: Event, fact: BinFact) -> None:  # noqa: C901, PLR0915 - one case a kind
    """Put one fact into the ledger."""
    match fact:
        case Chirp():
            _chirp(ledger, entry, fact)
        case TrayIn():
            set_tray(ledger, entry, fact)
        case Stocked():
            bin_contents.stock(ledger, entry, fact)
        case Counted():
            bin_contents.recount(ledger, entry, fact)
            if fact.size is not None:
                _see(ledger, entry, fact.bin, fact.size)
        case Fed():
            feed(ledger, entry, fact)
        case Moved():
            bin_contents.move(ledger, entry, fact)
        case Sized():
            _see(ledger, entry, fact.bin, fact.size)
            ledger.set_bin(fact.bin, size=fact.size)
        case Adults():
            _see(ledger, entry, fact.bin, SizeGrade.ADULT)
            ledger.set_bin(fact.bin, holds=Holds.ADULTS)
        case Cleaned():
            clean(ledger, entry, fact)
        case Dead():
            bin_contents.bury(ledger, entry, fact)
        case Harvested():
            _take_out(ledger, entry, fact)
        case Bought():
            _buy(ledger, entry, fact)
        case Sold():
            _take_out(ledger, entry, fact)
        case Problem(what=Trouble.DIE_OFF | Trouble.SICK, bin=str(name)):
            since = ledger.bin(name).held_since
            ledger.set_bin(name, held_since=since or entry.happened_at)
        case Cleared():
            ledger.set_bin(fact.bin, held_since=None)
        case Problem() | Remark():
            pass  # kept in the journal; nothing of the farm's state changes by them
        case _:
            assert_never(fact)


def _chirp(ledger: Ledger, entry: Event, fact: Chirp) -> None:
    """Keep the first chirp: that others hear the same crickets days later moves nothing."""
    first = ledger.bin(fact.bin).chirped_at
    is_first = first is None or entry.happened_at - first > SAME_CRICKETS
    ledger.set_bin(fact.bin, chirped_at=entry.happened_at if is_first else first, holds=Holds.ADULTS)


def _see(ledger: Ledger, entry: Event, name: str, size: SizeGrade) -> None:
    ledger.set_bin(name, sizes=(*ledger.bin(name).sizes, (entry.happened_at, size)))


def set_tray(ledger: Ledger, entry: Event, fact: TrayIn) -> None:
    """Put a lay tray into a bin."""
    tray = Tray(put_in_at=entry.happened_at, container=fact.container, substrate=fact.substrate)
    ledger.set_bin(fact.bin, tray=tray, tray_in_at=entry.happened_at)
    ledger.stores = replace(ledger.stores, trays=with_newest(ledger.stores.trays, entry.happened_at))


def feed(ledger: Ledger, entry: Event, fact: Fed) -> None:
    """Let bins have been fed."""
    for name in fact.bins or (tuple(ledger.bins) if fact.all else ()):
        ledger.set_bin(name, fed_at=entry.happened_at)
    fed = Feeding(at=entry.happened_at, feed=fact.feed, mass_g=fact.mass_g)
    ledger.stores = replace(ledger.stores, feedings=with_newest(ledger.stores.feedings, fed))


def clean(ledger: Ledger, entry: Event, fact: Cleaned) -> None:
    """Let bins have been cleaned out."""
    names = fact.bins or (tuple(ledger.bins) if fact.all else ())
    for name in names:
        ledger.set_bin(name, cleaned_at=entry.happened_at)
    times = (entry.happened_at,) * len(names)
    ledger.stores = replace(ledger.stores, cleaned=with_newest(ledger.stores.cleaned, *times))


def _buy(ledger: Ledger, entry: Event, fact: Bought) -> None:
    ledger.stock += () if fact.item in ledger.stock else (fact.item,)
    bought = Purchase(
        at=entry.happened_at, item=fact.item, count=fact.count, mass_g=fact.mass_g, volume_ml=fact.volume_ml
    )
    ledger.stores = replace(ledger.stores, purchases=with_newest(ledger.stores.purchases, bought))


def _take_out(ledger: Ledger, entry: Event, fact: Harvested | Sold) -> None:
    """Take crickets out, and remember who went: they have eaten until now."""
    before = {} if fact.bin is None else {(house := ledger.bin(fact.bin)).name: house}
    if isinstance(fact, Sold):
        bin_contents.sell(ledger, entry, fact)
    else:
        bin_contents.harvest(ledger, entry, fact)
    for name, house in before.items():
        went = taken_between(name, house.cohorts, ledger.bins[name].cohorts, entry.happened_at)
        ledger.stores = replace(ledger.stores, taken=with_newest(ledger.stores.taken, *went))
