"""A farm in numbers for a plan: which bins lay when, what is in bins and tubs already, which bins are empty.

Not for the search of a plan (core.science.planning) nor for telling it (plans).
"""

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from itertools import chain

import msgspec

from core.farm.farm import Bin, Farm, Tub
from core.journal.kinds import Holds
from core.rules import hours
from core.rules.breeders import laying_span, to_keep_back
from core.rules.eggs import CONTAINER_CM2, LAY_BIN_C, clutch_of
from core.rules.evidence import HOUSE_CRICKET
from core.rules.forecasts import forecasts
from core.rules.paces import RELIED_ON, Numbers, Pace, pace_of, shares_of
from core.rules.space import ROOM
from core.rules.supply import Supply, supply_on
from core.rules.surroundings import last_telling, middle_of
from core.science import production
from core.science.development import HatchWindow
from core.science.laying import Tray, eggs_to_expect, females_among
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS
from core.science.production import Breeding, Demand, LayingBin, Works
from core.units import SizeGrade

STAYING_DAYS = 3  # after half of its pinheads are there a tub is empty: see incubation
ADULTS = 200  # guess: grown crickets of a bin that nobody has counted
LEAST_PART = 0.02  # of what is wanted; a bin that has less of it is not emptied for that: our choice
JUST_IN = dt.timedelta(minutes=1)  # what was put in at this moment grows as well
LATEST_TRAY = dt.time(12)  # a tray that is planned after it goes in tomorrow; our choice
_DAY = dt.timedelta(days=1)
_ADULT = HOUSE_CRICKET.adult
_GRADES = tuple(SizeGrade)


class Wanted(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets that are to be there on a day."""

    due: dt.date
    count: int
    size: SizeGrade
    number: int | None = None  # of the order; None: of the goal that was asked about
    who: str | None = None


class Pipeline(msgspec.Struct, frozen=True, kw_only=True):
    """A farm as a plan needs it."""

    today: dt.date
    works: Works
    bins: tuple[str, ...]  # the names of `works.bins`
    adults: tuple[float, ...]  # grown crickets in each of them when they begin to lay, or now
    laying: tuple[tuple[dt.date, dt.date], ...]  # when bins lay, soonest first
    uncounted: tuple[str, ...]  # bins whose grown crickets nobody has counted
    pace: Pace
    shares: Numbers  # of an egg, by days since the tray went in


def pipeline_of(farm: Farm, wanted: Sequence[Wanted], now: dt.datetime, days: int) -> Pipeline | None:
    """Give a farm in numbers, `days` ahead; None where it is too cold for eggs to hatch or crickets to grow.

    Eggs are those to be expected; what is alive of them in a size is what three batches of four reach.
    """
    pace = pace_of(farm, now)
    if pace is None:
        return None
    today = hours.local(farm, now).date()
    lay_days = farm.settings.lay_hours / 24
    shares = shares_of(pace, lay_days)
    houses = [_House(farm, house, now, days) for house in farm.bins.values() if not _is_empty(house)]
    there = _supply(farm, wanted, houses, today)
    demands = tuple(Demand(day=(w.due - today).days, grade=_GRADES.index(w.size), count=float(w.count)) for w in wanted)
    hatch_age = max(round(lay_days / 2 + pace.egg_days) + STAYING_DAYS, 1)
    works = Works(
        days=days,
        demands=demands,
        shares=tuple(shares[grade] for grade in _GRADES),
        bins=tuple(house.laying_bin(wanted, there) for house in houses),
        tubs=tuple(_tubs(farm, now, hatch_age, houses)),
        hatch_age=hatch_age,
        eggs_a_bin=eggs_a_bin(),
        empty=(float(sum(_is_empty(house) for house in farm.bins.values())),) * days,
        lay_days=max(math.ceil(lay_days - 0.05), 1),
        breeding=_breeding(farm, pace, shares, hatch_age),
    )
    spans = (house.span for house in houses if house.lays)
    return Pipeline(
        today=today,
        works=works,
        bins=tuple(house.house.name for house in houses),
        adults=tuple(house.adults_on(house.lays_from) if house.span else 0.0 for house in houses),
        laying=tuple(sorted((today + s[0] * _DAY, today + s[1] * _DAY) for s in spans if s is not None)),
        uncounted=tuple(house.house.name for house in houses if house.lays and house.adults_at is None),
        pace=pace,
        shares=shares,
    )


def _supply(farm: Farm, wanted: Sequence[Wanted], houses: "Sequence[_House]", today: dt.date) -> Supply | None:
    """Look up what is in the bins, on each day that is asked about, and count those that will lay."""
    days = {one.due for one in wanted} | {today + house.lays_from * _DAY for house in houses if house.lays}
    found = supply_on(farm, forecasts(farm), sorted(days)) if days else None
    for house in houses:
        house.count(found)
    return found


def eggs_a_bin() -> float:
    """Give the eggs that fill a grow-out bin with crickets of two weeks."""
    return ROOM / (HOUSE_CRICKET.hatch_success.value * SURVIVAL_TO_14_DAYS.value)


def eggs_of_tray(farm: Farm, adults: float, temp_c: float = LAY_BIN_C) -> float:
    """Give the eggs that a usual tray of the farm collects of so many grown crickets."""
    tray = Tray(hours=farm.settings.lay_hours, temp_c=temp_c, area_cm2=CONTAINER_CM2)
    return eggs_to_expect(tray, females_among(adults, _ADULT), _ADULT).likely


def _is_empty(house: Bin) -> bool:
    """Tell whether a bin is free to grow crickets out in."""
    return house.holds is Holds.NOTHING and not house.cohorts and house.tray is None and house.held_since is None


def _breeding(farm: Farm, pace: Pace, shares: Numbers, hatch_age: int) -> Breeding:
    kept, grown = to_keep_back(), hatch_age + pace.adult_days
    adults = shares[SizeGrade.ADULT]
    share = adults[min(round(grown + _ADULT.first_lay_days.value), len(adults) - 1)]
    return Breeding(
        eggs_needed=kept / max(share, 1e-3),
        first_age=math.ceil(grown + _ADULT.first_lay_days.value),
        last_age=math.floor(grown + _ADULT.first_lay_days.value + _ADULT.laying_days.value),
        eggs_a_tray=eggs_of_tray(farm, kept),
    )


def _tubs(farm: Farm, now: dt.datetime, hatch_age: int, houses: "Sequence[_House]") -> Iterator[production.Tub]:
    """Give the eggs that are laid already, as if each had stood where new tubs will: what counts is when it hatches."""
    stocked = set(chain.from_iterable(house.house.from_tubs for house in houses))
    known = forecasts(farm)
    for tub in farm.incubating():
        clutch, hatch_at = clutch_of(farm, tub), _hatch_at(tub, known[tub.name].window if tub.name in known else None)
        if clutch is not None and hatch_at is not None and tub.name not in stocked:
            yield production.Tub(day=_days(farm, now, hatch_at) + STAYING_DAYS - hatch_age, eggs=clutch.eggs.likely)
    for house in houses:
        if house.house.tray is not None:
            put_in = _days(farm, now, house.house.tray.put_in_at)
            yield production.Tub(day=put_in, eggs=house.eggs_on(max(put_in, 0)))


def _hatch_at(tub: Tub, window: object) -> dt.datetime | None:
    if tub.hatch_at is not None:
        return tub.hatch_at
    return window.likely if isinstance(window, HatchWindow) else None


def _days(farm: Farm, now: dt.datetime, at: dt.datetime) -> int:
    return (hours.local(farm, at).date() - hours.local(farm, now).date()).days


class _House:
    """A bin with crickets, day by day from today on."""

    def __init__(self, farm: Farm, house: Bin, now: dt.datetime, days: int) -> None:
        self.farm, self.house, self.now, self.days = farm, house, now, days
        self.today = hours.local(farm, now).date()
        span = laying_span(farm, house, now + JUST_IN)
        is_held = house.held_since is not None
        self.span = None if span is None or is_held else (_days(farm, now, span[0]), _days(farm, now, span[1]))
        self.lays = self.span is not None and self.span[1] >= 0
        self.adults_at: tuple[int, float] | None = None  # a day, and the grown crickets likely on it; None: uncounted

    @property
    def lays_from(self) -> int:
        """The first day from today on on which it lays."""
        return 0 if self.span is None else max(self.span[0], 0)

    def count(self, known: Supply | None) -> None:
        """Count those that will lay; where nobody counted them, a usual number is taken."""
        if known is not None and self.lays and self.house.name not in known.uncounted:
            there = dict(known.sources(self.today + self.lays_from * _DAY, SizeGrade.ADULT))
            self.adults_at = self.lays_from, float(there[self.house.name].likely if self.house.name in there else 0)

    def adults_on(self, day: int) -> float:
        """Give the grown crickets there are likely to be on a day on which they lay."""
        if self.adults_at is None:
            return ADULTS
        since, many = self.adults_at
        return many * math.exp2(-(day - since) / _ADULT.half_life_days.value)

    def eggs_on(self, day: int) -> float:
        """Give the eggs of a tray that goes in on a day."""
        read = last_telling(self.house.readings)
        return eggs_of_tray(self.farm, self.adults_on(day), LAY_BIN_C if read is None else middle_of(read))

    def laying_bin(self, wanted: Sequence[Wanted], known: Supply | None) -> LayingBin:
        """Give the bin in numbers."""
        stock = tuple(self._stock(one, known) for one in wanted)
        served = [(one.due - self.today).days for one, there in zip(wanted, stock, strict=True) if there]
        first, last = (self.days, self.days) if self.span is None else self.span
        is_late = hours.local(self.farm, self.now).time() >= LATEST_TRAY
        begins = max(first, int(is_late), self._tray_out())
        lays = range(begins, min(last, self.days - 1) + 1) if self.lays else range(0)
        return LayingBin(
            eggs=tuple(self.eggs_on(day) if day in lays else 0.0 for day in range(self.days)),
            stock=stock,
            kept_until=max(last, 0),
            free_from=max(served, default=self.days) + 1,
        )

    def _tray_out(self) -> int:
        """Give the first day on which a tray that is in now is out."""
        tray = self.house.tray
        if tray is None:
            return 0
        out = hours.local(self.farm, tray.put_in_at + dt.timedelta(hours=self.farm.settings.lay_hours))
        return max((out.date() - self.today).days + (out.time() >= LATEST_TRAY), 0)

    def _stock(self, one: Wanted, known: Supply | None) -> float:
        """Give the crickets that it can be relied on to have for a demand; 0 where they are next to none."""
        if known is None:
            return 0.0
        found = known.stock.reliable(known.days.index(one.due), one.size, RELIED_ON)
        there = found.get(self.house.name, 0.0)
        return there if there >= max(1.0, LEAST_PART * one.count) else 0.0
