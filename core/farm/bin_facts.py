"""What the facts about bins of crickets, sales and stock do to the farm.

Not for who lives in a bin and how many they are: that is bin_contents.
"""

import datetime as dt
from typing import assert_never

from core.farm import bin_contents
from core.farm.farm import Tray
from core.farm.ledger import Ledger
from core.journal.event import Event
from core.journal.facts import (
    Adults,
    Bought,
    Chirp,
    Cleaned,
    Cleared,
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
        case Fed():
            for name in fact.bins or (tuple(ledger.bins) if fact.all else ()):
                ledger.set_bin(name, fed_at=entry.happened_at)
        case Moved():
            bin_contents.move(ledger, entry, fact)
        case Sized():
            _see(ledger, entry, fact.bin, fact.size)
            ledger.set_bin(fact.bin, size=fact.size)
        case Adults():
            _see(ledger, entry, fact.bin, SizeGrade.ADULT)
            ledger.set_bin(fact.bin, holds=Holds.ADULTS)
        case Cleaned():
            for name in fact.bins or (tuple(ledger.bins) if fact.all else ()):
                ledger.set_bin(name, cleaned_at=entry.happened_at)
        case Dead():
            bin_contents.bury(ledger, entry, fact)
        case Harvested():
            bin_contents.harvest(ledger, entry, fact)
        case Bought():
            ledger.stock += () if fact.item in ledger.stock else (fact.item,)
        case Sold():
            bin_contents.sell(ledger, entry, fact)
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
