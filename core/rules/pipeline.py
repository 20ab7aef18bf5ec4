"""A farm in numbers for a plan: which bins lay when, what is in bins and tubs already, which bins are empty.

Not for the search of a plan (core.science.planning) nor for telling it (plans).
"""

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from itertools import chain

import msgspec

from core.farm.cohorts import Cohort
from core.farm.farm import Bin, Farm, Tub
from core.journal.kinds import Holds
from core.rules import hours
from core.rules.breeders import laying_span, to_keep_back
from core.rules.eggs import CONTAINER_CM2, LAY_BIN_C, clutch_of
from core.rules.evidence import HOUSE_CRICKET
from core.rules.forecasts import forecasts
from core.rules.growth import course_of, growth_sd, taught_by_sizes
from core.rules.paces import MIDDLE, RELIED_ON, Numbers, Pace, hatched_at_age, pace_of, shares_of
from core.rules.space import ROOM
from core.rules.surroundings import last_telling, middle_of
from core.science import production
from core.science.development import HatchWindow
from core.science.grades import GROWN
from core.science.laying import Tray, eggs_to_expect, females_among
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS
from core.science.production import Breeding, Demand, LayingBin, Works
from core.units import SizeGrade

ADULTS = 200  # guess: grown crickets of a bin that nobody has counted
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
    demands = tuple(Demand(day=(w.due - today).days, grade=_GRADES.index(w.size), count=float(w.count)) for w in wanted)
    hatch_age = max(round(lay_days / 2 + pace.egg_days), 1)
    works = Works(
        days=days,
        demands=demands,
        shares=tuple(shares[grade] for grade in _GRADES),
        bins=tuple(house.laying_bin(wanted) for house in houses),
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
        adults=tuple(house.adults_on(max(house.span[0], 0)) if house.span else 0.0 for house in houses),
        laying=tuple(sorted((today + s[0] * _DAY, today + s[1] * _DAY) for s in spans if s is not None)),
        uncounted=tuple(house.house.name for house in houses if house.lays and house.is_uncounted),
        pace=pace,
        shares=shares,
    )


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
            yield production.Tub(day=_days(farm, now, hatch_at) - hatch_age, eggs=clutch.eggs.likely)
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
        span = laying_span(farm, house, now)
        is_held = house.held_since is not None
        self.span = None if span is None or is_held else (_days(farm, now, span[0]), _days(farm, now, span[1]))
        self.lays = self.span is not None and self.span[1] >= 0
        self._grown = () if is_held else tuple(self._cohorts())
        self._told = None if is_held else house.count
        self.is_uncounted = self._told is None

    def adults_on(self, day: int) -> float:
        """Give the grown crickets there are likely to be on a day."""
        if self._told is None:
            return ADULTS
        if self.house.holds is Holds.ADULTS:
            return self._told * math.exp2(-(day + self._since_told()) / _ADULT.half_life_days.value)
        return sum(_at(middle[SizeGrade.ADULT], day + age) for _, middle, age in self._grown)

    def eggs_on(self, day: int) -> float:
        """Give the eggs of a tray that goes in on a day."""
        read = last_telling(self.house.readings)
        return eggs_of_tray(self.farm, self.adults_on(day), LAY_BIN_C if read is None else middle_of(read))

    def laying_bin(self, wanted: Sequence[Wanted]) -> LayingBin:
        """Give the bin in numbers."""
        today = hours.local(self.farm, self.now)
        stock = tuple(self._stock(one.size, (one.due - today.date()).days, one.count) for one in wanted)
        served = [(one.due - today.date()).days for one, there in zip(wanted, stock, strict=True) if there]
        first, last = (self.days, self.days) if self.span is None else self.span
        free_from = max(served, default=self.days) + 1
        begins = max(first, int(today.time() >= LATEST_TRAY), self._tray_out())
        lays = range(begins, min(last, self.days - 1) + 1) if self.lays else range(0)
        return LayingBin(
            eggs=tuple(self.eggs_on(day) if day in lays else 0.0 for day in range(self.days)),
            stock=stock,
            kept_until=max(last, 0),
            free_from=free_from,
        )

    def _tray_out(self) -> int:
        """Give the first day on which a tray that is in now is out."""
        tray = self.house.tray
        if tray is None:
            return 0
        return max(_days(self.farm, self.now, tray.put_in_at + dt.timedelta(hours=self.farm.settings.lay_hours)), 0)

    def _stock(self, size: SizeGrade, day: int, count: int) -> float:
        """Give the crickets that it can be relied on to have of a size on a day; 0 where they are next to none."""
        if self.house.holds is Holds.ADULTS and self._told is not None:
            there = self.adults_on(day) if size in GROWN else 0.0
        else:
            there = sum(_at(reliable[size], day + age) for reliable, _, age in self._grown)
        return there if there >= max(1.0, 0.02 * count) else 0.0

    def _cohorts(self) -> Iterator[tuple[Numbers, Numbers, int]]:
        """Give what is reliable and what is likely of each batch by its age, and its age today."""
        course = course_of(self.farm, self.house)
        oldest = self.house.hatched_at
        if course is None or course.adults is None or oldest is None or self.house.holds is Holds.ADULTS:
            return
        pace_days = max((course.adults - oldest) / _DAY, 1.0)
        sd = growth_sd(taught_by_sizes(self.farm), pace_days)
        for cohort in self.house.cohorts:
            if cohort.hatched_at is None or not cohort.count:
                continue
            age = max(_days(self.farm, cohort.hatched_at, self.now), 0)
            counted = max(_days(self.farm, cohort.hatched_at, _counted_at(cohort, cohort.hatched_at)), 0)
            reliable, middle = (
                hatched_at_age(cohort.count, counted, pace_days, sd, age + self.days, quantile)
                for quantile in (RELIED_ON, MIDDLE)
            )
            yield reliable, middle, age

    def _since_told(self) -> int:
        told = [at for cohort in self.house.cohorts for at, _ in cohort.told]
        return max(_days(self.farm, max(told), self.now), 0) if told else 0


def _counted_at(cohort: Cohort, otherwise: dt.datetime) -> dt.datetime:
    return max((at for at, _ in cohort.told), default=otherwise)


def _at(numbers: Sequence[float], age: int) -> float:
    return numbers[age] if 0 <= age < len(numbers) else 0.0
