"""How many eggs and crickets of each size there are from day to day.

Not for how warm they have it: the caller brings the degree-days of each day. Not for crowded adults, nor for what is
sold or eaten.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache

import msgspec
import numpy as np
from numpy.typing import NDArray

from core.science import survival
from core.science.estimates import Estimate
from core.science.grades import GROWN, sold_as, starts_at
from core.science.hatch_success import HatchSuccess, prior
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS, SURVIVAL_TO_ADULT
from core.science.ranges import OutOfRangeError, checked
from core.science.scenarios import normal_share, normals
from core.science.species import Species
from core.science.stage import Floats
from core.units import SizeGrade

Rows = NDArray[np.int64]  # days, as rows of the arrays

SCENARIOS = 301  # enough that the 5 and 95 % quantiles stand still within a percent or two
UNKNOWNS = 7  # of a cohort: its number, four survivals, two thermal constants
PARTS_OF_A_GRADE = 3  # a grade is cut so that survival hardly changes within one part
MOST_DAYS = 3650
TAIL_DAYS = 7  # what hatches after the last day does so in warmth like these
_NEXT_TO_NONE = 1e-9
GROWING = tuple(grade for grade in SizeGrade if grade not in GROWN)


class Cohort(msgspec.Struct, frozen=True, kw_only=True):
    """Eggs laid or pinheads hatched together, and the warmth of each day they have."""

    start: Estimate  # how many of them
    day: float = 0.0  # when, in days after the beginning of the arrays
    is_hatched: bool = False  # pinheads to start with
    egg_degree_days: Floats  # shape (days,): what eggs gain each day, at least 0 [degree-days C]
    nymph_degree_days: Floats  # shape (days,): what nymphs gain each day, at least 0 [degree-days C]
    area_cm2: float | None = None  # floor and cartons that they grow up on; None: room enough
    hatch: HatchSuccess | None = None  # of the farm; None: of the species

    def __post_init__(self) -> None:
        days = len(self.egg_degree_days)
        checked("days of warmth [d]", days, 1, MOST_DAYS)
        checked("start of the cohort [d]", self.day, 0.0, days)
        for name, gains in (("egg", self.egg_degree_days), ("nymph", self.nymph_degree_days)):
            if gains.shape != (days,):
                raise OutOfRangeError(f"days of {name} degree-days [d]", gains.size, f"{days}, one for each")
            for extreme in (np.min(gains), np.max(gains)):
                checked(f"{name} degree-days of a day [degree-days C]", float(extreme), 0.0, 100.0)
        if self.area_cm2 is not None:
            checked("area of the cohort [cm2]", self.area_cm2, 1.0)


def steady(
    start: Estimate, kind: Species, *, egg_days: float, adult_days: float, days: int, day: float = 0.0
) -> Cohort:
    """Give a cohort in warmth that is the same each day.

    Parameters
    ----------
    start : Estimate
        Eggs; or pinheads, where `egg_days` is 0. [1]
    kind : Species
        Of it.
    egg_days : float
        From the lay until half have hatched; 0: they have hatched. [d]
    adult_days : float
        From hatch to the last moult, in the middle; above 0. [d]
    days : int
        Of warmth, 1 to 3650. [d]
    day : float
        When they are laid, or hatch, after the beginning of the arrays. [d]

    Returns
    -------
    Cohort
        With as many degree-days a day as make the constants of the species these days.

    Raises
    ------
    OutOfRangeError
        If a number is out of its range.

    Examples
    --------
    >>> from core.science.estimates import lognormal
    >>> from core.science.species import species
    >>> eggs = steady(lognormal(9.0, 0.0), species("house"), egg_days=10.8, adult_days=53.0, days=1)
    >>> eggs.egg_degree_days.round(6).tolist()
    [15.0]
    """
    checked("days to the last moult [d]", adult_days, 1e-3)
    is_hatched = checked("days to the hatch [d]", egg_days, 0.0) == 0
    egg_gain = 0.0 if is_hatched else kind.egg.thermal_constant.value / egg_days
    return Cohort(
        start=start,
        day=day,
        is_hatched=is_hatched,
        egg_degree_days=np.full(days, egg_gain),
        nymph_degree_days=np.full(days, kind.nymph.thermal_constant.value / adult_days),
    )


class Band(msgspec.Struct, frozen=True, kw_only=True):
    """Numbers by day: row i is i days after the beginning of the arrays, shape (days + 1,)."""

    least: Floats  # 5 % quantile
    likely: Floats  # median
    most: Floats  # 95 % quantile


class Projection(msgspec.Struct, frozen=True, kw_only=True):
    """All cohorts together. Medians do not add up, as sums do."""

    eggs: Band  # that may still hatch
    sizes: Mapping[SizeGrade, Band]  # alive, from each grade to the next; an inch and adult are the same crickets
    alive: Band  # crickets of all sizes


def project(cohorts: Sequence[Cohort], kind: Species) -> Projection:
    """Project the numbers of cohorts from day to day.

    Parameters
    ----------
    cohorts : sequence of Cohort, shape (n,), n >= 1
        All with as many days.
    kind : Species
        Of all of them; a farm that learned its thermal constants puts them in.

    Returns
    -------
    Projection
        Medians and 90 % intervals, shape (days + 1,).

    Raises
    ------
    OutOfRangeError
        If there is no cohort, or their days differ in number.

    Notes
    -----
    An egg hatches after K exp(s z) degree-days, K the thermal constant of the cohort and s the individual spread of the
    stage. A cricket reaches the share p of its development after p K exp(s w) more of those of nymphs. The sum is taken
    as the lognormal of the same mean and variance (Fenton and Wilkinson), in degree-days of nymphs since the start of
    the cohort. Dead eggs count as eggs until they would have hatched; crickets die by `survival.alive_at`, adults by
    their half-life; the crowd is counted at 14 days. Number, survivals and constants of each cohort are unknown and
    independent (lognormal, logit-normal); 301 even scenarios of them are run and added up, the quantiles are theirs.

    References
    ----------
    .. [1] Fenton L.F. 1960, IRE Trans. Commun. Syst. 8:57-67, doi 10.1109/TCOM.1960.1097606 (sums of lognormals).

    Examples
    --------
    >>> from core.science.estimates import lognormal
    >>> from core.science.species import species
    >>> warm = Cohort(
    ...     start=lognormal(2000.0, 0.0), egg_degree_days=np.full(60, 16.0), nymph_degree_days=np.full(60, 13.0)
    ... )
    >>> crickets = project([warm], species("house"))
    >>> crickets.eggs.likely[[0, 60]].round().tolist()
    [2000.0, 0.0]
    """
    checked("number of cohorts [1]", len(cohorts), 1)
    days = len(cohorts[0].egg_degree_days)
    counts = np.zeros((SCENARIOS, days + 1, 1 + len(GROWING) + 1))
    for number, cohort in enumerate(cohorts):
        if len(cohort.egg_degree_days) != days:
            raise OutOfRangeError("days of warmth [d]", len(cohort.egg_degree_days), f"{days}, as of the first cohort")
        counts += counts_of(cohort, kind, number)
    eggs, *growing, adults = (_band(counts[:, :, column]) for column in range(counts.shape[2]))
    return Projection(
        eggs=eggs,
        sizes={**dict(zip(GROWING, growing, strict=True)), **dict.fromkeys(GROWN, adults)},
        alive=_band(counts[:, :, 1:].sum(axis=2)),
    )


def counts_of(cohort: Cohort, kind: Species, number: int, rows: Rows | None = None) -> Floats:
    """Give what becomes of one cohort in each scenario.

    Parameters
    ----------
    cohort : Cohort
        See `project`, also for what is unknown of it.
    kind : Species
        Of the crickets.
    number : int
        Of the cohort among those that are added up, 0 or more: others have other unknowns.
    rows : ndarray of int, optional
        The days that are wanted, 0 to the number of days; a few cost much less than all, which are given by default.

    Returns
    -------
    ndarray, shape (SCENARIOS, rows, 2 + len(GROWING))
        Eggs, growing crickets of each grade, adults.
    """
    wanted = np.arange(len(cohort.egg_degree_days) + 1) if rows is None else rows
    return _counts(cohort, kind, unknowns_of(number), wanted)


@lru_cache(maxsize=128)  # of 17 kB; the farms have no more batches than that
def unknowns_of(number: int) -> Floats:
    """Give the unknowns of one cohort of several, standard normal, shape (UNKNOWNS, SCENARIOS); never change them."""
    return normals(UNKNOWNS * (number + 1), SCENARIOS)[-UNKNOWNS:]


def _band(counts: Floats) -> Band:
    least, likely, most = np.quantile(counts, (0.05, 0.5, 0.95), axis=0)
    return Band(least=least, likely=likely, most=most)


def _counts(cohort: Cohort, kind: Species, deviates: Floats, rows: Rows) -> Floats:
    """Give eggs, growing crickets by grade, and adults, shape (scenarios, rows, grades + 2)."""
    start, hatch, young, grown, half_life, egg, nymph = deviates
    numbers = cohort.start.likely * np.exp(cohort.start.sd * start)
    if cohort.is_hatched:
        hatching = np.ones(SCENARIOS)
    else:
        belief = cohort.hatch or prior(kind.hatch_success)
        hatching = survival.shares(belief.share, belief.tub_sd, hatch)
    to_14_days = survival.shares(SURVIVAL_TO_14_DAYS.value, survival.SURVIVAL_SD.value, young)
    to_adult = survival.shares(SURVIVAL_TO_ADULT.value, survival.SURVIVAL_SD.value, grown)
    if cohort.area_cm2 is not None:
        to_adult *= survival.crowding(numbers * hatching * to_14_days / cohort.area_cm2)
    bounds, firsts = _bounds(kind)
    every = np.arange(len(cohort.egg_degree_days) + 1)
    reached = _reached(cohort, kind, bounds, egg, nymph, rows)
    grown_up = reached if len(rows) == len(every) else _reached(cohort, kind, bounds[[0, -1]], egg, nymph, every)
    middles = (bounds[:-1] + bounds[1:]) / 2
    alive = survival.alive_at(middles, to_14_days[:, None], to_adult[:, None])
    growing = np.add.reduceat((reached[:, :, :-1] - reached[:, :, 1:]) * alive[:, None, :], firsts, axis=2)
    half_lives = kind.adult.half_life_days.value * np.exp(survival.HALF_LIFE_SD.value * half_life)
    adults = _adults(grown_up[:, :, -1], half_lives[:, None])[:, rows] * (to_14_days * to_adult)[:, None]
    crickets = np.concatenate([growing, adults[:, :, None]], axis=2) * hatching[:, None, None]
    eggs = (rows >= cohort.day) - reached[:, :, 0]
    shares = np.concatenate([eggs[:, :, None], crickets], axis=2)
    return np.asarray(shares * numbers[:, None, None], dtype=np.float64)


def _bounds(kind: Species) -> tuple[Floats, list[int]]:
    """Give the shares of development that cut the grades into parts, and the first part of each grade."""
    starts = [starts_at(grade, kind.instars) for grade in GROWING]
    cuts = [
        np.linspace(start, end, PARTS_OF_A_GRADE, endpoint=False)
        for start, end in zip(starts, [*starts[1:], 1.0], strict=True)
    ]
    return np.append(np.concatenate(cuts), 1.0), [PARTS_OF_A_GRADE * number for number in range(len(starts))]


def _reached(cohort: Cohort, kind: Species, bounds: Floats, egg: Floats, nymph: Floats, rows: Rows) -> Floats:
    """Give the share that has reached each of the bounds, were all alive, shape (scenarios, rows, bounds)."""
    days = np.arange(len(cohort.egg_degree_days) + 1)
    eggs = np.append(0.0, np.cumsum(cohort.egg_degree_days + _NEXT_TO_NONE))
    nymphs = np.append(0.0, np.cumsum(cohort.nymph_degree_days))
    egg_from, nymph_from = (float(np.interp(cohort.day, days, total)) for total in (eggs, nymphs))
    if cohort.is_hatched:
        hatched = np.broadcast_to((rows >= cohort.day).astype(np.float64), (SCENARIOS, len(rows)))
        middle, sd = np.zeros(SCENARIOS), np.zeros(SCENARIOS)
    else:
        spread = kind.egg.spread.value
        needed = kind.egg.thermal_constant.value * np.exp(kind.egg.constant_sd.value * egg)
        logs = np.log(np.maximum(eggs - egg_from, _NEXT_TO_NONE))[rows]
        hatched = normal_share((logs[None, :] - np.log(needed)[:, None]) / spread)
        early, middle, late = (
            np.interp(egg_from + needed * np.exp(sigmas * spread), _on(eggs), _on(nymphs)) - nymph_from
            for sigmas in (-1.0, 0.0, 1.0)
        )
        sd = (late - early) / 2
    grown = kind.nymph.thermal_constant.value * np.exp(kind.nymph.constant_sd.value * nymph)
    growth = grown[:, None] * bounds[1:]
    wider = np.exp(kind.nymph.spread.value**2)
    means = middle[:, None] + growth * np.sqrt(wider)
    variances = np.log1p((sd[:, None] ** 2 + growth**2 * wider * (wider - 1)) / means**2)
    logs = np.log(np.maximum(nymphs - nymph_from, _NEXT_TO_NONE))[rows]
    medians = np.log(means) - variances / 2
    grown_to = normal_share((logs[None, :, None] - medians[:, None, :]) / np.sqrt(variances)[:, None, :])
    reached = np.concatenate([hatched[:, :, None], grown_to], axis=2)
    return np.asarray(np.minimum.accumulate(reached, axis=2), dtype=np.float64)  # no grade before the one under it


def _on(totals: Floats) -> Floats:
    """Carry degree-days on for as long as may be, at the pace of the last days."""
    back = min(TAIL_DAYS, len(totals) - 1)
    return np.append(totals, totals[-1] + (totals[-1] - totals[-1 - back]) / back * MOST_DAYS)


def _adults(reached: Floats, half_lives: Floats) -> Floats:
    """Give the share that is adult and has not died of age, shape (scenarios, days + 1)."""
    new = np.diff(reached, axis=1, prepend=0.0)
    fading = np.exp2(-np.arange(reached.shape[1]) / half_lives)
    return np.asarray(np.cumsum(new / fading, axis=1) * fading * np.exp2(-0.5 / half_lives), dtype=np.float64)


def assured(cohort: Cohort, kind: Species, quantile: float) -> Mapping[SizeGrade, Floats]:
    """Give how many crickets of one cohort go for each size, at a quantile: what can be relied on.

    Parameters
    ----------
    cohort : Cohort
        Of any start.
    kind : Species
        Of it.
    quantile : float
        Of the scenarios, 0.01 to 0.99: at 0.25 three of four have as many, or more. [1]

    Returns
    -------
    mapping of SizeGrade to ndarray, shape (days + 1,)
        Crickets alive that are sold as each size (`grades.sold_as`), day by day. [1]

    Raises
    ------
    OutOfRangeError
        If the quantile is out of its range.

    Notes
    -----
    The quantile of each day and size by itself, over the scenarios of `project`: they are not all of one scenario.

    Examples
    --------
    >>> from core.science.estimates import lognormal
    >>> from core.science.species import species
    >>> warm = Cohort(
    ...     start=lognormal(1000.0, 0.45), egg_degree_days=np.full(70, 16.0), nymph_degree_days=np.full(70, 11.0)
    ... )
    >>> [round(float(assured(warm, species("house"), share)[SizeGrade.HALF].max())) for share in (0.25, 0.5)]
    [245, 369]
    """
    checked("quantile [1]", quantile, 0.01, 0.99)
    counts = counts_of(cohort, kind, 0)[:, :, 1:]
    found = {}
    for size in SizeGrade:
        columns = [len(GROWING) if grade in GROWN else GROWING.index(grade) for grade in sold_as(size)]
        found[size] = np.quantile(counts[:, :, columns].sum(axis=2), quantile, axis=0)
    return found
