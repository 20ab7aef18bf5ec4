"""The batches of crickets and eggs that a farm told of, as the science projects them.

Not for what is asked about them: supply. Of a bin of which nobody said how many are in it nothing is known here.
"""

import datetime as dt
import math
from collections.abc import Iterator, Mapping

import msgspec
from msgspec.structs import replace

from core.farm.cohorts import Cohort
from core.farm.farm import Bin, Farm, Tub
from core.journal.kinds import Holds
from core.rules.eggs import clutch_of
from core.rules.evidence import HOUSE_CRICKET
from core.rules.forecasts import Forecast
from core.rules.growth import BIN_C, Development, development_of, hatched_by_size, share_a_day, taught_by_sizes
from core.rules.space import BIN_CM2
from core.science.availability import Batch
from core.science.development import HatchWindow
from core.science.estimates import QUANTILE_95, Estimate, lognormal
from core.science.species import Species
from core.science.warmth import day_number

LEFT_IN_TUB = dt.timedelta(days=7)  # a guess: pinheads that nobody moved for so long are not there any more
LONGEST = 400  # days that a batch is followed
_DAY = dt.timedelta(days=1)


class Lot(msgspec.Struct, frozen=True, kw_only=True):
    """One batch: all that its numbers rest on, to be told apart from others quickly."""

    name: str  # of the bin or tub
    born_at: dt.datetime
    grown: bool = False  # adults of unknown age
    growth: Development | None  # None: grown
    egg_days: float | None = None  # until the hatch, in the middle; None: hatched
    egg_unknown: float = 0.0  # standard deviation of the logarithm of that, besides the spread within the tub
    start: Estimate
    told: tuple[tuple[dt.datetime, int], ...] = ()
    dead: tuple[tuple[dt.datetime, int], ...] = ()
    area_cm2: float | None = None


def lots(farm: Farm, known: Mapping[str, Forecast], until: dt.datetime) -> tuple[Lot, ...]:
    """Give the batches of a farm whose number is known, with their growth until a time."""
    in_bins = [lot for house in farm.bins.values() for lot in _of_bin(farm, house, until)]
    moved = {tub for house in farm.bins.values() for tub in house.from_tubs}
    in_tubs = (lot for tub in farm.tubs.incubating if tub.name not in moved for lot in _of_tub(farm, tub, known, until))
    return (*in_bins, *in_tubs)


def uncounted(farm: Farm) -> tuple[str, ...]:
    """Name the bins with crickets of which nobody said how many they are, or how old."""
    return tuple(
        house.name
        for house in farm.bins.values()
        if house.holds is not Holds.NOTHING
        and (not house.cohorts or any(not c.is_counted or _born(farm, house, c) is None for c in house.cohorts))
    )


def batch_of(lot: Lot) -> Batch:
    """Write a batch as numbers."""
    kind = HOUSE_CRICKET
    if lot.growth is not None:
        kind = _as_held(lot.growth, lot.egg_unknown)
    return Batch(
        name=lot.name,
        kind=kind,
        born=day_number(lot.born_at),
        gains=() if lot.growth is None else lot.growth.gains,
        egg_days=lot.egg_days,
        start=lot.start,
        told=tuple((day_number(at), count) for at, count in lot.told),
        dead=tuple((day_number(at), count) for at, count in lot.dead),
        area_cm2=lot.area_cm2,
    )


def _as_held(growth: Development, egg_unknown: float) -> Species:
    nymph, egg = HOUSE_CRICKET.nymph, HOUSE_CRICKET.egg
    constant = replace(nymph.thermal_constant, value=growth.constant)
    grows = replace(nymph, thermal_constant=constant, constant_sd=replace(nymph.constant_sd, value=growth.unknown))
    hatches = replace(egg, constant_sd=replace(egg.constant_sd, value=egg_unknown))
    return replace(HOUSE_CRICKET, nymph=grows, egg=hatches)


def _of_bin(farm: Farm, house: Bin, until: dt.datetime) -> Iterator[Lot]:
    for cohort in house.cohorts:
        born_at = _born(farm, house, cohort)
        came_in = sum(count for _, count in cohort.told if count > 0)
        if not cohort.is_counted or not cohort.count or born_at is None:
            continue
        is_grown = house.holds is Holds.ADULTS and cohort.hatched_at is None
        yield Lot(
            name=house.name,
            born_at=born_at,
            growth=None if is_grown else development_of(farm, house, born_at, _days(born_at, until)),
            start=lognormal(float(came_in), 0.0),
            told=cohort.told,
            dead=cohort.dead,
            area_cm2=None if is_grown else BIN_CM2 / len(house.cohorts),
        )


def _born(farm: Farm, house: Bin, cohort: Cohort) -> dt.datetime | None:
    """Tell when crickets hatched: as their tubs did, as was told, or as their size says; of adults when they came."""
    seen = (farm.tubs[name].hatch_at for name in cohort.tubs if name in farm.tubs)
    hatched_at = min((at for at in seen if at is not None), default=cohort.hatched_at)
    if hatched_at is not None:
        return hatched_at
    first = min((at for at, _ in cohort.told), default=None)
    if house.holds is Holds.ADULTS:
        return first
    return hatched_by_size(house)


def _of_tub(farm: Farm, tub: Tub, known: Mapping[str, Forecast], until: dt.datetime) -> Iterator[Lot]:
    clutch = clutch_of(farm, tub)
    if clutch is None or not clutch.eggs.likely:
        return
    if tub.hatch_at is not None:
        if until - tub.hatch_at < LEFT_IN_TUB or tub.hatch_done_at is None:
            start = clutch.pinheads if tub.hatch_count is None else lognormal(float(tub.hatch_count), 0.0)
            growth = _to_come(farm, _days(tub.hatch_at, until))
            yield Lot(name=tub.name, born_at=tub.hatch_at, growth=growth, start=start)
        return
    forecast = known.get(tub.name)
    if forecast is None or tub.pulled_at is None or not isinstance(forecast.window, HatchWindow):
        return
    days = max((forecast.window.likely - tub.pulled_at) / _DAY, 1.0)
    yield Lot(
        name=tub.name,
        born_at=tub.pulled_at,
        growth=_to_come(farm, _days(tub.pulled_at, until)),
        egg_days=days,
        egg_unknown=_egg_unknown(tub.pulled_at, forecast.window),
        start=clutch.eggs,
    )


def _to_come(farm: Farm, days: int) -> Development:
    """Give how crickets will grow that have no bin yet: as in a usual one."""
    held = taught_by_sizes(farm)
    gain = share_a_day(BIN_C) * held.stage.thermal_constant.value
    return Development(gains=(gain,) * days, constant=held.constant, unknown=held.stage.constant_sd.value)


def _egg_unknown(pulled_at: dt.datetime, window: HatchWindow) -> float:
    early, late = ((at - pulled_at) / _DAY for at in (window.earliest, window.latest))
    total = math.log(late / max(early, 1.0)) / (2 * QUANTILE_95) if late > early else 0.0
    return math.sqrt(max(total**2 - HOUSE_CRICKET.egg.spread.value**2, 0.0))


def _days(since: dt.datetime, until: dt.datetime) -> int:
    return min(max(math.ceil((until - since) / _DAY), 1), LONGEST)
