"""A hatch forecast from a series of logged temperatures.

Not for reading the file they come in, nor for the readings of a farm, which knows more about its places.
"""

import datetime as dt
import math
from collections.abc import Sequence

import msgspec
import numpy as np

from core.science.curve import DevelopmentCurve
from core.science.development import HatchWindow, NoForecast, hatch_window
from core.science.ranges import checked
from core.science.species import Species
from core.science.stage import Floats
from core.science.warmth import ANY_GAUGE, COLDEST_C, HOTTEST_C, MOST_DROP_C, HistoryError, Segments, at_day, day_number

Reading = tuple[dt.datetime, float]  # when, and the temperature [C]

RECENT_DAYS = 3  # what is coming is like these last ones; guess: long enough for a mean, short enough for a change
FADING = 0.5  # each of them counts half as much as the one after it; guess
MOST_GAP_DAYS = 7.0  # guess: over a longer gap a straight line tells nothing
HOTTEST_MEAN_C = 45.0  # no eggs live at such a mean; it is a file in degrees Fahrenheit, or a sensor in the sun


class Log(msgspec.Struct, frozen=True, kw_only=True):
    """Readings as arrays of shape (n,), n >= 1."""

    days: Floats  # since 1970, each later than the one before
    temps_c: Floats
    drops_c: Floats  # by how much a surface that dries freely is cooler; 0: dry or closed

    def __post_init__(self) -> None:
        if not len(self.days):
            raise HistoryError("number of readings is 0, must be at least 1")
        if len(self.drops_c) != len(self.days):
            raise HistoryError(
                f"number of drops is {len(self.drops_c)}, must be that of the readings, {len(self.days)}"
            )
        _check_each("temperature", self.temps_c, COLDEST_C, HOTTEST_C)
        _check_each("drop", self.drops_c, 0.0, MOST_DROP_C)
        steps = np.diff(self.days)
        if (steps <= 0).any():
            number = int(np.argmax(steps <= 0))
            later, earlier = (at_day(float(self.days[i]), dt.UTC).isoformat() for i in (number + 1, number))
            raise HistoryError(f"time of reading {number + 2} is {later}, must be after the one before, {earlier}")
        if (steps > MOST_GAP_DAYS).any():
            number = int(np.argmax(steps > MOST_GAP_DAYS))
            checked(f"gap before reading {number + 2} [days]", float(steps[number]), 0.0, MOST_GAP_DAYS)
        checked("mean of all readings [C]", float(self.temps_c.mean()), COLDEST_C, HOTTEST_MEAN_C)


def _check_each(quantity: str, values: Floats, least: float, most: float) -> None:
    wrong = ~((values >= least) & (values <= most))
    if wrong.any():
        number = int(np.argmax(wrong))
        checked(f"{quantity} of reading {number + 1} [C]", float(values[number]), least, most)


def log_of(readings: Sequence[Reading], drops_c: Sequence[float] | None = None) -> Log:
    """Put readings into arrays.

    Parameters
    ----------
    readings : sequence of (datetime, float), shape (n, 2), n >= 1
        Aware times, each later than the one before and at most a week, and temperatures, -30 to 60, 45 at most in the
        mean. [C]
    drops_c : sequence of float, shape (n,), optional
        By how much a wet surface that dries freely was cooler than the air at each reading, 0 to 40. [C]

    Raises
    ------
    HistoryError
        If there are no readings, not as many drops, or their times have no zone, are doubled or out of order.
    OutOfRangeError
        If a temperature or a drop is not a number or absurd, or a gap too long.
    """
    return Log(
        days=np.array([day_number(at) for at, _ in readings]),
        temps_c=np.array([temp_c for _, temp_c in readings], dtype=np.float64),
        drops_c=np.zeros(len(readings)) if drops_c is None else np.array(drops_c),
    )


def forecast(log: Log, laid_at: dt.datetime, species: Species) -> HatchWindow | NoForecast:
    """Forecast a hatch from logged temperatures.

    Parameters
    ----------
    log : Log
        The readings.
    laid_at : datetime
        When the tray was pulled; aware, before, within or after the readings.
    species : Species
        Whose eggs.

    Returns
    -------
    HatchWindow or NoForecast
        As `hatch_window` gives it.

    Notes
    -----
    The temperature goes in straight lines from reading to reading and is integrated exactly. Before the first one its
    value holds. After the last one each day is a sine, see `coming_swing`.

    Examples
    --------
    >>> from core.science.species import species
    >>> start = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
    >>> log = log_of([(start, 32.5), (start + dt.timedelta(days=2), 32.5)])
    >>> forecast(log, start, species("house")).likely.isoformat()
    '2026-05-10T03:39:40+00:00'
    """
    curve = DevelopmentCurve(_segments(log, day_number(laid_at)), species.egg)
    return hatch_window(curve, laid_at, species)


def _segments(log: Log, laid: float) -> Segments:
    """Join the readings by ramps; before them, if need be, and after them stand swings."""
    early = laid < log.days[0]
    first = [0] if early else []
    low_c, high_c = coming_swing(log.days, log.temps_c)
    starts = np.concatenate([[laid] if early else [], log.days])
    return Segments(
        starts=starts,
        lengths=np.append(np.diff(starts), math.inf),
        from_c=np.concatenate([log.temps_c[first], log.temps_c[:-1], [low_c]]),
        to_c=np.concatenate([log.temps_c[first], log.temps_c[1:], [high_c]]),
        swings=np.concatenate([np.ones(len(first), bool), np.zeros(len(log.days) - 1, bool), [True]]),
        drops_c=np.concatenate([log.drops_c[first], (log.drops_c[:-1] + log.drops_c[1:]) / 2, [log.drops_c[-1]]]),
        gauge_of=np.zeros(len(starts), np.intp),
        gauges=(ANY_GAUGE,),
    )


def coming_swing(days: Floats, temps_c: Floats) -> tuple[float, float]:
    """Tell what the days after some readings will be like.

    Parameters
    ----------
    days : ndarray, shape (n,), n >= 1
        Times of the readings, rising. [days]
    temps_c : ndarray, shape (n,)
        The readings. [C]

    Returns
    -------
    tuple of float
        Low and high of the days to come. [C]

    Notes
    -----
    The sine that has the mean, and the mean variance within a day, of the last whole days, three at most, each counting
    half as much as the one after it; its half-range is sqrt(2 variance). With less than a day of readings their mean
    holds, with one its value.

    Examples
    --------
    >>> low_c, high_c = coming_swing(np.array([0.0, 1.0, 2.0]), np.array([20.0, 30.0, 30.0]))
    >>> round(low_c, 2), round(high_c, 2)
    (25.98, 30.69)
    """
    end, span = float(days[-1]), float(days[-1] - days[0])
    whole_days = min(RECENT_DAYS, math.floor(span + 1e-9))
    if whole_days == 0:
        mean_c = _moments(days, temps_c, float(days[0]), end)[0] if span else float(temps_c[-1])
        return mean_c, mean_c
    moments = np.array([_moments(days, temps_c, end - back, end - back + 1) for back in range(1, whole_days + 1)])
    mean_c, variance = np.average(moments, axis=0, weights=FADING ** np.arange(whole_days))
    half_range = math.sqrt(2 * variance)
    return max(COLDEST_C, float(mean_c - half_range)), min(HOTTEST_C, float(mean_c + half_range))


def _moments(days: Floats, temps_c: Floats, start: float, end: float) -> tuple[float, float]:
    """Give mean and variance over time of the straight lines between readings, from `start` to `end`."""
    inside = days[(days > start) & (days < end)]
    at = np.concatenate([[start], inside, [end]])
    temps = np.interp(at, days, temps_c)
    lengths, one, other = np.diff(at), temps[:-1], temps[1:]
    mean = float(lengths @ (one + other)) / (2 * (end - start))
    squares = float(lengths @ (one**2 + one * other + other**2)) / (3 * (end - start))
    return mean, max(0.0, squares - mean**2)
