"""Checks of what is told of numbers, sizes and orders: no more is taken out of a bin than is there by the book.

Where nobody ever said how many a bin holds, any number may be right.
"""

import datetime as dt
from collections.abc import Iterator

from core.farm.cohorts import LONGEST_IN_HAND
from core.farm.farm import Bin, Farm
from core.farm.faults import Fault, Finding
from core.farm.settings import tzinfo_of
from core.journal import facts, wants
from core.journal.event import Event
from core.units import SizeGrade

_GROWING = tuple(SizeGrade)


def taken(farm: Farm, entry: Event) -> Iterator[Finding]:
    """Find crickets that come from a bin that has none, or not so many."""
    match entry.body:
        case facts.Moved(from_=name, to=target) if name == target:
            yield Finding(fault=Fault.SAME_BIN, subject=name)
            return
        case facts.Moved(from_=str(name), count=count) | facts.Harvested(bin=str(name), count=count):
            in_hand = 0
        case facts.Dead(bin=str(name), count=count):
            in_hand = 0
        case facts.Sold(bin=str(name), count=count):
            in_hand = _in_hand(farm.bins.get(name), entry.happened_at)
        case _:
            return
    house = farm.bins.get(name)
    if house is None or _is_told_late(house, entry):
        return
    book = house.count if house.cohorts or house.emptied_at is None else 0
    if book == 0 and not in_hand:
        yield Finding(fault=Fault.EMPTY_BIN, subject=name, at=house.emptied_at)
    elif count is not None and book is not None and count > book + in_hand:
        yield Finding(fault=Fault.TOO_MANY, subject=name, figure=float(book + in_hand))


def _in_hand(house: Bin | None, at: dt.datetime) -> int:
    """Give how many that were taken out lately a sale may be of."""
    taken_out = () if house is None else house.in_hand
    return sum(one.count for one in taken_out if dt.timedelta(0) <= at - one.at <= LONGEST_IN_HAND)


def _is_told_late(house: Bin, entry: Event) -> bool:
    """Tell whether a bin was emptied after what is told of: what it held then, nobody knows now."""
    return house.emptied_at is not None and entry.happened_at < house.emptied_at


def shrunk(farm: Farm, entry: Event) -> Iterator[Finding]:
    """Find crickets that would have become smaller: a bin that nothing new came into only grows."""
    match entry.body:
        case facts.Sized(bin=name, size=size) if name in farm.bins:
            house = farm.bins[name]
            before = [seen for at, seen in house.sizes if at <= entry.happened_at]
            youngest = max((c.told[0][0] for c in house.cohorts if c.told), default=None)
            last_at = max((at for at, _ in house.sizes if at <= entry.happened_at), default=None)
            is_mixed = youngest is not None and last_at is not None and youngest > last_at
            if before and not is_mixed and _rank(size) < _rank(before[-1]):
                yield Finding(fault=Fault.SHRUNK, subject=name, word=before[-1].value)
        case _:
            return


def _rank(size: SizeGrade) -> int:
    return _GROWING.index(size)


def due_past(farm: Farm, entry: Event) -> Iterator[Finding]:
    """Find an order that was to be filled before it was taken."""
    match entry.body:
        case wants.Order(count=0):
            yield Finding(fault=Fault.NUMBER, subject="count", figure=0.0)
        case wants.Order(due=due, every=None):
            if due < entry.said_at.astimezone(tzinfo_of(farm.settings.timezone)).date():
                yield Finding(fault=Fault.DUE_PAST, word=due.isoformat())
        case _:
            return
