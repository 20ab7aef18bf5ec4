"""How fast a tub of eggs dries, when it wants water, and what a farm's own findings say about it.

Not for the temperature of the substrate, which other work tells, nor for what is done about a dry tub: that is for the
rules.
"""

import math
from collections.abc import Sequence
from enum import StrEnum

import msgspec

from core.science.evaporation import shah_evaporation
from core.science.figures import Figure, Mark
from core.science.moist_air import COLDEST_AIR_C, wet_bulb_depression
from core.science.ranges import OutOfRangeError, checked
from core.science.substrate import COOLING_SHARE, COVER_SHARE

_TASEE = (
    "Tasee et al., Suitability of egg laying media, J. Agric. (Chiang Mai), article 254151, abstract: most eggs and "
    "hatch above 95 % at 50 % of 10 to 70 %; on which basis is not said, taken as wet mass"
)
EGG_LAYER_CM = Figure(
    value=2.5,
    unit="cm",
    mark=Mark.GUESS,
    source="growers' pages: most eggs in the top 1 to 2 cm; a little more gives water",
)
DRY_DENSITY = Figure(
    value=0.15, unit="g/cm3", mark=Mark.GUESS, source="peat or coir, loosely filled; no measurement seen"
)
WATERED_MOISTURE = Figure(value=50.0, unit="% of wet mass", mark=Mark.READ, source=_TASEE)
WANTED_MOISTURE = Figure(
    value=40.0,
    unit="% of wet mass",
    mark=Mark.GUESS,
    source="next to the best of Tasee et al. that was tried; no limit seen",
)
DAMP_FROM = Figure(
    value=0.5, unit="1", mark=Mark.GUESS, source="a tub feels no longer wet once half of its time to dry is over"
)
PRIOR_SD = Figure(
    value=0.5, unit="1", mark=Mark.GUESS, source="ln of the multiplier: two in three farms within 1.6 times"
)
NOISE_SD = Figure(
    value=0.3, unit="1", mark=Mark.GUESS, source="ln of the time, from one tub and one finger to the next"
)
SLIPS = Figure(
    value=0.05, unit="1", mark=Mark.GUESS, source="one finding in 20 is of another tub or time than was meant"
)
LONGEST_HOURS = 720.0  # a month: whatever would take longer is told by looking, not by a formula
_DEEPEST_CM = 60.0
_MM_PER_CM = 10.0
_FURTHEST_RATIO = 20.0  # a finding further off tells no more
_MOST_STEPS = 60  # of which it takes under a dozen, but for farms full of slips
_NO_STEP = 1e-7


def water_reserve(
    *,
    depth_cm: float = 5.0,
    moisture: float = WATERED_MOISTURE.value,
    wanted: float = WANTED_MOISTURE.value,
) -> float:
    """Compute how much water the layer of the eggs can give until the tub is to be watered.

    Parameters
    ----------
    depth_cm : float, optional
        Depth of the substrate, 0 to 60; only the layer of the eggs, 2.5 at most, counts. [cm]
    moisture : float, optional
        Moisture at the last watering, 0 to 95 of the wet mass. [%]
    wanted : float, optional
        Moisture at which it is to be watered again, 0 to 95 of the wet mass. [%]

    Returns
    -------
    float
        Water, 0 if it is as dry as that already. [mm]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    layer x dry density x (w1 / (1 - w1) - w2 / (1 - w2)), w the moisture as a share of the wet mass; 1 g/cm2 is 10 mm.
    Water that creeps up from below the layer is left out, which errs towards watering early.

    Examples
    --------
    >>> round(water_reserve(), 2)
    1.25
    """
    layer_cm = min(checked("depth of the substrate [cm]", depth_cm, 0.0, _DEEPEST_CM), EGG_LAYER_CM.value)
    given = _water_of_dry_mass("moisture [%]", moisture) - _water_of_dry_mass("moisture to water at [%]", wanted)
    return max(0.0, layer_cm * DRY_DENSITY.value * given * _MM_PER_CM)


def tub_evaporation(
    temp_c: float, rh: float, *, is_covered: bool = False, cooling_share: float = COOLING_SHARE.value
) -> float:
    """Compute what evaporates from a still tub of wet substrate.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity of the air of the room, 0 to 100. [%]
    is_covered : bool, optional
        Whether a loose cover lies on it.
    cooling_share : float, optional
        How far the surface of an uncovered tub is cooled towards the wet bulb, 0 to 1. The same is meant for a covered
        one: the cover's share is a share of what the tub would lose without it. [1]

    Returns
    -------
    float
        Evaporation, which is mm of water an hour. [kg/(m2 h)]

    Raises
    ------
    OutOfRangeError
        If a number is not finite or out of its range.

    Notes
    -----
    `shah_evaporation` with the water at T - cooling_share x wet bulb depression; a seventh of it under a cover. At
    standard pressure. Meant for 5 to 45 C; no air moves but what rises by itself.

    Examples
    --------
    >>> round(tub_evaporation(30.0, 50.0), 4)
    0.071
    """
    share = checked("cooling share [1]", cooling_share, 0.0, 1.0)
    # Under -30 C there is nothing left to evaporate, but a number is wanted still.
    water_c = max(COLDEST_AIR_C, temp_c - share * wet_bulb_depression(temp_c, rh))
    return shah_evaporation(water_c, temp_c, rh) * (COVER_SHARE.value if is_covered else 1.0)


def hours_to_dry(
    temp_c: float,
    rh: float,
    *,
    is_covered: bool = False,
    depth_cm: float = 5.0,
    moisture: float = WATERED_MOISTURE.value,
    wanted: float = WANTED_MOISTURE.value,
    drying: float = 1.0,
    cooling_share: float = COOLING_SHARE.value,
) -> float:
    """Compute how long after its watering a tub wants water again.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity of the air of the room, 0 to 100. [%]
    is_covered : bool, optional
        Whether a loose cover lies on it.
    depth_cm, moisture, wanted : float, optional
        See `water_reserve`. [cm, %, %]
    drying : float, optional
        How many times faster tubs dry on this farm, 0.01 to 100; see `learned_drying`. [1]
    cooling_share : float, optional
        See `tub_evaporation`. [1]

    Returns
    -------
    float
        Time from the watering, 0 to 720. [hours]

    Raises
    ------
    OutOfRangeError
        If a number is not finite or out of its range.

    Notes
    -----
    Reserve / (evaporation x drying), as if the air stayed the same and the substrate gave its water as freely as open
    water does.

    Examples
    --------
    Under a lamp at 90 F and 40 %, on a shelf at 85 F and 85 %, and the first one covered.

    >>> round(hours_to_dry(32.2, 40)), round(hours_to_dry(29.4, 85)), round(hours_to_dry(32.2, 40, is_covered=True))
    (13, 59, 93)
    """
    faster = checked("drying multiplier [1]", drying, 0.01, 100.0)
    reserve = water_reserve(depth_cm=depth_cm, moisture=moisture, wanted=wanted)
    rate = tub_evaporation(temp_c, rh, is_covered=is_covered, cooling_share=cooling_share) * faster
    if reserve == 0.0:
        return 0.0
    return reserve / rate if reserve < LONGEST_HOURS * rate else LONGEST_HOURS


class Wetness(StrEnum):
    """How wet a tub was found."""

    WET = "wet"  # no need for water
    DAMP = "damp"  # soon
    DRY = "dry"  # overdue


class Inspection(msgspec.Struct, frozen=True, kw_only=True):
    """One look at a tub: how wet it was, and how long it should have lasted."""

    hours: float  # since the last watering, at least 0
    expected_hours: float  # what `hours_to_dry` says with a multiplier of 1, above 0
    found: Wetness


class Drying(msgspec.Struct, frozen=True, kw_only=True):
    """How many times faster than expected the tubs of a farm dry."""

    multiplier: float
    sd_log: float  # standard deviation of its natural logarithm


def learned_drying(inspections: Sequence[Inspection]) -> Drying:
    """Estimate a farm's multiplier of drying from how wet its tubs were found.

    Parameters
    ----------
    inspections : sequence of Inspection, shape (n,), n >= 0
        In any order.

    Returns
    -------
    Drying
        The most likely multiplier m, and the standard deviation of ln m; 1 and that of the prior if there are none.

    Raises
    ------
    OutOfRangeError
        If a time is not finite, the one since the watering negative, or the expected one not above 0.

    Notes
    -----
    Ordered probit. With z = ln(m hours / expected) + noise, noise ~ N(0, 0.3), a tub is found dry where z >= 0, wet
    where z < ln 1/2, else damp; ln m ~ N(0, 0.5). Newton steps to the mode, the deviation from the curvature there.
    hours / expected counts as 1/20 to 20.

    So that a slip of the tongue does not count in full, one finding in 20 is taken to say nothing: each is weighed with
    the odds that it is no such one (expectation maximization). That may leave two modes: the search starts from 1 and
    from the mode without slips, which is the only one of its kind, and keeps the higher. Ten findings of a farm with a
    multiplier of 0.6 to 1.6 are not moved by an eleventh that is absurd: wet after four times its time, or dry after a
    twelfth. With few findings the multiplier can jump: one alone that is off by four times or more moves nothing, two
    that agree on up to a sixth of the time, or four on a twelfth, are believed.

    Examples
    --------
    >>> learned_drying([])
    Drying(multiplier=1.0, sd_log=0.5)
    >>> early = Inspection(hours=8.0, expected_hours=13.0, found=Wetness.DRY)
    >>> round(learned_drying([early] * 3).multiplier, 2)
    2.15
    """
    looks = [(_log_ratio(inspection), inspection.found) for inspection in inspections]
    starts = (0.0, _climb(looks, 0.0, slips=0.0).log_multiplier)
    highest = max((_climb(looks, start, slips=SLIPS.value) for start in starts), key=lambda peak: peak.height)
    return Drying(multiplier=math.exp(highest.log_multiplier), sd_log=1.0 / math.sqrt(highest.bend))


class _Peak(msgspec.Struct, frozen=True):
    """A mode of the posterior of ln m."""

    log_multiplier: float
    height: float  # log posterior, but for a constant
    bend: float  # curvature of the log posterior, its sign turned


def _log_ratio(inspection: Inspection) -> float:
    hours = checked("hours since the last watering [h]", inspection.hours, 0.0)
    expected = checked("hours expected to dry [h]", inspection.expected_hours)
    if expected <= 0.0:
        raise OutOfRangeError("hours expected to dry [h]", expected, "above 0")
    return math.log(min(max(hours / expected, 1.0 / _FURTHEST_RATIO), _FURTHEST_RATIO))


def _climb(looks: Sequence[tuple[float, Wetness]], start: float, *, slips: float) -> _Peak:
    peak = _Peak(start, 0.0, 0.0)
    for _ in range(_MOST_STEPS):
        here = peak.log_multiplier
        bend = 1.0 / PRIOR_SD.value**2
        slope, height = -here * bend, -(here**2) * bend / 2.0
        for ratio, found in looks:
            chance, its_slope, its_bend = _probit(here + ratio, found)
            meant, slipped = (1.0 - slips) * chance, slips / len(Wetness)
            weight = meant / (meant + slipped)
            slope, bend = slope + weight * its_slope, bend + weight * its_bend
            height += math.log(meant + slipped)
        step = min(max(slope / bend, -1.0), 1.0)
        peak = _Peak(here + step, height, bend)
        if abs(step) < _NO_STEP:
            break
    return peak


def _probit(mean: float, found: Wetness) -> tuple[float, float, float]:
    """Give the chance of a finding, the slope of its logarithm in `mean`, and its curvature with the sign turned."""
    low, high = ((edge - mean) / NOISE_SD.value for edge in _EDGES[found])
    # The same area on the other side of 0 where both lie above: there the difference of two ones would lose it.
    chance = _below(high) - _below(low) if low <= 0.0 else _below(-low) - _below(-high)
    slope = (_bell(low) - _bell(high)) / chance / NOISE_SD.value
    second = (_moment(low) - _moment(high)) / chance / NOISE_SD.value**2
    return chance, slope, slope**2 - second


def _below(deviate: float) -> float:
    return math.erfc(-deviate / math.sqrt(2.0)) / 2.0


def _bell(deviate: float) -> float:
    return math.exp(-(deviate**2) / 2.0) / math.sqrt(2.0 * math.pi)


def _moment(deviate: float) -> float:
    return deviate * _bell(deviate) if math.isfinite(deviate) else 0.0


_EDGES = {
    Wetness.WET: (-math.inf, math.log(DAMP_FROM.value)),
    Wetness.DAMP: (math.log(DAMP_FROM.value), 0.0),
    Wetness.DRY: (0.0, math.inf),
}


def _water_of_dry_mass(quantity: str, moisture: float) -> float:
    wet = checked(quantity, moisture, 0.0, 95.0) / 100.0
    return wet / (1.0 - wet)
