"""What is known of the air around tubs: the readings of a place that tell something, and guesses where there are none.

Not for the warmth that a tub has had there: see warmth.
"""

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence

import msgspec

from core.farm.farm import Climate, Place, Readings
from core.science.logged import RECENT_DAYS
from core.science.warmth import COLDEST_C, HOTTEST_C

LAMP_C, LAMP_RH = 30.0, 45.0  # 86 F; a guess at what a shelf under a heat lamp is like
HUMID_C, HUMID_RH = 29.5, 85.0  # 85 F; a guess at a room warm and humid enough to need no cover
ROOM_C, ROOM_RH = 24.0, 60.0  # 75 F; a guess at a warm room
RECENT = dt.timedelta(days=RECENT_DAYS)  # what is to come is like this long before the last reading

NOTHING_READ = Readings()

_Humidity = tuple[dt.datetime, float]


class Air(msgspec.Struct, frozen=True, kw_only=True):
    """The air of a place over the time that is asked about."""

    place: str | None
    readings: tuple[Climate, ...]  # that tell how warm it was, by time
    humidity: tuple[_Humidity, ...]  # by time [%]
    assumed_c: float  # where there are no readings
    assumed_rh: float

    def rh_at(self, at: dt.datetime) -> float:
        """Give the relative humidity last read by then, else the first one read later, else the guess. [%]."""
        if not self.humidity:
            return self.assumed_rh
        return self.humidity[max(0, bisect_right(self.humidity, at, key=lambda r: r[0]) - 1)][1]


def assumed_c(place: Place | None) -> float:
    """Guess the temperature of a place that nobody has read a thermometer in."""
    if place is not None and place.lamp:
        return LAMP_C
    if place is not None and place.humidifier:
        return HUMID_C
    return ROOM_C


def assumed_rh(place: Place | None) -> float:
    """Guess the relative humidity of a place that nobody has read a hygrometer in. [%]."""
    if place is not None and place.lamp:
        return LAMP_RH
    if place is not None and place.humidifier:
        return HUMID_RH
    return ROOM_RH


class Stretch(msgspec.Struct, frozen=True, kw_only=True):
    """What was read in a place over some time, and what is guessed where nothing was. Compared quickly: by identity."""

    place: str | None
    warm: Sequence[Climate]  # that may tell how warm it was, by time
    humid: Sequence[Climate]  # that tell how humid it was, by time
    assumed_c: float
    assumed_rh: float

    def air(self, since: dt.datetime, until: dt.datetime | None = None) -> Air:
        """Give the air over a time within; without an end, of what is to come as well."""
        humid = _bearing(self.humid, since, until, _tells_humidity)
        return Air(
            place=self.place,
            readings=_bearing(self.warm, since, until, tells_warmth),
            humidity=tuple((r.at, r.rh) for r in humid if r.rh is not None),
            assumed_c=self.assumed_c,
            assumed_rh=self.assumed_rh,
        )


def air_of(place: Place | None, since: dt.datetime, until: dt.datetime | None = None) -> Air:
    """Give what is known of the air of a place over a time; without an end, of what is to come as well."""
    return _stretch(place, slice(None), slice(None)).air(since, until)


def stretch_of(place: Place | None, since: dt.datetime, until: dt.datetime) -> Stretch:
    """Give what was read in a place, of all that bears on any time between two."""
    if place is None:
        return _stretch(None, slice(0), slice(0))
    warm = _reach(place.readings.warm, since, until, tells_warmth)
    return _stretch(place, warm, _reach(place.readings.humid, since, until, _tells_humidity))


def _stretch(place: Place | None, warm: slice, humid: slice) -> Stretch:
    readings = NOTHING_READ if place is None else place.readings
    return Stretch(
        place=None if place is None else place.name,
        warm=readings.warm if warm == slice(None) else readings.warm[warm],
        humid=readings.humid if humid == slice(None) else readings.humid[humid],
        assumed_c=assumed_c(place),
        assumed_rh=assumed_rh(place),
    )


def tells_warmth(reading: Climate) -> bool:
    """Say whether a reading tells how warm it was; a low or a high alone does not, nor a slip that a fix let in."""
    figures = [t for t in (reading.temp_c, reading.low_c, reading.high_c) if t is not None]
    if not all(COLDEST_C <= t <= HOTTEST_C for t in figures):
        return False
    if reading.low_c is not None and reading.high_c is not None:
        return reading.low_c <= reading.high_c
    return reading.temp_c is not None


def range_of(reading: Climate) -> tuple[float, float]:
    """Give the low and the high of a reading that tells how warm it was; a single figure is both. [C]."""
    if reading.low_c is not None and reading.high_c is not None:
        return reading.low_c, reading.high_c
    single = next(t for t in (reading.temp_c, reading.low_c, reading.high_c) if t is not None)
    return single, single


def middle_of(reading: Climate) -> float:
    """Give the middle of a reading that tells how warm it was. [C]."""
    return sum(range_of(reading)) / 2


def telling(readings: Readings) -> tuple[Climate, ...]:
    """Keep the readings that tell how warm it was."""
    return tuple(r for r in readings.warm if tells_warmth(r))


def last_telling(readings: Readings) -> Climate | None:
    """Give the last reading that tells how warm it was."""
    return next((r for r in reversed(readings.warm) if tells_warmth(r)), None)


def _tells_humidity(reading: Climate) -> bool:
    return reading.rh is not None


_Tells = Callable[[Climate], bool]


def _bearing(
    readings: Sequence[Climate], since: dt.datetime, until: dt.datetime | None, tells: _Tells
) -> tuple[Climate, ...]:
    """Give the readings that bear on a time: those from it on, the one before, and the last days of all of them."""
    end = len(readings) if until is None else _count_until(readings, until)
    newest = _last_before(readings, end, tells)
    if newest is None:
        return ()
    first = _count_before(readings, min(since, readings[newest].at - RECENT))
    before = _last_before(readings, first, tells)
    told = tuple(r for r in readings[first:end] if tells(r))
    return told if before is None else (readings[before], *told)


def _reach(readings: Sequence[Climate], since: dt.datetime, until: dt.datetime, tells: _Tells) -> slice:
    """Give where the readings are that bear on any time between two: what was known at first goes back furthest."""
    first = _count_until(readings, since)
    known = _last_before(readings, first, tells)
    if known is not None:
        first = _count_before(readings, readings[known].at - RECENT)
        before = _last_before(readings, first, tells)
        first = first if before is None else before
    return slice(first, _count_until(readings, until))


def _last_before(readings: Sequence[Climate], end: int, tells: _Tells) -> int | None:
    return next((i for i in range(end - 1, -1, -1) if tells(readings[i])), None)


def _count_before(readings: Sequence[Climate], at: dt.datetime) -> int:
    return bisect_left(readings, at, key=lambda r: r.at)


def _count_until(readings: Sequence[Climate], at: dt.datetime) -> int:
    return bisect_right(readings, at, key=lambda r: r.at)
