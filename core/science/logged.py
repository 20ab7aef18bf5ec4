"""A hatch forecast from a series of logged temperatures.

Not for reading the file they come in, nor for the readings of a farm, which knows more about its places.
"""

import datetime as dt
import math
from collections.abc import Sequence
from itertools import pairwise

from core.science.development import HatchWindow, TooCold, hatch_window
from core.science.ranges import checked
from core.science.species import species
from core.science.warmth import COLDEST_C, HOTTEST_C, HistoryError, Ramp, Swing, Warmth, day_number

Reading = tuple[dt.datetime, float]  # when, and the temperature [C]

RECENT_DAYS = 3  # what is coming is like these last ones; guess: long enough for a mean, short enough for a change


def forecast(readings: Sequence[Reading], laid_at: dt.datetime, species_name: str) -> HatchWindow | TooCold:
    """Forecast a hatch from logged temperatures.

    Parameters
    ----------
    readings : sequence of (datetime, float), shape (n, 2), n >= 1
        Aware times, each later than the one before, and temperatures, -30 to 60. [C]
    laid_at : datetime
        When the tray was pulled; aware, before, within or after the readings.
    species_name : str
        As `species` takes it.

    Returns
    -------
    HatchWindow or TooCold
        As `hatch_window` gives it.

    Raises
    ------
    HistoryError
        If there are no readings, or their times have no zone, are doubled or out of order.
    OutOfRangeError
        If a temperature is not a number or absurd.
    UnknownSpeciesError
        If there is no such species.

    Notes
    -----
    The temperature goes in straight lines from reading to reading and is integrated exactly. Before the first one its
    value holds. After the last one each day is a sine with the mean of the last whole days, up to three, and their mean
    variance within a day (half-range = sqrt(2 variance)); with less than a day of readings their mean holds.

    Examples
    --------
    >>> start = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
    >>> window = forecast([(start, 32.5), (start + dt.timedelta(days=2), 32.5)], start, "house")
    >>> window.likely.isoformat()
    '2026-05-10T11:43:38+00:00'
    """
    kind = species(species_name)
    _check(readings)
    return hatch_window(_history(readings, laid_at), laid_at, kind)


def _check(readings: Sequence[Reading]) -> None:
    if not readings:
        raise HistoryError("number of readings is 0, must be at least 1")
    for number, (at, temp_c) in enumerate(readings, start=1):
        checked(f"temperature of reading {number} [C]", temp_c, COLDEST_C, HOTTEST_C)
        day_number(at)
    for number, ((earlier, _), (later, _)) in enumerate(pairwise(readings), start=2):
        if day_number(later) <= day_number(earlier):
            raise HistoryError(
                f"time of reading {number} is {later.isoformat()}, must be after the one before, {earlier.isoformat()}"
            )


def _history(readings: Sequence[Reading], laid_at: dt.datetime) -> list[Warmth]:
    (first_at, first_c), last_at = readings[0], readings[-1][0]
    history: list[Warmth] = []
    if day_number(laid_at) < day_number(first_at):
        history.append(Swing(start_at=laid_at, end_at=first_at, low_c=first_c, high_c=first_c))
    history.extend(
        Ramp(start_at=start_at, end_at=end_at, from_c=from_c, to_c=to_c)
        for (start_at, from_c), (end_at, to_c) in pairwise(readings)
    )
    low_c, high_c = _coming_swing([(day_number(at), temp_c) for at, temp_c in readings])
    history.append(Swing(start_at=last_at, low_c=low_c, high_c=high_c))
    return history


def _coming_swing(points: list[tuple[float, float]]) -> tuple[float, float]:
    """Give the low and high of the sine that has the mean and the variance within a day of the last whole days."""
    end = points[-1][0]
    whole_days = min(RECENT_DAYS, math.floor(end - points[0][0] + 1e-9))
    if whole_days == 0:
        mean_c, _ = _moments(points, points[0][0], end)
        return mean_c, mean_c
    days = [_moments(points, end - back, end - back + 1) for back in range(1, whole_days + 1)]
    mean_c = sum(mean for mean, _ in days) / whole_days
    half_range = math.sqrt(2 * sum(variance for _, variance in days) / whole_days)
    return max(COLDEST_C, mean_c - half_range), min(HOTTEST_C, mean_c + half_range)


def _moments(points: list[tuple[float, float]], start: float, end: float) -> tuple[float, float]:
    """Give mean and variance over time of the straight lines between points, from `start` to `end`."""
    if end <= start:
        return points[-1][1], 0.0
    total = squares = span = 0.0
    for (left, left_c), (right, right_c) in pairwise(points):
        first, last = max(left, start), min(right, end)
        if last <= first:
            continue
        slope = (right_c - left_c) / (right - left)
        from_c, to_c = left_c + slope * (first - left), left_c + slope * (last - left)
        total += (from_c + to_c) / 2 * (last - first)
        squares += (from_c**2 + from_c * to_c + to_c**2) / 3 * (last - first)
        span += last - first
    mean = total / span
    return mean, max(0.0, squares / span - mean**2)
