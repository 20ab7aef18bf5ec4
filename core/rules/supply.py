"""What there is, and will be, of each size: by the counts told, the growth of each bin and what usually dies.

Not for the orders that it is held against: promises. Not for the arithmetic: core.science.availability.
"""

import datetime as dt
from collections.abc import Mapping, Sequence
from functools import lru_cache

import msgspec

from core.farm.farm import Farm
from core.rules import hours
from core.rules.forecasts import Forecast
from core.rules.lots import Lot, batch_of, lots, uncounted
from core.science.availability import Amount, Outcome, Stock, Taking, numbers_of
from core.science.stage import Floats
from core.science.warmth import day_number
from core.units import SizeGrade

NOON = dt.time(12)  # when a day's crickets are counted: a farm packs in the morning and hands over in the afternoon
YES = 0.9  # chance from which an order can be met
LIKELY = 0.5  # from which it is likely
FEW = 12  # times of which the numbers of a batch are kept


class Want(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets that somebody is to get."""

    day: dt.date
    size: SizeGrade
    count: int


class Supply(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets by bin or tub and size on several days."""

    days: tuple[dt.date, ...]
    stock: Stock
    uncounted: tuple[str, ...]  # bins of which nobody said how many are in them
    held_back: frozenset[str]  # bins in which a disease is suspected; theirs are not in the stock

    def on(self, day: dt.date, size: SizeGrade | None = None) -> Amount:
        """Give how many there are on one of the days; without a size, of all."""
        return self.stock.there(self.days.index(day), size)

    def sizes(self, day: dt.date) -> tuple[tuple[SizeGrade, Amount], ...]:
        """Give how many there are of each grade on one of the days, each cricket once."""
        return tuple(self.stock.grades(self.days.index(day)).items())

    def sources(self, day: dt.date, size: SizeGrade | None = None) -> tuple[tuple[str, Amount], ...]:
        """Give the bins and tubs that have some, the most first."""
        found = self.stock.by_name(self.days.index(day), size).items()
        return tuple(sorted((row for row in found if row[1].likely), key=lambda row: -row[1].likely))

    def chance(self, day: dt.date, size: SizeGrade, count: int) -> float:
        """Give the chance that there are so many on one of the days, 0 to 1."""
        return self.stock.chance(self.days.index(day), size, count)

    def after(self, wants: Sequence[Want]) -> tuple[tuple[Outcome, ...], "Supply"]:
        """Let wants be met one after another, in the order of their days; give how each fares, and what is left."""
        takings = tuple(Taking(time=self.days.index(w.day), size=w.size, count=w.count) for w in wants)
        outcomes, left = _after(self.stock, takings)
        return outcomes, msgspec.structs.replace(self, stock=left)


def supply_on(farm: Farm, known: Mapping[str, Forecast], days: Sequence[dt.date]) -> Supply:
    """Give what there is on some days at noon, none of it taken or sold by then.

    Quick where the crickets and the days are those of a question before.
    """
    times = tuple(hours.at_time(farm, day, NOON) for day in days)
    held_back = frozenset(house.name for house in farm.bins.values() if house.held_since is not None)
    found = tuple(lot for lot in lots(farm, known, max(times)) if lot.name not in held_back)
    return Supply(
        days=tuple(days), stock=_stock(found, times), uncounted=uncounted(farm), held_back=held_back
    )  # fmt: skip


def alive_now(farm: Farm, known: Mapping[str, Forecast], now: dt.datetime) -> Supply:
    """Give what there is today, those that are held back as well."""
    today = hours.local(farm, now).date()
    at = now.replace(minute=0, second=0, microsecond=0) + dt.timedelta(hours=1)
    return Supply(
        days=(today,), stock=_stock(lots(farm, known, at), (at,)), uncounted=uncounted(farm), held_back=frozenset()
    )


# The rules ask with every message: most change no number, and nearly all others that of one batch alone.
@lru_cache(maxsize=32)
def _stock(found: tuple[Lot, ...], times: tuple[dt.datetime, ...]) -> Stock:
    part = _numbers if len(times) <= FEW else _numbers.__wrapped__
    parts = [part(lot, number, times) for number, lot in enumerate(found)]
    return Stock.joined([lot.name for lot in found], parts, len(times))


@lru_cache(maxsize=256)  # of up to 230 kB
def _numbers(lot: Lot, number: int, times: tuple[dt.datetime, ...]) -> Floats:
    return numbers_of(batch_of(lot), number, [day_number(at) for at in times])


@lru_cache(maxsize=32)
def _after(stock: Stock, takings: tuple[Taking, ...]) -> tuple[tuple[Outcome, ...], Stock]:
    return stock.after(takings)
