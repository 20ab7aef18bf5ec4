"""Farms made up by chance and driven by real temperatures: what is true of them, and what their keepers see.

What is true of a farm, its thermometers and its hatches is drawn from what is held before anything is seen. How good
the forecasts are that are made there: trials.

The hours are those that vega_datasets ships, usual ones of Seattle and San Francisco in 2010. They know no weather, so
the farms of Seattle have the lows and highs measured there from 2012 to 2015, with the usual shape of a day between.
"""

import datetime as dt
import functools
import math
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from vega_datasets import local_data

from core import units
from core.science.calibration import FARM_OFFSET_SD_C
from core.science.learning import Sight
from core.science.species import SpeciesName, species
from core.science.stage import Floats
from core.science.substrate import COOLING_SHARE, COOLING_SHARE_SD, surface_drop_c
from core.science.warmth import THERMOMETER_SD_C, Gauge, Ramp

SEED = 20260305
HOUSE = species(SpeciesName.HOUSE)
EGG = HOUSE.egg
NEW_YEAR = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)
HOURS, DAYS, DAY, WEEK = 8_760, 365, 24, 168
LOOK = 12  # hours: the thermometer is read twice a day
LONGEST_DAYS = 120  # that eggs are followed for
SPACING_DAYS = 4  # between the trays of a place
NOTICED_SD_DAYS = 0.3  # as a sight says unless told otherwise
GRID_C = np.arange(-30.0, 61.0)  # temperatures that drops are worked out for; between them they go in lines
HUMIDITIES = tuple(range(40, 90, 5))  # [%]


class Truth(NamedTuple):
    """What is true of the eggs of a farm and of its thermometers."""

    base_c: float
    constant: float
    share: float
    offset_c: float  # what all its thermometers read too low

    @property
    def as_values(self) -> Floats:
        """As a calibration keeps it: base and constant as differences, and the share."""
        base = self.base_c - EGG.base_temp_c.value
        return np.array(
            [base, math.log(self.constant / EGG.thermal_constant.value) + EGG.ridge.value * base, self.share]
        )


class Place(NamedTuple):
    """A place for tubs, over a year."""

    kind: str
    air_c: Floats  # shape (HOURS,)
    offset_c: float  # what its thermometer reads too low, in all
    rh: float
    gauge: Gauge

    def told_c(self, hours: Floats) -> Floats:
        """What its thermometer shows, to half a degree."""
        return np.round(2 * (np.interp(hours, np.arange(HOURS), self.air_c) - self.offset_c)) / 2


class Slip(NamedTuple):
    """What goes wrong with a tub."""

    late_days: float = 0.0  # noticed so much later
    lay_days: float = 1.0  # how long the tray was in; one day is what is said
    is_by_looks: bool = False  # seen at the next look, never early


NO_SLIP = Slip()


class Tub(NamedTuple):
    """A tray of eggs; times in hours of the year."""

    place: Place
    is_covered: bool
    pulled: float
    hatched: float
    middle: float  # when the egg hatches that was laid in the middle and takes the middle time
    seen: float


@functools.cache
def outdoors(city: str, year: int | None = None) -> Floats:
    """The hours of a year in a city, with the lows and highs of a measured year of Seattle if asked for. [C]."""
    frame = getattr(local_data, f"{city}_temps")()
    hours = ((frame.date - frame.date.iloc[0]).dt.total_seconds() / 3600).to_numpy()
    temps_c = [units.to_celsius(temp, units.TemperatureUnit.FAHRENHEIT) for temp in frame.temp]
    usual = np.interp(np.arange(HOURS), hours, temps_c)
    if year is None:
        return usual
    measured, days = local_data.seattle_weather(), usual.reshape(DAYS, DAY)
    measured = measured[measured.date.dt.year == year][:DAYS]
    low, high = measured.temp_min.to_numpy(), measured.temp_max.to_numpy()

    def by_hour(by_day: Floats) -> Floats:
        return np.interp(np.arange(HOURS), np.arange(DAYS) * DAY + DAY / 2, by_day)

    shape = usual - by_hour(days.mean(axis=1))
    return by_hour((low + high) / 2) + by_hour((high - low) / np.ptp(days, axis=1)) * shape


def weather(rng: np.random.Generator) -> Floats:
    """A year of one of the two cities."""
    return outdoors("sf") if rng.random() < 0.5 else outdoors("seattle", int(rng.integers(2012, 2016)))


def truth(rng: np.random.Generator) -> Truth:
    """Draw what is true of a farm."""
    base = rng.normal(0.0, EGG.base_sd_c.value)
    return Truth(
        base_c=EGG.base_temp_c.value + base,
        constant=EGG.thermal_constant.value * math.exp(rng.normal(0, EGG.constant_sd.value) - EGG.ridge.value * base),
        share=rng.normal(COOLING_SHARE.value, COOLING_SHARE_SD.value),
        offset_c=rng.normal(0.0, FARM_OFFSET_SD_C),
    )


def shelf(rng: np.random.Generator, level_c: float | None = None) -> Floats:
    """A heated shelf: three tenths of what the weather does within a week come through."""
    out = weather(rng)
    around = np.concatenate([out[-WEEK // 2 :], out, out[: WEEK // 2 - 1]])
    usual_c = rng.uniform(26, 33) if level_c is None else level_c
    return usual_c + 0.3 * (out - np.convolve(around, np.ones(WEEK) / WEEK, "valid"))


def garage(rng: np.random.Generator, level_c: float | None = None) -> Floats:
    """A garage in summer: seven tenths of what the weather does come through."""
    out = weather(rng)
    usual_c = rng.uniform(24, 29) if level_c is None else level_c
    return usual_c + 0.7 * (out - out[151 * DAY : 243 * DAY].mean())


KINDS = {"shelf": shelf, "garage": garage}


def place(
    rng: np.random.Generator,
    farm: Truth,
    kind: str,
    *,
    name: str = "",
    level_c: float | None = None,
    gauge_sd_c: float = THERMOMETER_SD_C,
    reads_high_c: float | None = None,
) -> Place:
    """Draw a place with its thermometer."""
    offset_c = farm.offset_c + rng.normal(0.0, gauge_sd_c) if reads_high_c is None else -reads_high_c
    return Place(kind, KINDS[kind](rng, level_c), offset_c, float(rng.choice(HUMIDITIES)), Gauge(name, gauge_sd_c))


@functools.cache
def drops(rh: float, *, is_covered: bool) -> Floats:
    """The drop of a wet surface at each temperature of the grid. [C]."""
    return np.array([surface_drop_c(temp_c, rh, is_covered=is_covered) for temp_c in GRID_C])


def tub(rng: np.random.Generator, farm: Truth, where: Place, pulled: float, slip: Slip = NO_SLIP) -> Tub:
    """Draw a tub, and let its eggs develop; not by the code that is tested."""
    is_covered = bool(rng.random() < 0.5)
    first = int(pulled) - int(slip.lay_days * DAY) - DAY
    at = first + np.arange(LONGEST_DAYS * DAY + 1)
    air_c = where.air_c[at[:-1] % HOURS]
    eggs_c = air_c - farm.share * np.interp(air_c, GRID_C, drops(where.rh, is_covered=is_covered))
    knots_c = (farm.base_c, EGG.cutoff_c.value, EGG.falls_from_c.value, EGG.upper_limit_c.value)
    most = EGG.cutoff_c.value - farm.base_c
    progress = np.concatenate([[0.0], np.cumsum(np.interp(eggs_c, knots_c, (0.0, most, most, 0.0)) / DAY)])

    def end(start: float, constant: float) -> float:
        return float(np.interp(np.interp(start, at, progress) + constant, progress, at))

    laid = pulled + DAY * rng.uniform(0.5 - slip.lay_days, 0.5)
    hatched = end(laid, farm.constant * math.exp(rng.normal(0.0, EGG.spread.value)))
    noticed = rng.uniform(0, LOOK) if slip.is_by_looks else rng.normal(0.0, NOTICED_SD_DAYS * DAY)
    seen = hatched + noticed + slip.late_days * DAY
    return Tub(where, is_covered, pulled, hatched, end(pulled, farm.constant), seen)


def moment(hour: float) -> dt.datetime:
    """The time of an hour of the year, to the second."""
    return NEW_YEAR + dt.timedelta(seconds=round(hour * 3600))


def warmth(of: Tub, until: float) -> list[Ramp]:
    """What the thermometer told of a tub's place twice a day, joined by lines."""
    hours = np.append(np.arange(of.pulled, until - 0.01, LOOK), until)
    temps_c = of.place.told_c(hours).tolist()
    surface_c = [surface_drop_c(temp_c, of.place.rh, is_covered=of.is_covered) for temp_c in temps_c]
    told = list(zip(map(moment, hours.tolist()), temps_c, surface_c, strict=True))
    return [
        Ramp(start_at=start, end_at=end, from_c=one, to_c=other, drop_c=(drop + later) / 2, gauge=of.place.gauge)
        for (start, one, drop), (end, other, later) in pairwise(told)
    ]


def sight(of: Tub) -> Sight:
    """A seen hatch, as it is told: a lay of a day, noticed in time."""
    return Sight(history=warmth(of, of.seen), since=moment(of.pulled), seen_at=moment(of.seen))
