"""How crickets grow from hatch on: when they reach each instar, size and age of use, and how big they are by now.

Not for what sizes seen on a farm teach: see seen_sizes and learning. Not for how many are alive.
"""

import datetime as dt
import math
import operator
from enum import StrEnum

import msgspec

from core.science.curve import FURTHEST_DAYS, DevelopmentCurve
from core.science.development import Window, spread_of, window_of
from core.science.estimates import QUANTILE_95
from core.science.figures import Figure, Mark
from core.science.grades import length_mm, mass_mg, starts_at
from core.science.ranges import checked
from core.science.species import Species
from core.science.warmth import HistoryError, at_day, day_number
from core.units import SizeGrade

ADULT_FIGURES_AT = Figure(
    value=30.0,
    unit="C",
    mark=Mark.DERIVED,
    source="8 days to the first eggs at 30 C, base 18 C, are 7 to 10 days from 31.7 down to 27.6 C, as growers say",
)
FIRST_CHIRP_SD = Figure(value=1.0, unit="d", mark=Mark.GUESS, source="as that of the first eggs")
MOST_DAYS_OF_HATCH = 30.0
_SIZES = set(SizeGrade) - {SizeGrade.PINHEAD, SizeGrade.ADULT}  # pinheads hatch, adults moult


class MilestoneKind(StrEnum):
    """What growing crickets come to."""

    INSTAR = "instar"  # it begins
    SIZE = "size"  # it is reached
    ADULT = "adult"  # the last moult
    FIRST_CHIRP = "first_chirp"
    FIRST_LAY = "first_lay"


class Milestone(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that growing crickets come to, and when."""

    kind: MilestoneKind
    window: Window
    instar: int | None = None  # of INSTAR: 2 and up
    size: SizeGrade | None = None  # of SIZE: all but pinhead, which is the hatch itself, and adult


class Body(msgspec.Struct, frozen=True, kw_only=True):
    """A cricket in the middle of its batch."""

    share: float  # of the thermal constant from hatch to the last moult, 0 to 1
    instar: int  # the one after the last moult counts as well
    size: SizeGrade
    length_mm: float
    mass_mg: float  # alive


def growth(
    curve: DevelopmentCurve, hatched_at: dt.datetime, species: Species, *, start_sd_days: float
) -> tuple[Milestone, ...]:
    """Forecast what crickets come to as they grow.

    Parameters
    ----------
    curve : DevelopmentCurve
        For the nymphs of `species`, of the warmth where they live from `hatched_at` on. A bin is dry: no drop.
    hatched_at : datetime
        When half of them had hatched; aware, within the history.
    species : Species
        Whose nymphs.
    start_sd_days : float
        Standard deviation of the time of hatch, 0 to 30. [days]

    Returns
    -------
    tuple of Milestone
        In the order of their likely times: instars 2 and up, sizes 1/8 to 1 inch, adult, first chirp, first lay; with
        5, 50 and 95 % quantiles of one cricket of the batch. Left out is what the history never gets to, what falls
        into a coming time whose mean is under the species' limit, and a first lay where females lay none.

    Raises
    ------
    HistoryError
        If the history begins after `hatched_at`, or the curve is for another stage.
    OutOfRangeError
        If `start_sd_days` is out of its range.

    Notes
    -----
    A milestone of the nymph is reached at its share of the thermal constant K; its spread grows with that share, as if
    a slow cricket were slow throughout. The adult's d days, known at about 30 C, are taken as thermal time by the rate
    of the nymph, M = d (30 - base): see `ADULT_FIGURES_AT` for why; it was not measured. Both times are independent:
    N = K + M, sd(N)^2 = (K s)^2 + sd(M)^2 with s of `spread_of` at the last moult, and N is lognormal. The shares are
    taken as certain.

    Examples
    --------
    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> hatch = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
    >>> curve = DevelopmentCurve([Swing(start_at=hatch, low_c=30.0, high_c=30.0)], species("house").nymph)
    >>> for found in growth(curve, hatch, species("house"), start_sd_days=0.5)[-3:]:
    ...     print(found.kind, *(at.strftime("%b %d") for at in (found.window.earliest, found.window.likely)))
    adult Jun 02 Jun 14
    first_chirp Jun 05 Jun 17
    first_lay Jun 10 Jun 22
    """
    checked("doubt of the hatch [days]", start_sd_days, 0.0, MOST_DAYS_OF_HATCH)
    _refuse_another_stage(curve, species)
    constant = curve.calibration.constant
    found = [
        Milestone(kind=kind, window=window, instar=instar, size=size)
        for share, kind, instar, size in _stations(species)
        if (window := window_of(curve, hatched_at, share * constant, start_sd_days=start_sd_days))
    ]
    if found and found[-1].kind is MilestoneKind.ADULT:
        found += _of_adults(curve, hatched_at, found[-1].window.likely, species, start_sd_days)
    coming_c, limit_c = curve.coming_c, species.nymph.too_cold_c.value
    is_cold_ahead = coming_c is not None and coming_c < limit_c
    return tuple(one for one in found if not (is_cold_ahead and curve.is_foreseen(one.window.likely)))


def body_now(curve: DevelopmentCurve, hatched_at: dt.datetime, at: dt.datetime, species: Species) -> Body:
    """Tell what a cricket in the middle of its batch is like.

    Parameters
    ----------
    curve : DevelopmentCurve
        As in `growth`.
    hatched_at, at : datetime
        Hatch and the time asked for; aware, in order, within the history.
    species : Species
        Whose crickets.

    Returns
    -------
    Body
        Length and mass along straight lines of their logarithm between the starts of the instars; from the last moult
        on, those at it: what an adult puts on is not in here.

    Raises
    ------
    HistoryError
        If a time lies outside the history or the two are out of order, or the curve is for another stage.

    Examples
    --------
    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> hatch = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
    >>> curve = DevelopmentCurve([Swing(start_at=hatch, low_c=30.0, high_c=30.0)], species("house").nymph)
    >>> body = body_now(curve, hatch, hatch + dt.timedelta(days=28), species("house"))
    >>> body.size.value, body.instar, round(body.length_mm, 1), round(body.mass_mg)
    ('3/8in', 6, 11.2, 76)
    """
    _refuse_another_stage(curve, species)
    share = min(curve.progress(hatched_at, at) / curve.calibration.constant, 1.0)
    instars = species.instars
    return Body(
        share=share,
        instar=max(one.number for one in instars if one.starts_at <= share),
        size=[size for size in SizeGrade if starts_at(size, instars) <= share][-1],
        length_mm=length_mm(share, instars),
        mass_mg=mass_mg(share, instars),
    )


_Station = tuple[float, MilestoneKind, int | None, SizeGrade | None]


def _stations(species: Species) -> list[_Station]:
    """Give what nymphs come to, in order, with the share of the thermal constant at which they do."""
    found: list[_Station] = [
        *((one.starts_at, MilestoneKind.INSTAR, one.number, None) for one in species.instars[1:-1]),
        *((starts_at(size, species.instars), MilestoneKind.SIZE, None, size) for size in SizeGrade if size in _SIZES),
        (1.0, MilestoneKind.ADULT, None, None),
    ]
    return sorted((one for one in found if one[0] > 0), key=operator.itemgetter(0))


def _of_adults(
    curve: DevelopmentCurve, hatched_at: dt.datetime, moulted_at: dt.datetime, species: Species, start_sd_days: float
) -> list[Milestone]:
    """Give what comes after the last moult."""
    adult, needed = species.adult, curve.calibration.constant
    spread = spread_of(curve, hatched_at, moulted_at, start_sd_days=start_sd_days)
    rate = ADULT_FIGURES_AT.value - curve.calibration.base_c
    found = []
    for kind, days, sd_days in (
        (MilestoneKind.FIRST_CHIRP, adult.first_chirp_days, FIRST_CHIRP_SD),
        (MilestoneKind.FIRST_LAY, adult.first_lay_days, adult.first_lay_sd),
    ):
        total = needed + days.value * rate
        window = _window(curve, hatched_at, total, math.hypot(needed * spread, sd_days.value * rate) / total)
        lays = kind is MilestoneKind.FIRST_LAY
        if window and not (lays and curve.mean_temps_c(moulted_at, window.likely)[1] < adult.no_eggs_c.value):
            found.append(Milestone(kind=kind, window=window))
    return found


def _window(curve: DevelopmentCurve, since: dt.datetime, needed: float, spread: float) -> Window | None:
    """Give the quantiles of a thermal time whose spread is known, as `window_of` does."""
    likely, factor = curve.reached_at(since, needed), math.exp(QUANTILE_95 * spread)
    if likely is None:
        return None
    start = day_number(since)
    days = min((day_number(likely) - start) * factor, FURTHEST_DAYS)
    return Window(
        earliest=curve.reached_at(since, needed / factor) or likely,
        likely=likely,
        latest=curve.reached_at(since, needed * factor) or at_day(start + days, since.tzinfo),
    )


def _refuse_another_stage(curve: DevelopmentCurve, species: Species) -> None:
    if curve.calibration.stage != species.nymph:
        raise HistoryError(f"curve is for another stage, must be for nymphs of the {species.common_name}")
