"""What the facts about bins of crickets, sales and stock do to the farm.

Numbers of crickets are kept as they were said; who is how old, and how many are left, is a matter of grow-out.
"""

import datetime as dt
from typing import assert_never

from core.farm.farm import Tray
from core.farm.ledger import Ledger
from core.journal.event import Event
from core.journal.facts import (
    Adults,
    Bought,
    Chirp,
    Cleaned,
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
from core.journal.kinds import Holds
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
    | Remark
)

SAME_CRICKETS = dt.timedelta(days=42)  # guess: the next generation of a bin cannot chirp sooner than this


def apply(ledger: Ledger, entry: Event, fact: BinFact) -> None:  # noqa: C901 - one case a kind
    """Put one fact into the ledger."""
    match fact:
        case Chirp():
            _chirp(ledger, entry, fact)
        case TrayIn():
            set_tray(ledger, entry, fact)
        case Stocked():
            _stock(ledger, entry, fact)
        case Fed():
            for name in fact.bins or (tuple(ledger.bins) if fact.all else ()):
                ledger.set_bin(name, fed_at=entry.happened_at)
        case Moved():
            ledger.bin(fact.from_)
            ledger.bin(fact.to)
        case Sized():
            _see(ledger, entry, fact.bin, fact.size)
            ledger.set_bin(fact.bin, size=fact.size)
        case Adults():
            _see(ledger, entry, fact.bin, SizeGrade.ADULT)
            ledger.set_bin(fact.bin, holds=Holds.ADULTS)
        case Cleaned():
            for name in fact.bins or (tuple(ledger.bins) if fact.all else ()):
                ledger.set_bin(name, cleaned_at=entry.happened_at)
        case Dead() | Harvested():
            ledger.bin(fact.bin)
        case Bought():
            ledger.stock += () if fact.item in ledger.stock else (fact.item,)
        case Sold() | Problem() | Remark():
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


def _stock(ledger: Ledger, entry: Event, fact: Stocked) -> None:
    known = ledger.bin(fact.bin)
    holds = Holds.PINHEADS if known.holds is Holds.NOTHING else known.holds
    count = None if fact.count is None else fact.count + (known.count or 0)
    tubs = tuple(ledger.names.tub(name)[0] for name in fact.tubs)
    ledger.set_bin(
        fact.bin,
        holds=holds,
        count=count,
        from_tubs=(*known.from_tubs, *(t for t in tubs if t not in known.from_tubs)),
        hatched_at=known.hatched_at or entry.happened_at,
    )
