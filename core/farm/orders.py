"""Orders of customers: what was taken, what was delivered of it, what is still open.

An order that comes again is a row of deliveries that are due; the first that is open is the one that sales go to. Not
for whether it can be met: core.rules.
"""

import datetime as dt
from collections.abc import Iterable, Iterator
from typing import Self

import msgspec
from msgspec.structs import replace

from core.farm.repeats import first_from, nth
from core.farm.series import Series
from core.units import SizeGrade

EARLY = dt.timedelta(days=6)  # so long before it is due a sale may be the delivery; a guess: less than a week
LAPSES = dt.timedelta(days=14)  # so long after it was due a delivery that nobody told of is held for settled; a guess
FORGOTTEN = dt.timedelta(days=42)  # so long after it was due an order is not spoken of either; a guess
NEAR = dt.timedelta(days=2)  # how near its day a sale to nobody named may be a delivery; a guess
MOST_AHEAD = 400  # deliveries of one order that are looked at
_GROWN = frozenset({SizeGrade.INCH, SizeGrade.ADULT})


class CustomerOrder(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets promised, once or again and again."""

    number: int  # of its event
    who: str | None
    count: int
    size: SizeGrade
    due: dt.date  # the first time
    every: str | None  # week, 2 weeks, month
    taken_at: dt.datetime | None = None  # None: nobody said
    filled: int = 0  # deliveries that are over, from the first on
    got: int = 0  # crickets delivered of the next one
    off: frozenset[dt.date] = frozenset()  # days on which it was called off


class Delivery(msgspec.Struct, frozen=True, kw_only=True):
    """One time that an order is due."""

    order: int  # number of the order
    index: int  # 0 the first time
    who: str | None
    size: SizeGrade
    due: dt.date
    count: int  # in all
    open: int  # still to be delivered
    given: int = 0  # by the sale that is looked at


class Orders(Series[CustomerOrder]):
    """Orders as they were taken, who gave them, and those that are open as they have become."""

    __slots__ = ("customers", "open")

    def __init__(self, items: Iterable[CustomerOrder] = ()) -> None:
        found = tuple(items)
        super().__init__(found)
        self.customers = tuple(dict.fromkeys(order.who for order in found if order.who))
        self.open = found

    def extended(self, items: Iterable[CustomerOrder]) -> Self:
        """Give the orders with later ones."""
        more = tuple(items)
        found = super().extended(more)
        found.customers = tuple(dict.fromkeys((*self.customers, *(order.who for order in more if order.who))))
        found.open = (*self.open, *more)
        return found

    def with_open(self, still: Iterable[CustomerOrder]) -> Self:
        """Give the same with other ones open."""
        found = self.extended(())
        found.open = tuple(still)
        return found

    def __eq__(self, other: object) -> bool:
        return super().__eq__(other) and (not isinstance(other, Orders) or self.open == other.open)

    __hash__ = Series.__hash__


def deliveries(order: CustomerOrder, today: dt.date, until: dt.date) -> Iterator[Delivery]:
    """Give what is open of an order until a day, by day; what was due long ago is held for settled."""
    oldest = today - LAPSES
    start = order.filled if order.every is None else max(order.filled, first_from(order.due, order.every, oldest))
    for index in range(start, start + (1 if order.every is None else MOST_AHEAD)):
        due = nth(order.due, order.every or "", index)
        if due > until:
            return
        if due < oldest or due in order.off:
            continue
        got = order.got if index == order.filled else 0
        yield Delivery(
            order=order.number,
            index=index,
            who=order.who,
            size=order.size,
            due=due,
            count=order.count,
            open=order.count - got,
        )


def delivered(
    orders: Orders, *, who: str | None, size: SizeGrade | None, count: int | None, on: dt.date
) -> tuple[Orders, tuple[Delivery, ...]]:
    """Put a sale to what was promised: give the orders after it, and the deliveries it went to as they are then.

    It goes to the customer's earliest open delivery of that size, and what is over to the next; without a number it is
    all of the one. A sale to nobody named goes to a delivery only where there is a single one it can be.
    """
    left = count
    touched: list[Delivery] = []
    for delivery in _meant(orders, who, size, on):
        if left == 0:
            break
        given = delivery.open if left is None else min(left, delivery.open)
        left = 0 if left is None else left - given
        touched.append(replace(delivery, open=delivery.open - given, given=given))
        orders = orders.with_open(_after(orders.open, delivery, given))
    return orders, tuple(touched)


def _meant(orders: Orders, who: str | None, size: SizeGrade | None, on: dt.date) -> list[Delivery]:
    found = [d for order in orders.open for d in deliveries(order, on, on + EARLY)]
    found = sorted((d for d in found if _is_size(d.size, size)), key=lambda d: (d.due, d.order))
    if who is not None:
        return [d for d in found if d.who is not None and d.who.casefold() == who.casefold()]
    near = [d for d in found if abs(d.due - on) <= NEAR]
    return near if size is not None and len(near) == 1 else []


def _is_size(one: SizeGrade, other: SizeGrade | None) -> bool:
    return other in {None, one} or (one in _GROWN and other in _GROWN)


def _after(still: Iterable[CustomerOrder], delivery: Delivery, given: int) -> Iterator[CustomerOrder]:
    """Give the open orders once so many of a delivery were given; what was due before it is over."""
    for order in still:
        if order.number != delivery.order:
            yield order
        elif given < delivery.open:
            yield replace(order, filled=delivery.index, got=delivery.count - delivery.open + given)
        elif order.every is not None:
            yield replace(order, filled=delivery.index + 1, got=0)


def called_off(orders: Orders, number: int, day: dt.date | None) -> Orders:
    """Call off an order, or one day of one that comes again."""
    if day is None:
        return orders.with_open(order for order in orders.open if order.number != number)
    return orders.with_open(
        replace(order, off=order.off | {day}) if order.number == number else order for order in orders.open
    )


def lapsed(orders: Orders, today: dt.date) -> tuple[CustomerOrder, ...]:
    """Give the orders that were due once, and so long ago that they are held for settled."""
    return tuple(order for order in orders.open if order.every is None and order.due < today - LAPSES)


def remembered(orders: Orders, today: dt.date) -> Orders:
    """Give the orders without those that lapsed long ago, so that what is open stays a few."""
    kept = tuple(order for order in orders.open if order.every is not None or order.due >= today - FORGOTTEN)
    return orders if len(kept) == len(orders.open) else orders.with_open(kept)
