"""Speed of the science: a forecast from a log, the forecasts of a large farm, learning. Run by deploy/bench."""

import datetime as dt
import math
import statistics
import time
from collections.abc import Callable, Iterator

import numpy as np

from core.farm.farm import Climate, Farm, Place, Readings, Settings, Tub, Tubs
from core.rules.forecasts import forecasts
from core.science.learning import Sight, learned
from core.science.logged import Log, forecast
from core.science.species import species
from core.science.warmth import Gauge, Ramp, Warmth, day_number

NOW = dt.datetime(2026, 7, 14, 14, tzinfo=dt.UTC)
HOUSE = species("house")
DAY = dt.timedelta(days=1)
PLACES = 8
TIMES = 15


def figures() -> Iterator[tuple[str, float, float]]:
    """Give what was measured, in milliseconds, and what it should be under."""
    pulled = NOW - 60 * DAY
    days = day_number(pulled) + np.arange(60 * 96) / 96
    log = Log(days=days, temps_c=22 + 5 * np.sin(2 * np.pi * days), drops_c=np.zeros(len(days)))
    yield "window of a tub, 60 days of readings each quarter of an hour", _ms(lambda: forecast(log, pulled, HOUSE)), 2
    farms = iter([_farm(200, number) for number in range(TIMES)])  # each another one: what was reckoned is kept
    yield (
        f"windows of 200 tubs in {PLACES} places, 60 days of two readings a day",
        _ms(lambda: forecasts(next(farms))),
        100,
    )
    sights = [_sight(number) for number in range(100)]
    yield "learning from 100 hatches, two readings a day", _ms(lambda: learned(HOUSE.egg, sights)), 50


def _ms(work: Callable[[], object]) -> float:
    def seconds() -> float:
        start = time.perf_counter()
        work()
        return time.perf_counter() - start

    return statistics.median(seconds() for _ in range(TIMES)) * 1e3


def _farm(tubs: int, shift: int) -> Farm:
    """Give a farm with tubs of all ages, pulled one after the other over the last days."""
    places = [_place(number, shift) for number in range(PLACES)]
    pulled = [NOW - 8 * DAY * number / tubs for number in range(tubs)]
    held = [
        Tub(
            name=f"T{n}",
            known_since=at,
            told_at=at,
            pulled_at=at,
            place=places[n % PLACES].name,
            covers=((at, n % 3 == 0),),
        )
        for n, at in enumerate(pulled, start=1)
    ]
    return Farm(
        settings=Settings(timezone="America/Denver"),
        places={place.name: place for place in places},
        tubs=Tubs({tub.name: tub for tub in held}),
    )


def _place(number: int, shift: int) -> Place:
    readings = tuple(
        Climate(at=NOW - 60 * DAY + half * DAY / 2, temp_c=27.0 + number / 4 + shift / 99 + half % 5, rh=50.0 + number)
        for half in range(120)
    )
    return Place(name=f"shelf {number}", readings=Readings(readings))


def _sight(number: int) -> Sight:
    since = NOW - (200 - number) * DAY
    days = 11 + math.sin(number)
    return Sight(history=tuple(_ramps(number, since, days)), since=since, seen_at=since + days * DAY)


def _ramps(number: int, since: dt.datetime, days: float) -> Iterator[Warmth]:
    gauge, end = Gauge(f"shelf {number % PLACES}"), since + days * DAY
    for half in range(math.ceil(days * 2)):
        start = since + half * DAY / 2
        until = min(start + DAY / 2, end)
        yield Ramp(start_at=start, end_at=until, from_c=28.0 + half % 5, to_c=28.0 + (half + 1) % 5, gauge=gauge)


if __name__ == "__main__":
    for what, milliseconds, most in figures():
        print(f"{what:<70} {milliseconds:7.3g} ms (under {most})")
