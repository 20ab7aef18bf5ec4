"""What the facts about tubs and their warmth do to the farm.

Not for bins of crickets: those are in bin_facts.
"""

from typing import assert_never

from core.farm import bin_contents
from core.farm.farm import Climate, Tub
from core.farm.ledger import Ledger
from core.journal.event import Event
from core.journal.facts import Covered, Discarded, Dry, Hatch, Mold, Placed, Reading, TrayOut, Watered
from core.journal.kinds import HatchStage

TubFact = TrayOut | Placed | Covered | Reading | Watered | Mold | Dry | Hatch | Discarded


def apply(ledger: Ledger, entry: Event, fact: TubFact) -> None:  # noqa: C901 - one case a kind
    """Put one fact into the ledger."""
    match fact:
        case TrayOut():
            pull(ledger, entry, fact)
        case Placed():
            for tub in ledger.tubs_meant(entry, fact.tubs, None, every=fact.all):
                place(ledger, entry, tub.name, fact.place)
        case Covered():
            for tub in ledger.tubs_meant(entry, fact.tubs, fact.place, every=fact.all):
                covers = (*tub.covers, (entry.happened_at, fact.on))
                ledger.set_tub(tub, is_covered=fact.on, covers=covers, told_at=entry.said_at)
        case Reading():
            _read(ledger, entry, fact)
        case Watered():
            water(ledger, entry, fact)
        case Mold():
            _mold(ledger, entry, fact)
        case Dry():
            for tub in ledger.tubs_meant(entry, fact.tubs, None, every=False):
                _found_dry(ledger, entry, tub)
        case Hatch():
            _hatch(ledger, entry, fact)
        case Discarded():
            _discard(ledger, entry, fact)
        case _:
            assert_never(fact)


def pull(ledger: Ledger, entry: Event, fact: TrayOut) -> None:
    """Make the tray of a bin a tub of eggs."""
    source = ledger.bin(fact.bin)
    name = fact.tub or ledger.next_tub()
    tub = ledger.tub(name, entry)
    ledger.set_tub(
        tub,
        bin=source.name,
        pulled_at=entry.happened_at,
        laid_for=entry.happened_at - source.tray.put_in_at if source.tray else None,
        is_covered=bool(fact.cover),
        covers=((entry.happened_at, bool(fact.cover)),),
        density=fact.density,
        told_at=entry.said_at,
    )
    ledger.set_bin(source.name, tray=None, tray_out_at=entry.happened_at, became=tub.name)
    if fact.place is not None:
        place(ledger, entry, name, fact.place)


def place(ledger: Ledger, entry: Event, tub: str, where: str) -> None:
    """Set a tub in a place."""
    found, key = ledger.tub(tub, entry), ledger.place(where).name
    placements = (*found.placements, (entry.happened_at, key))
    ledger.set_tub(found, place=key, placements=placements, told_at=entry.said_at)


def _read(ledger: Ledger, entry: Event, fact: Reading) -> None:
    reading = Climate(
        at=entry.happened_at, temp_c=fact.temp_c, low_c=fact.low_c, high_c=fact.high_c, rh=fact.rh
    )  # fmt: skip
    if fact.place is not None:
        ledger.add_reading("place", ledger.place(fact.place).name, reading)
    elif fact.bin is not None:
        ledger.add_reading("bin", ledger.bin(fact.bin).name, reading)
    elif fact.tub is not None:
        ledger.add_reading("tub", ledger.tub(fact.tub, entry).name, reading)


def water(ledger: Ledger, entry: Event, fact: Watered) -> None:
    """Water tubs and bins."""
    for tub in ledger.tubs_meant(entry, fact.tubs, fact.place, every=fact.all):
        ledger.set_tub(tub, watered_at=entry.happened_at)
    for name in fact.bins:
        ledger.set_bin(name, watered_at=entry.happened_at)


def _found_dry(ledger: Ledger, entry: Event, tub: Tub) -> None:
    """Keep how long it had lasted; that others find it dry before it is watered tells nothing more."""
    since = tub.watered_at or tub.pulled_at
    is_news = since is not None and (tub.dry_at is None or since > tub.dry_at)
    found = (*tub.found_dry, (entry.happened_at, since)) if since is not None and is_news else tub.found_dry
    ledger.set_tub(tub, dry_at=entry.happened_at, found_dry=found)


def _mold(ledger: Ledger, entry: Event, fact: Mold) -> None:
    for tub in ledger.tubs_meant(entry, fact.tubs, fact.place, every=fact.all):
        ledger.set_tub(
            tub,
            checked_at=entry.happened_at,
            mold_at=None if fact.removed else entry.happened_at,
            mold_level=None if fact.removed else fact.level,
        )


def _hatch(ledger: Ledger, entry: Event, fact: Hatch) -> None:
    tub = ledger.tub(fact.tub, entry)
    ledger.set_tub(
        tub,
        hatch_at=tub.hatch_at or entry.happened_at,
        hatch_checked_at=entry.happened_at,
        hatch_count=fact.count if fact.count is not None else tub.hatch_count,
        hatch_done_at=entry.happened_at if fact.stage is HatchStage.DONE else tub.hatch_done_at,
    )


def _discard(ledger: Ledger, entry: Event, fact: Discarded) -> None:
    if fact.tub is not None:
        ledger.set_tub(ledger.tub(fact.tub, entry), emptied_at=entry.happened_at)
    if fact.bin is not None:
        bin_contents.clear_out(ledger, entry, fact.bin)
