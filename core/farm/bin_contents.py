"""What comes into bins and goes out of them: put in, moved, found dead, taken out, sold, thrown away.

What a bin holds follows from its cohorts. Where a message tells of more than is there, checks refuse it before; here
what is there is taken.
"""

import datetime as dt

from core.farm import cohorts
from core.farm.cohorts import LONGEST_IN_HAND, Cohort, Harvest
from core.farm.farm import Bin, Sale
from core.farm.ledger import Ledger
from core.farm.orders import delivered
from core.farm.settings import tzinfo_of
from core.journal.event import Event
from core.journal.facts import Counted, Dead, Harvested, Moved, Sold, Stocked
from core.journal.kinds import Holds
from core.units import SizeGrade


def stock(ledger: Ledger, entry: Event, fact: Stocked) -> None:
    """Put pinheads into a bin."""
    known = ledger.bin(fact.bin)
    tubs = tuple(ledger.names.tub(name)[0] for name in fact.tubs)
    seen = [tub.hatch_at for tub in map(ledger.tubs.get, tubs) if tub is not None and tub.hatch_at is not None]
    coming = Cohort(
        tubs=tubs,
        hatched_at=min(seen, default=entry.happened_at),
        told=() if fact.count is None else ((entry.happened_at, fact.count),),
        is_counted=fact.count is not None,
    )
    holds = Holds.PINHEADS if known.holds is Holds.NOTHING else known.holds
    _put(ledger, known, cohorts.joined(known.cohorts, (coming,)), holds=holds)


def recount(ledger: Ledger, entry: Event, fact: Counted) -> None:
    """Let a bin hold so many, whatever the book says; of several batches each keeps its share."""
    known = ledger.bin(fact.bin)
    found = cohorts.recounted(known.cohorts or (Cohort(hatched_at=known.hatched_at),), fact.count, entry.happened_at)
    is_grown = fact.size in {SizeGrade.ADULT, SizeGrade.INCH}
    unsaid = Holds.NYMPHS if known.holds is Holds.NOTHING else known.holds
    _put(ledger, known, found, holds=Holds.ADULTS if is_grown else unsaid)


def move(ledger: Ledger, entry: Event, fact: Moved) -> None:
    """Move crickets, so many or all, from one bin to another."""
    source, target = ledger.bin(fact.from_), ledger.bin(fact.to)
    if source.name == target.name or (source.emptied_at is not None and not source.cohorts):
        return
    known = source.cohorts or (Cohort(hatched_at=source.hatched_at),)
    staying, going = ((), known) if fact.count is None else cohorts.parted(known, fact.count, entry.happened_at)
    came = Holds.ADULTS if fact.size is SizeGrade.ADULT else source.holds
    is_first = target.holds is Holds.NOTHING
    grown = {"chirped_at": source.chirped_at, "size": fact.size or source.size, "sizes": source.sizes}
    _put(ledger, target, cohorts.joined(target.cohorts, going), holds=came if is_first else target.holds)
    if is_first:
        ledger.set_bin(target.name, **grown)
    _leave(ledger, entry, source, staying)


def bury(ledger: Ledger, entry: Event, fact: Dead) -> None:
    """Write off the dead of a bin."""
    known = ledger.bin(fact.bin)
    if fact.count:
        ledger.tally = ledger.tally.and_dead(entry.happened_at, fact.count)
    if fact.count and known.count is not None:
        ledger.set_bin(known.name, lost=known.lost + min(fact.count, known.count))
        _leave(ledger, entry, known, cohorts.buried(known.cohorts, fact.count, entry.happened_at))


def harvest(ledger: Ledger, entry: Event, fact: Harvested) -> None:
    """Take crickets out, for use or for sale."""
    known = ledger.bin(fact.bin)
    if not fact.count:
        return
    taken = _take(ledger, entry, known, fact.count)
    if not taken:
        return
    ledger.tally = ledger.tally.and_harvested(entry.happened_at, taken)
    in_hand = Harvest(at=entry.happened_at, count=taken, tubs=cohorts.tubs_of(known.cohorts))
    ledger.set_bin(known.name, in_hand=(*ledger.bin(known.name).in_hand, in_hand))


def sell(ledger: Ledger, entry: Event, fact: Sold) -> None:
    """Sell crickets: what was taken out for it just before, and where that does not reach, out of the bin named."""
    left, tubs = fact.count or 0, dict[str, None]()
    named = None if fact.bin is None else ledger.bin(fact.bin)
    for house in (named,) if named is not None else tuple(ledger.bins.values()):
        left, origin = _hand_over(ledger, house, left, entry.happened_at)
        tubs |= dict.fromkeys(origin)
    if named is not None:
        _sold(ledger, named.name, _take(ledger, entry, ledger.bin(named.name), left))
        tubs |= dict.fromkeys(cohorts.tubs_of(named.cohorts))
    sold = Sale(
        number=entry.number,
        at=entry.happened_at,
        who=fact.who,
        count=fact.count,
        size=fact.size,
        bin=None if named is None else named.name,
        price=fact.price if fact.price_each is None or fact.count is None else fact.price_each * fact.count,
        tubs=tuple(tubs),
    )
    ledger.sales = ledger.sales.extended((sold,))
    zone = tzinfo_of(ledger.settings.timezone)
    on = entry.happened_at.astimezone(zone).date()
    ledger.orders, _ = delivered(ledger.orders, who=fact.who, size=fact.size, count=_number(fact), on=on)


def _number(fact: Sold) -> int | None:
    """Give how many were sold; none where they were only weighed, None where all that was wanted was."""
    return 0 if fact.count is None and fact.mass_g is not None else fact.count


def clear_out(ledger: Ledger, entry: Event, name: str) -> None:
    """Throw away all that a bin holds."""
    known = ledger.bin(name)
    ledger.set_bin(name, tray=None, discarded=known.discarded + (known.count or 0))
    _leave(ledger, entry, known, ())


def _hand_over(ledger: Ledger, house: Bin, count: int, at: dt.datetime) -> tuple[int, tuple[str, ...]]:
    """Sell of what was taken out of a bin lately; give how many are still wanted, and the tubs of those given."""
    kept, tubs, wanted = list[Harvest](), dict[str, None](), count
    for taken in house.in_hand:
        given = min(count, taken.count) if dt.timedelta(0) <= at - taken.at <= LONGEST_IN_HAND else 0
        count -= given
        if given:
            tubs |= dict.fromkeys(taken.tubs)
        if taken.count > given:
            kept.append(Harvest(at=taken.at, count=taken.count - given, tubs=taken.tubs))
    if count < wanted:
        ledger.set_bin(house.name, in_hand=tuple(kept))
        _sold(ledger, house.name, wanted - count)
    return count, tuple(tubs)


def _sold(ledger: Ledger, name: str, count: int) -> None:
    if count:
        ledger.set_bin(name, sold=ledger.bin(name).sold + count)


def _take(ledger: Ledger, entry: Event, known: Bin, count: int) -> int:
    """Take so many out of a bin, or all that is left in it; give how many. Where nobody counted, it is as was said."""
    if not count or not known.cohorts:
        return count if known.emptied_at is None else 0
    staying, going = cohorts.parted(known.cohorts, count, entry.happened_at)
    _leave(ledger, entry, known, staying)
    return cohorts.total(going) or 0


def _put(ledger: Ledger, known: Bin, found: tuple[Cohort, ...], *, holds: Holds) -> None:
    ledger.set_bin(
        known.name,
        cohorts=found,
        holds=holds,
        count=cohorts.total(found),
        from_tubs=cohorts.tubs_of(found),
        hatched_at=cohorts.oldest(found),
        emptied_at=None,
    )


def _leave(ledger: Ledger, entry: Event, known: Bin, staying: tuple[Cohort, ...]) -> None:
    """Keep what stays in a bin; one that nothing is left in starts anew."""
    if staying:
        _put(ledger, known, staying, holds=known.holds)
        return
    empty = {"holds": Holds.NOTHING, "count": None, "size": None, "sizes": (), "from_tubs": (), "hatched_at": None}
    ledger.set_bin(known.name, cohorts=(), chirped_at=None, emptied_at=entry.happened_at, **empty)
