"""The window in which a stage ends: when pinheads appear, or crickets have grown to a size.

Not for the adding up along a history of warmth: see curve. Harm by heat is not in here.
"""

import datetime as dt
import math
from collections.abc import Sequence

import msgspec

from core.science.curve import FURTHEST_DAYS, DevelopmentCurve
from core.science.estimates import QUANTILE_95
from core.science.figures import Figure, Mark
from core.science.ranges import checked
from core.science.species import Species
from core.science.warmth import HistoryError, Warmth, at_day, day_number

# How far the mean of the days to come may be from that of the last ones. Weather that comes through to a place both
# swings its days and makes one week unlike the next.
COMING_PER_RANGE = Figure(
    value=0.3,
    unit="1",
    mark=Mark.DERIVED,
    source="Seattle 2012 to 2015, days measured by NOAA: the mean of ten days is off that of the three before them by "
    "2.5 C (standard deviation), and a day ranges over 8.3 C",
)
STEADIEST_SD_C = 0.5  # guess: a heater that holds its temperature; or one reading a day, which tells no range
UNSTEADIEST_SD_C = 1.5  # guess: wider days are more often a lamp's, which come again, than the weather's
WIDEST_SPREAD = 0.5  # of the logarithm; a window wider than from half to twice the time tells nothing more


class Window(msgspec.Struct, frozen=True, kw_only=True):
    """When something will have come together."""

    earliest: dt.datetime  # 5 % quantile
    likely: dt.datetime  # median
    latest: dt.datetime  # 95 % quantile


class HatchWindow(Window, frozen=True, kw_only=True):
    """When pinheads will appear, and what that rests on."""

    degree_days_needed: float  # C
    air_temp_c: float  # mean of what was told, from the lay to the likely hatch
    egg_temp_c: float  # mean around the eggs, the same
    cooling_c: float  # by how much of that the wet substrate is cooler than the air, the same
    is_untested: bool  # so cool that the straight line is untested; the spread is doubled


class NoForecast(msgspec.Struct, frozen=True, kw_only=True):
    """No window: with what is coming, the eggs all but stand still."""

    mean_temp_c: float  # of the air that is coming, as told
    limit_c: float  # of the air: beyond it there would be one


class TooCold(NoForecast, frozen=True, kw_only=True):
    """It is too cold for the eggs."""


class TooHot(NoForecast, frozen=True, kw_only=True):
    """It is too hot for the eggs."""


def spread_of(curve: DevelopmentCurve, since: dt.datetime, until: dt.datetime, *, start_sd_days: float) -> float:
    """Give the standard deviation of the logarithm of the thermal time that ends at `until`.

    Parameters
    ----------
    curve : DevelopmentCurve
        With the calibration that counts.
    since, until : datetime
        Start and likely end; aware, within the history.
    start_sd_days : float
        Standard deviation of the start, as of a lay of many hours, at least 0. [days]

    Returns
    -------
    float
        At most 0.5. [1]

    Notes
    -----
    The parts are independent: the individual; the start at the mean rate; what the calibration leaves open, g' C g with
    its covariance C and the sensitivity g; and the days to come, whose mean differs by 0.3 of the range of a day, 0.5
    to 1.5 C. All but the first grow with the share of the time that they cover. Doubled where it is untested.
    """
    days = max(day_number(until) - day_number(since), 1e-6)
    slopes = curve.sensitivity(since, until)
    held = float(slopes[:-1] @ curve.covariance @ slopes[:-1])
    coming = (float(slopes[-1]) * _coming_sd_c(curve)) ** 2
    stage = curve.calibration.stage
    variance = stage.spread.value**2 + (start_sd_days / days) ** 2 + held + coming
    factor = 2.0 if is_untested(curve, since, until) else 1.0
    return min(math.sqrt(variance) * factor, WIDEST_SPREAD)


def is_untested(curve: DevelopmentCurve, since: dt.datetime, until: dt.datetime) -> bool:
    """Tell whether a stage went on in such cool that its straight line is untested there.

    By the mean while it went on at all: warm middays between cold nights are as well tested as a room as warm.
    """
    return curve.working_temp_c(since, until) < curve.calibration.stage.tested_from_c.value


def _coming_sd_c(curve: DevelopmentCurve) -> float:
    by_range = COMING_PER_RANGE.value * (curve.coming_range_c or 0.0)
    return min(max(by_range, STEADIEST_SD_C), UNSTEADIEST_SD_C)


def window_of(
    curve: DevelopmentCurve, since: dt.datetime, needed: float, *, start_sd_days: float = 0.0
) -> Window | None:
    """Forecast when a thermal time will be over.

    Parameters
    ----------
    curve : DevelopmentCurve
        With the calibration that counts.
    since : datetime
        Its start; aware, within the history.
    needed : float
        Above 0. [degree-days C]
    start_sd_days : float, optional
        As in `spread_of`. [days]

    Returns
    -------
    Window or None
        5, 50 and 95 % quantiles; None if the history does not get there in ten years.

    Raises
    ------
    HistoryError
        If `since` lies outside the history.
    OutOfRangeError
        If a number is out of its range.

    Notes
    -----
    The thermal time is taken as lognormal about `needed`; its quantiles are followed along the history, so that a cold
    week ahead puts the late end off by a week. Where the history does not reach a quantile, days are scaled instead.
    """
    likely = curve.reached_at(since, checked("thermal time [degree-days C]", needed, 1e-9))
    if likely is None:
        return None
    factor = math.exp(QUANTILE_95 * spread_of(curve, since, likely, start_sd_days=start_sd_days))
    start, days = day_number(since), day_number(likely) - day_number(since)
    latest = curve.reached_at(since, needed * factor)
    return Window(
        earliest=curve.reached_at(since, needed / factor) or likely,
        likely=likely,
        latest=latest or at_day(start + min(days * factor, FURTHEST_DAYS), since.tzinfo),
    )


def hatch_window(
    history: Sequence[Warmth] | DevelopmentCurve,
    laid_at: dt.datetime,
    species: Species,
    *,
    lay_days: float = 1.0,
) -> HatchWindow | NoForecast:
    """Forecast when the eggs of a tray hatch.

    Parameters
    ----------
    history : sequence of Swing or Ramp, or DevelopmentCurve
        The warmth from `laid_at` on; a curve must have been built for the eggs of `species`.
    laid_at : datetime
        When the tray was pulled: common practice counts from there. Aware, within the history.
    species : Species
        Whose eggs.
    lay_days : float, optional
        How long the tray was with the crickets, 0 to 30. [days]

    Returns
    -------
    HatchWindow or NoForecast
        5, 50 and 95 % quantiles; none if the hatch falls into a coming time that is colder in the mean than the
        species' limit, or in which wet eggs all but stand still.

    Raises
    ------
    HistoryError
        If the history begins after `laid_at`, ends before the hatch, or is a curve for other eggs.
    OutOfRangeError
        If the time of lay is out of its range.

    Notes
    -----
    Pinheads appear at K degree-days above T0 [1]_ around the eggs, which are those of the air less the cooling share of
    the drop towards the wet bulb. The time of lay is uniform. See `window_of` for the rest.

    References
    ----------
    .. [1] Campbell A., Frazer B.D., Gilbert N., Gutierrez A.P., Mackauer M. 1974, J. Appl. Ecol. 11:431-438,
       doi 10.2307/2402197 (thermal time). K and T0: see the sources in `egg_figures`.

    Examples
    --------
    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> pulled = dt.datetime(2026, 5, 1, 18, tzinfo=dt.UTC)
    >>> window = hatch_window([Swing(start_at=pulled, low_c=29.444, high_c=29.444)], pulled, species("house"))
    >>> [at.strftime("%b %d %H:%M") for at in (window.earliest, window.likely, window.latest)]
    ['May 10 20:51', 'May 12 19:30', 'May 15 04:04']
    """
    checked("time of lay [days]", lay_days, 0.0, 30.0)
    curve = history if isinstance(history, DevelopmentCurve) else DevelopmentCurve(history, species.egg)
    if curve.calibration.stage != species.egg:
        raise HistoryError(f"curve is for another stage, must be for eggs of the {species.common_name}")
    needed = curve.calibration.constant
    window = window_of(curve, laid_at, needed, start_sd_days=lay_days / math.sqrt(12.0))
    if window is None and not curve.is_open:
        raise HistoryError(f"history of warmth ends too early, must go on to {needed:g} degree-days C")
    if window is None or (curve.is_foreseen(window.likely) and _stands_still(curve)):
        return _standstill(curve)
    air_c, egg_c = curve.mean_temps_c(laid_at, window.likely)
    return HatchWindow(
        earliest=window.earliest,
        likely=window.likely,
        latest=window.latest,
        degree_days_needed=needed,
        air_temp_c=air_c,
        egg_temp_c=egg_c,
        cooling_c=curve.cooling_c(laid_at, window.likely),
        is_untested=is_untested(curve, laid_at, window.likely),
    )


def _stands_still(curve: DevelopmentCurve) -> bool:
    """Tell whether what is coming is colder than the limit, or does no more for the eggs than the limit would."""
    stage = curve.calibration.stage
    limit_c, air_c, rate = stage.too_cold_c.value, curve.coming_air_c, curve.coming_rate
    return air_c is not None and rate is not None and (air_c < limit_c or rate < limit_c - stage.base_temp_c.value)


def _standstill(curve: DevelopmentCurve) -> NoForecast:
    """Say what is wrong with the days to come, and how warm the air would have to be."""
    stage, air_c, eggs_c = curve.calibration.stage, curve.coming_air_c or 0.0, curve.coming_c or 0.0
    if eggs_c > stage.cutoff_c.value:
        return TooHot(mean_temp_c=air_c, limit_c=stage.falls_from_c.value + air_c - eggs_c)
    # Where wet substrate cools below what the eggs need, the air has to be warmer by as much.
    least_c = curve.calibration.base_c + stage.too_cold_c.value - stage.base_temp_c.value + air_c - eggs_c
    return TooCold(mean_temp_c=air_c, limit_c=max(stage.too_cold_c.value, least_c))
