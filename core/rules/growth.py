"""How far the crickets of a bin have grown, and when they are adults: by the warmth of the bin and the sizes seen.

Not for how many there are. Not for the arithmetic: that is core.science.growth.
"""

import datetime as dt
import itertools
import math
from collections.abc import Iterator
from functools import lru_cache

import msgspec

from core.farm.farm import Bin, Climate, Farm
from core.farm.series import Series
from core.journal.kinds import Holds
from core.rules.evidence import HOUSE_CRICKET
from core.rules.surroundings import Stretch, last_telling
from core.rules.warmth import Span, history_of
from core.science.calibration import Calibration
from core.science.curve import DevelopmentCurve
from core.science.development import Window, spread_of, window_of
from core.science.estimates import QUANTILE_95
from core.science.grades import GROWN, starts_at
from core.science.growth import Body, body_now
from core.science.learning import Sight, learned
from core.science.seen_sizes import adults_sight, size_sight
from core.science.warmth import Warmth
from core.units import SizeGrade

BIN_C = 28.0  # 82 F; a guess at what a bin of growing crickets is kept at
MOST_SIZES = 60  # seen last; older ones were under other habits
HATCH_SD_DAYS = 1.0  # guess: pinheads of two or three days are put together


class Growth(msgspec.Struct, frozen=True, kw_only=True):
    """How far a bin has come."""

    body: Body  # of a cricket in the middle of its batch, now
    adult: Window | None  # when it has wings; None: it stays too cold
    is_assumed: bool  # nobody has read a thermometer in the bin


def growth_of(farm: Farm, house: Bin, now: dt.datetime) -> Growth | None:
    """Give the growth of a bin; None where it holds no growing crickets, or nobody said since when."""
    hatched_at = hatched(farm, house)
    if hatched_at is None or hatched_at >= now or house.holds is Holds.ADULTS:
        return None
    held = taught_by_sizes(farm)
    rearing = _Rearing(house.name, hatched_at, house.readings.warm, held)
    return Growth(
        body=body_now(_curve(rearing), hatched_at, now, HOUSE_CRICKET),
        adult=_adult(rearing),
        is_assumed=is_assumed(house),
    )


def is_assumed(house: Bin) -> bool:
    """Tell whether the warmth of a bin is a guess, as nobody has read a thermometer in it."""
    return last_telling(house.readings) is None


class Course(msgspec.Struct, frozen=True, kw_only=True):
    """When a cricket in the middle of its batch comes to sizes and wings, and when the first have wings."""

    sizes: tuple[tuple[SizeGrade, dt.datetime], ...]  # those between pinhead and wings that it gets to
    first_adults: dt.datetime | None  # None: it stays too cold
    adults: dt.datetime | None


def course_of(farm: Farm, house: Bin) -> Course | None:
    """Give what the oldest crickets of a bin come to, and when; None where nobody said since when they grow."""
    hatched_at = hatched(farm, house)
    if hatched_at is None:
        return None
    return _course(_Rearing(house.name, hatched_at, house.readings.warm, taught_by_sizes(farm)))


class Development(msgspec.Struct, frozen=True, kw_only=True):
    """How crickets of one bin grow, day by day from their hatch, and how surely that is known."""

    gains: tuple[float, ...]  # of each day [degree-days C]
    constant: float  # that they need from hatch to wings, in the middle [degree-days C]
    unknown: float  # standard deviation of the logarithm of that, besides how one cricket differs from another


def development_of(farm: Farm, house: Bin, hatched_at: dt.datetime, days: int) -> Development:
    """Give how crickets of a bin that hatched at a time grow for so many days: as it was warm, and goes on."""
    return _development(_Rearing(house.name, hatched_at, house.readings.warm, taught_by_sizes(farm)), days)


class _Rearing(msgspec.Struct, frozen=True):
    """All that the growth of a bin rests on; compared whole, which is quick as records stay the same."""

    bin: str
    hatched_at: dt.datetime
    warm: Series[Climate]
    held: Calibration

    def __hash__(self) -> int:
        return hash((self.bin, self.hatched_at, len(self.warm), self.warm[-1:]))


@lru_cache(maxsize=1024)  # the rules ask with every message, and most change the warmth of no bin
def _curve(rearing: _Rearing) -> DevelopmentCurve:
    return DevelopmentCurve(_warmth(rearing.bin, rearing.warm, rearing.hatched_at, None), rearing.held)


@lru_cache(maxsize=1024)
def _adult(rearing: _Rearing) -> Window | None:
    constant = rearing.held.constant
    return window_of(_curve(rearing), rearing.hatched_at, constant, start_sd_days=HATCH_SD_DAYS)


@lru_cache(maxsize=1024)
def _course(rearing: _Rearing) -> Course:
    curve, constant = _curve(rearing), rearing.held.constant
    sized = ((size, starts_at(size, HOUSE_CRICKET.instars)) for size in SizeGrade if size not in GROWN)
    reached = ((size, curve.reached_at(rearing.hatched_at, share * constant)) for size, share in sized if share)
    early = math.exp(-QUANTILE_95 * rearing.held.stage.spread.value)
    return Course(
        sizes=tuple((size, at) for size, at in reached if at is not None),
        first_adults=curve.reached_at(rearing.hatched_at, early * constant),
        adults=curve.reached_at(rearing.hatched_at, constant),
    )


@lru_cache(maxsize=256)
def _development(rearing: _Rearing, days: int) -> Development:
    curve, held, since = _curve(rearing), rearing.held, rearing.hatched_at
    sums = [curve.progress(since, since + dt.timedelta(days=day)) for day in range(days + 1)]
    spread = held.stage.spread.value
    likely = curve.reached_at(since, held.constant)
    known = held.stage.constant_sd.value
    if likely is not None:
        total = spread_of(curve, since, likely, start_sd_days=HATCH_SD_DAYS)
        known = math.sqrt(max(total**2 - spread**2, 0.0))
    return Development(
        gains=tuple(later - sooner for sooner, later in itertools.pairwise(sums)), constant=held.constant, unknown=known
    )


def hatched(farm: Farm, house: Bin) -> dt.datetime | None:
    """Tell when the crickets of a bin hatched: when its tubs did, else when it was stocked, else by the first size."""
    seen = [farm.tubs[name].hatch_at for name in house.from_tubs if name in farm.tubs]
    told = min((at for at in seen if at is not None), default=house.hatched_at)
    return told if told is not None else hatched_by_size(house)


def hatched_by_size(house: Bin) -> dt.datetime | None:
    """Reckon when crickets of unknown age hatched, by the first size that was seen; as in a usual bin."""
    at, size = next(((at, size) for at, size in house.sizes if size not in GROWN), (None, None))
    if at is None or size is None:
        return None
    return at - dt.timedelta(days=starts_at(size, HOUSE_CRICKET.instars) / share_a_day(BIN_C))


def share_a_day(temp_c: float) -> float:
    """Give the share of the development that nymphs go through in a day at a temperature. [1/d]."""
    nymph = HOUSE_CRICKET.nymph
    base = nymph.base_temp_c.value
    least = 0.0 if nymph.least_rate is None else nymph.least_rate.value
    warmth = min(max(temp_c - base, least), nymph.cutoff_c.value - base)
    return warmth / nymph.thermal_constant.value


class _Seen(msgspec.Struct, frozen=True):
    """The sizes that were seen in a bin."""

    bin: str
    hatched_at: dt.datetime | None
    warm: Series[Climate]
    sizes: tuple[tuple[dt.datetime, SizeGrade], ...]


class _AllSeen(msgspec.Struct, frozen=True):
    """The sizes that were seen on a farm; compared whole, as `_Rearing` is."""

    bins: tuple[_Seen, ...]

    def __hash__(self) -> int:
        return hash(tuple((seen.bin, seen.hatched_at, seen.sizes[-1:], len(seen.warm)) for seen in self.bins))


def taught_by_sizes(farm: Farm) -> Calibration:
    """Give what is held of growing crickets on a farm after the sizes and adults that it has seen."""
    seen = (house for house in farm.bins.values() if house.sizes)
    return _taught(
        _AllSeen(tuple(_Seen(house.name, hatched(farm, house), house.readings.warm, house.sizes) for house in seen))
    )


@lru_cache(maxsize=256)
def _taught(seen: _AllSeen) -> Calibration:
    times = sorted((at for house in seen.bins for at, _ in house.sizes[-MOST_SIZES:]), reverse=True)
    since = times[:MOST_SIZES][-1] if times else None
    return learned(HOUSE_CRICKET.nymph, [s for house in seen.bins for s in _sights(house, since)])


def _sights(seen: _Seen, since: dt.datetime | None) -> Iterator[Sight]:
    hatched_at = seen.hatched_at
    if hatched_at is None or since is None:
        return
    first_adults = min((at for at, size in seen.sizes if size is SizeGrade.ADULT), default=None)
    for seen_at, size in seen.sizes[-MOST_SIZES:]:
        if seen_at <= hatched_at or seen_at < since:
            continue
        warmth = _warmth(seen.bin, seen.warm, hatched_at, seen_at)
        sight = (
            adults_sight(warmth, hatched_at, seen_at, HOUSE_CRICKET, start_sd_days=HATCH_SD_DAYS)
            if seen_at == first_adults
            else size_sight(warmth, hatched_at, seen_at, size, HOUSE_CRICKET, start_sd_days=HATCH_SD_DAYS)
        )
        if sight is not None:
            yield sight


def growth_sd(held: Calibration, adult_days: float) -> float:
    """Give how well the days from hatch to the last moult are known, as the standard deviation of their logarithm."""
    excess = held.constant / adult_days  # degrees above the base that it is
    per_base = 1 / excess - held.stage.ridge.value
    (base, both), (_, constant) = (held.covariance[row][:2] for row in (0, 1))
    return math.sqrt(max(constant + 2 * per_base * both + per_base**2 * base, 0.0))


def warmth_in(house: Bin, since: dt.datetime, until: dt.datetime | None) -> list[Warmth]:
    """Give the warmth in a bin, which is dry: as in air full of water, nothing cools it."""
    return _warmth(house.name, house.readings.warm, since, until)


def _warmth(name: str, warm: Series[Climate], since: dt.datetime, until: dt.datetime | None) -> list[Warmth]:
    air = Stretch(place=name, warm=warm, humid=(), assumed_c=BIN_C, assumed_rh=100.0).air(since)
    return history_of((Span(place=name, start_at=since, end_at=until),), (), lambda _: air)
