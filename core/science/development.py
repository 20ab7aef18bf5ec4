"""Development of eggs along a history of warmth: progress, and the window they hatch in.

Not for the history itself: warmth says what it is made of, and the farm makes it. Harm by heat is not in here.
"""

import datetime as dt
import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence

import msgspec

from core.science.ranges import checked
from core.science.species import Species, Stage
from core.science.warmth import SECONDS_PER_DAY, HistoryError, Sums, Warmth, day_number, pieces

QUANTILE_95 = 1.6449  # standard normal deviate of 95 %
THERMOMETER_SD_C = 1.0  # guess: a cheap thermometer, and eggs an arm's length away from it
WIDEST_SPREAD = 0.5  # share of the time; a window wider than from half to twice the time tells nothing more
FURTHEST_DAYS = 3_650.0  # ten years: no egg waits longer


class HatchWindow(msgspec.Struct, frozen=True, kw_only=True):
    """When pinheads will appear, and what that rests on."""

    earliest: dt.datetime  # 5 % quantile
    likely: dt.datetime  # median
    latest: dt.datetime  # 95 % quantile
    degree_days_needed: float  # C
    degree_days_per_day: float  # C, mean from the lay to the likely hatch
    mean_temp_c: float  # the same
    spread_days: float  # standard deviation about the likely time
    is_untested: bool  # so cool that the straight line is untested; the spread is doubled


class TooCold(msgspec.Struct, frozen=True, kw_only=True):
    """No forecast: what is coming is too cold for the eggs."""

    mean_temp_c: float
    limit_c: float


class DevelopmentCurve:
    """The degree-days of a history, added up once and asked for many tubs.

    Parameters
    ----------
    history : sequence of Swing or Ramp, shape (n,), n >= 1
        In order, each beginning where the one before ends; only the last may go on.
    stage : Stage
        Whose base and cutoff count.

    Raises
    ------
    HistoryError
        If the history is empty, has a hole, an overlap, a time without zone, or an open end before its last part.

    Notes
    -----
    A swing gains its single-sine degree-days at an even pace over the day. A ramp is integrated exactly, clipped at
    base and cutoff. Building takes O(n), each question O(log n).

    Examples
    --------
    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> noon = dt.datetime(2026, 5, 1, 12, tzinfo=dt.UTC)
    >>> curve = DevelopmentCurve([Swing(start_at=noon, low_c=32.5, high_c=32.5)], species("house").egg)
    >>> round(curve.progress(noon, noon + dt.timedelta(days=5)), 3)
    88.0
    >>> curve.reached_at(noon, 88.0) == noon + dt.timedelta(days=5)
    True
    """

    def __init__(self, history: Sequence[Warmth], stage: Stage) -> None:
        self.stage = stage
        self._pieces = pieces(history, stage)
        self._starts = [piece.start for piece in self._pieces]
        self._degree_days = [piece.before.degree_days for piece in self._pieces]

    @property
    def coming_mean_c(self) -> float | None:
        """The mean temperature of the part that goes on, or None where the history ends. [C]."""
        last = self._pieces[-1]
        return last.temp_c if math.isinf(last.length) else None

    @property
    def coming_rate(self) -> float | None:
        """The degree-days a day of the part that goes on, or None where the history ends. [C]."""
        last = self._pieces[-1]
        return last.rate if math.isinf(last.length) else None

    def progress(self, since: dt.datetime, until: dt.datetime) -> float:
        """Add up the degree-days between two times.

        Parameters
        ----------
        since, until : datetime
            Aware, in order, within the history.

        Returns
        -------
        float
            Progress, at least 0. [degree-days C]

        Raises
        ------
        HistoryError
            If a time lies outside the history or the two are out of order.
        """
        return self.sums(since, until).degree_days

    def sums(self, since: dt.datetime, until: dt.datetime) -> Sums:
        """Add up degree-days, days above the base, and temperature times days; as `progress` does."""
        start, end = day_number(since), day_number(until)
        if end < start:
            raise HistoryError(f"until is {until.isoformat()}, must not be before since, {since.isoformat()}")
        first, last = self._sums(start), self._sums(end)
        return Sums(last.degree_days - first.degree_days, last.warm_days - first.warm_days, last.heat - first.heat)

    def reached_at(self, since: dt.datetime, needed: float) -> dt.datetime | None:
        """Find when `needed` degree-days will have come together.

        Parameters
        ----------
        since : datetime
            Aware, within the history.
        needed : float
            At least 0. [degree-days C]

        Returns
        -------
        datetime or None
            To the second, in the time zone of `since`; None if the history does not get there in ten years.

        Raises
        ------
        HistoryError
            If `since` lies outside the history.
        OutOfRangeError
            If `needed` is not finite or negative.
        """
        start = day_number(since)
        target = self._sums(start).degree_days + checked("degree-days [C]", needed, 0.0)
        if needed == 0:
            return since
        piece = self._pieces[max(0, bisect_left(self._degree_days, target) - 1)]
        days = piece.days_to(target - piece.before.degree_days)
        if days > piece.length + _SLACK or piece.start + days - start > FURTHEST_DAYS:
            return None
        return _at(piece.start + days, since.tzinfo)

    def is_foreseen(self, at: dt.datetime) -> bool:
        """Tell whether `at` lies in the part that goes on, which is expected and not known."""
        last = self._pieces[-1]
        return math.isinf(last.length) and day_number(at) > last.start

    def _sums(self, day: float) -> Sums:
        index = bisect_right(self._starts, day) - 1
        if index < 0 or day > self._pieces[-1].end + _SLACK:
            raise HistoryError(f"time is {_at(day, dt.UTC).isoformat()}, must lie within the history of warmth")
        piece = self._pieces[index]
        return piece.sums(day - piece.start)


def hatch_window(
    history: Sequence[Warmth] | DevelopmentCurve,
    laid_at: dt.datetime,
    species: Species,
    *,
    thermometer_sd_c: float = THERMOMETER_SD_C,
    lay_days: float = 1.0,
) -> HatchWindow | TooCold:
    """Forecast when the eggs of a tray hatch.

    Parameters
    ----------
    history : sequence of Swing or Ramp, or DevelopmentCurve
        The warmth from `laid_at` on; a curve must have been built for the eggs of `species`.
    laid_at : datetime
        When the tray was pulled: common practice counts from there. Aware, within the history.
    species : Species
        Whose eggs.
    thermometer_sd_c : float, optional
        Standard deviation between the temperature given and that of the eggs, 0 to 10; larger for an assumed one. [C]
    lay_days : float, optional
        How long the tray was with the crickets, 0 to 30. [days]

    Returns
    -------
    HatchWindow or TooCold
        5, 50 and 95 % quantiles; TooCold if the hatch falls into a coming time whose mean is under the species' limit.

    Raises
    ------
    HistoryError
        If the history begins after `laid_at`, ends before the hatch, or is a curve for other eggs.
    OutOfRangeError
        If one of the numbers is out of its range.

    Notes
    -----
    The median D [days] is reached at K degree-days above T0. Its standard deviation s has three independent parts: the
    individual (spread D), a uniform lay (lay_days / sqrt 12), and the thermometer's deviation times W / (K / D), W
    being the days above T0; that is D / (T - T0) at a constant temperature. s is doubled where the mean is under the
    tested range, and is at most D / 2. The time is taken as lognormal: the quantiles are D exp(+-1.645 s / D).

    References
    ----------
    .. [1] Campbell A., Frazer B.D., Gilbert N., Gutierrez A.P., Mackauer M. 1974, J. Appl. Ecol. 11:431-438,
       doi 10.2307/2402197 (thermal time). K and T0: see the sources in `species`.

    Examples
    --------
    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> pulled = dt.datetime(2026, 5, 1, 18, tzinfo=dt.UTC)
    >>> window = hatch_window([Swing(start_at=pulled, low_c=29.444, high_c=29.444)], pulled, species("house"))
    >>> [at.strftime("%b %d %H:%M") for at in (window.earliest, window.likely, window.latest)]
    ['May 11 13:50', 'May 13 05:34', 'May 15 04:00']
    """
    checked("thermometer error [C]", thermometer_sd_c, 0.0, 10.0)
    checked("time of lay [days]", lay_days, 0.0, 30.0)
    curve = history if isinstance(history, DevelopmentCurve) else DevelopmentCurve(history, species.egg)
    if curve.stage != species.egg:
        raise HistoryError(f"curve is for another stage, must be for eggs of the {species.common_name}")
    needed, limit_c = species.egg.thermal_constant.value, species.egg.too_cold_c.value
    likely, coming_c = curve.reached_at(laid_at, needed), curve.coming_mean_c
    if likely is None:
        if coming_c is None:
            raise HistoryError(f"history of warmth ends too early, must go on to {needed:g} degree-days C")
        return TooCold(mean_temp_c=coming_c, limit_c=limit_c)
    if coming_c is not None and coming_c < limit_c and curve.is_foreseen(likely):
        return TooCold(mean_temp_c=coming_c, limit_c=limit_c)
    return _window_around(likely, curve, laid_at, thermometer_sd_c, lay_days)


def _window_around(
    likely: dt.datetime, curve: DevelopmentCurve, laid_at: dt.datetime, thermometer_sd_c: float, lay_days: float
) -> HatchWindow:
    stage, laid = curve.stage, day_number(laid_at)
    needed, days = stage.thermal_constant.value, day_number(likely) - laid
    sums = curve.sums(laid_at, likely)
    mean_c, rate = sums.heat / days, needed / days
    is_untested = mean_c < stage.tested_from_c.value
    parts = stage.spread.value * days, lay_days / math.sqrt(12.0), thermometer_sd_c * sums.warm_days / rate
    spread = min(math.hypot(*parts) * (2.0 if is_untested else 1.0), WIDEST_SPREAD * days)
    factor = math.exp(QUANTILE_95 * spread / days)
    return HatchWindow(
        earliest=_at(laid + days / factor, laid_at.tzinfo),
        likely=likely,
        latest=_at(laid + days * factor, laid_at.tzinfo),
        degree_days_needed=needed,
        degree_days_per_day=rate,
        mean_temp_c=mean_c,
        spread_days=spread,
        is_untested=is_untested,
    )


_SLACK = 0.5 / SECONDS_PER_DAY  # times are kept to the second


def _at(day: float, zone: dt.tzinfo | None) -> dt.datetime:
    return dt.datetime.fromtimestamp(round(day * SECONDS_PER_DAY), tz=zone)
