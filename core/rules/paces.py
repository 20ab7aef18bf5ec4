"""How fast eggs and crickets that are yet to be come along on a farm, and what of them can be relied on.

As warm as the farm's tubs and bins are by what was read last; a guess where nobody has. Not for those that are there:
forecasts and growth.
"""

import datetime as dt
import math
from collections.abc import Mapping
from functools import lru_cache

import msgspec
from msgspec.structs import replace

from core.farm.farm import Bin, Farm, Tub, Tubs
from core.rules.evidence import HOUSE_CRICKET, taught_by
from core.rules.forecasts import forecasts
from core.rules.growth import course_of, growth_sd, is_assumed, taught_by_sizes
from core.rules.surroundings import last_telling
from core.science.development import HatchWindow
from core.science.estimates import lognormal
from core.science.laying import FEMALE_SHARE_SD
from core.science.population import assured, steady
from core.science.species import Species
from core.science.stage import Floats
from core.units import SizeGrade

RELIED_ON = 0.25  # quantile: three batches of four give as much, or more; our choice
LONGEST = 300  # days from the lay that are looked at
OLD_ADULTS = 40.0  # days that grown crickets are worth waiting for
_DAY = dt.timedelta(days=1)
_ADULT = HOUSE_CRICKET.adult
Numbers = Mapping[SizeGrade, tuple[float, ...]]  # by day
_EGGS_SD = math.hypot(_ADULT.eggs_a_day_sd.value, FEMALE_SHARE_SD.value)


class Pace(msgspec.Struct, frozen=True, kw_only=True):
    """How long the stages take on a farm as it is now."""

    egg_days: float  # from the lay to half of the pinheads
    adult_days: float  # from hatch to the last moult
    growth_sd: float  # how well that is known: standard deviation of its logarithm
    is_assumed: bool  # nobody has read a thermometer in a bin that crickets grow up in


def pace_of(farm: Farm, now: dt.datetime) -> Pace | None:
    """Give the pace of a farm; None where its places, or its bins, are too cold for one."""
    egg_days, house = _egg_days(farm, now), _grow_out_bin(farm, now)
    course = course_of(farm, house)
    if egg_days is None or course is None or course.adults is None:
        return None
    adult_days = (course.adults - now) / _DAY
    return Pace(
        egg_days=egg_days,
        adult_days=adult_days,
        growth_sd=growth_sd(taught_by_sizes(farm), adult_days),
        is_assumed=is_assumed(house),
    )


def place_for_tubs(farm: Farm) -> str | None:
    """Name the place where the next tub will stand: where the last one does, else the likeliest; None: none known."""
    standing = [tub.place for tub in farm.incubating() if tub.place is not None]
    warm = [place.name for place in farm.places.values() if place.lamp or place.humidifier]
    return next(iter([*standing[-1:], *warm, *farm.places]), None)


def _egg_days(farm: Farm, now: dt.datetime) -> float | None:
    """Give the days from the middle of a lay to the hatch of a tub that is pulled now."""
    place, lay_for = place_for_tubs(farm), dt.timedelta(hours=farm.settings.lay_hours)
    tub = Tub(
        name="T0",
        known_since=now,
        told_at=now,
        pulled_at=now,
        laid_for=lay_for,
        place=place,
        placements=() if place is None else ((now, place),),
    )
    alone = replace(farm, tubs=Tubs({tub.name: tub}))
    window = forecasts(alone, taught_by(farm))[tub.name].window
    return (window.likely - now + lay_for / 2) / _DAY if isinstance(window, HatchWindow) else None


def _grow_out_bin(farm: Farm, now: dt.datetime) -> Bin:
    """Give a bin whose pinheads hatch now, as warm as the bin with crickets that was read last."""
    read = [(reading.at, b.name) for b in farm.bins.values() if (reading := last_telling(b.readings)) and b.cohorts]
    name = max(read)[1] if read else ""
    readings = farm.bins[name].readings if read else Bin(name="").readings
    return Bin(name=name, hatched_at=now, readings=readings)


def shares_of(pace: Pace, lay_days: float) -> Numbers:
    """Give what can be relied on of an egg, alive and in each size, by days since the tray went in."""
    return _shares(round(pace.egg_days, 1), round(pace.adult_days, 1), round(pace.growth_sd, 3), lay_days)


@lru_cache(maxsize=64)
def _shares(egg_days: float, adult_days: float, growth_sd: float, lay_days: float) -> Numbers:
    days = min(math.ceil(lay_days + egg_days + adult_days * 1.3 + OLD_ADULTS), LONGEST)
    laid = lognormal(1.0, _EGGS_SD)
    cohort = steady(laid, HOUSE_CRICKET, egg_days=egg_days, adult_days=adult_days, days=days, day=lay_days / 2)
    return _told(assured(cohort, _known_as(growth_sd), RELIED_ON))


def _told(found: Mapping[SizeGrade, Floats]) -> Numbers:
    return {size: tuple(numbers.tolist()) for size, numbers in found.items()}


def _known_as(sd: float) -> Species:
    nymph = HOUSE_CRICKET.nymph
    return replace(HOUSE_CRICKET, nymph=replace(nymph, constant_sd=replace(nymph.constant_sd, value=sd)))
