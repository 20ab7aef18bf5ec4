"""What customers were promised and is still open, by day, and how each promise fares.

Not for what an order is: core.farm.orders.
"""

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import lru_cache

import msgspec

from core.farm.farm import AskedChore, Farm
from core.farm.orders import deliveries
from core.journal.kinds import Chore
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.evidence import HOUSE_CRICKET
from core.rules.forecasts import Forecast
from core.rules.growth import BIN_C, share_a_day
from core.rules.supply import LIKELY, Supply, Want, supply_on
from core.science.availability import Amount
from core.science.grades import starts_at
from core.units import SizeGrade

ALREADY_SAID = dt.timedelta(hours=22)  # since an order was taken: the morning after
BESIDE = dt.timedelta(days=8)  # from one weekly delivery to the next
EGG_DAYS = 12.0  # a guess: eggs in the warm


class Promise(msgspec.Struct, frozen=True, kw_only=True):
    """One delivery that is open."""

    number: int  # of the order
    who: str | None
    count: int  # still to be delivered
    size: SizeGrade
    due: dt.date


class Fate(msgspec.Struct, frozen=True, kw_only=True):
    """How a promise fares: what will be there for it, after those that come before it."""

    promise: Promise
    chance: float  # that there is enough, 0 to 1
    there: Amount
    may_be_bred: bool  # there is still time to breed for it


def promises(farm: Farm, now: dt.datetime, until: dt.date) -> tuple[Promise, ...]:
    """Give what is open until a day, by day; what is overdue comes first."""
    if not farm.orders.open:
        return ()
    today = hours.local(farm, now).date()
    found = [
        Promise(number=d.order, who=d.who, count=d.open, size=d.size, due=d.due)
        for order in farm.orders.open
        for d in deliveries(order, today, until)
    ]
    return tuple(sorted(found, key=lambda p: (p.due, p.number)))


def fates(
    farm: Farm, known: Mapping[str, Forecast], now: dt.datetime, found: tuple[Promise, ...]
) -> tuple[tuple[Fate, ...], Supply | None]:
    """Tell how promises fare, one after another, and what they leave; no supply where nothing was promised."""
    if not found:
        return (), None
    today = hours.local(farm, now).date()
    wants = [Want(day=max(p.due, today), size=p.size, count=p.count) for p in found]
    supply = supply_on(farm, known, sorted({want.day for want in wants}))
    outcomes, left = supply.after(wants)
    told = tuple(
        Fate(promise=p, chance=o.chance, there=o.there, may_be_bred=p.due > today + lead(p.size))
        for p, o in zip(found, outcomes, strict=True)
    )
    return told, left


@lru_cache
def lead(size: SizeGrade) -> dt.timedelta:
    """Give about how long it takes from a tray to crickets of a size; in a usual bin. [whole days]."""
    growing = starts_at(size, HOUSE_CRICKET.instars) / share_a_day(BIN_C)
    return dt.timedelta(days=round(1 + EGG_DAYS + growing))


def orders_short(
    farm: Farm, known: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Warn of the first delivery of each order that can hardly be met any more: once, and again where half is missing.

    What was said when the order was taken is not said again on the same day. What is overdue is not warned of: it was
    delivered and not told of, or the customer knows.
    """
    if not farm.orders.open:
        return
    today = hours.local(farm, now).date()
    near = tuple(p for p in promises(farm, now, today + lead(SizeGrade.ADULT)) if p.due <= today + lead(p.size))
    told, left = fates(farm, known, now, near)
    if left is None or not left.stock.names:
        return  # nobody told how many there are
    first = {f.promise.number: f for f in reversed(told) if f.chance < LIKELY and f.promise.due >= today}
    for order in farm.orders.open:
        fate = first.get(order.number)
        if fate is not None:
            due = _morning(farm, fate.promise.due)
            step = 0 if fate.there.likely >= fate.promise.count / 2 else 1
            said_at = now if order.taken_at is None else min(order.taken_at + ALREADY_SAID, due)
            yield ChoreDue(
                chore=Chore.ORDER_SHORT, due=due, ask_at=max(now, said_at), step=step, order=order.number
            )  # fmt: skip


def is_for(asked: AskedChore, chore: ChoreDue) -> bool:
    """Tell whether a warning said as much of an order as another would, of the same delivery or the one beside it."""
    return asked.step >= chore.step and abs(asked.due - chore.due) <= BESIDE


def orders_to_pick(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for the crickets of a day's orders to be picked: in the evening before, at the last hour of watering.

    The step is how many customers they are for, so that one who orders later in the evening is asked for too.
    """
    if not farm.orders.open:
        return
    today = hours.local(farm, now).date()
    last = hours.local(farm, until).date() + hours.DAY
    found = [p for p in promises(farm, now, last) if p.due >= today]
    many, taken_at = Counter(p.due for p in found), {o.number: o.taken_at for o in farm.orders.open}
    for day in sorted(many):
        evening = hours.at_time(farm, day - hours.DAY, farm.settings.water_times[-1])
        ask_at = hours.after_quiet(farm, evening)
        due = _morning(farm, day)
        told_at = [at for p in found if p.due == day and (at := taken_at[p.number]) is not None]
        yield ChoreDue(chore=Chore.PICK, due=due, ask_at=max([min(ask_at, due), *told_at]), step=many[day])


def _morning(farm: Farm, day: dt.date) -> dt.datetime:
    return hours.at_time(farm, day, farm.settings.water_times[0])
