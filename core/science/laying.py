"""How many eggs a lay tray collects, and how big a container its females need.

Not for when a tray is set or pulled (see rules.laying), for what is seen of its eggs (see seen_eggs), nor for how many
of them hatch (see hatch_success).
"""

import math

import msgspec
import numpy as np

from core.science.adult_figures import Adult
from core.science.estimates import WIDEST_SD, Estimate, lognormal
from core.science.figures import Figure, Mark
from core.science.ranges import checked

_TASEE = (
    "Tasee et al., J. Agric. (Chiang Mai), article 254151, abstract: 856 and 867 eggs in 9 days, collected every day"
)
HOLDING_HOURS = Figure(
    value=48.0,
    unit="h",
    mark=Mark.DERIVED,
    source=f"{_TASEE} and every other day: a day without a tray loses none; that two days is the most is an estimate",
)
RELEASE_HOURS = Figure(
    value=4.0, unit="h", mark=Mark.GUESS, source="no measurement found; eggs held back are laid first, in one night"
)
NIGHT_FROM_HOUR, NIGHT_HOURS = 18.0, 12.0  # common practice, no source: half of the day is dark
NO_EGGS_ABOVE = Figure(
    value=40.0, unit="C", mark=Mark.GUESS, source="no measurement found; females at 38 C live 20 d (Odhiambo et al.)"
)
FEMALE_SHARE_SD = Figure(
    value=0.15, unit="1", mark=Mark.GUESS, source="breeders keep one male to one, two or three females"
)
CAPACITY = Figure(
    value=60.0, unit="1/cm2", mark=Mark.GUESS, source="no measurement found: an egg each 1.3 mm, seen from above"
)
CAPACITY_SD = Figure(value=0.5, unit="1", mark=Mark.GUESS, source="the capacity is good to a factor of two or so")
MOST_HOURS = 24.0 * 30
LARGEST_CM2 = 1e6


class Tray(msgspec.Struct, frozen=True, kw_only=True):
    """A lay tray and the time it was in with the crickets."""

    hours: float = 24.0  # how long; 0 to 720
    hours_without: float = 0.0  # how long there was no tray before it; 0: it took the place of another
    temp_c: float = 29.0  # of the bin
    area_cm2: float | None = None  # surface; None: as large as can be
    hour: float | None = None  # of the day when it went in, 0 to 24; None: eggs are laid evenly over the day

    def __post_init__(self) -> None:
        checked("hours of the tray [h]", self.hours, 0.0, MOST_HOURS)
        checked("hours without a tray [h]", self.hours_without, 0.0)
        checked("temperature of the bin [C]", self.temp_c, -30.0, 60.0)
        if self.area_cm2 is not None:
            checked("area of the container [cm2]", self.area_cm2, 1.0, LARGEST_CM2)
        if self.hour is not None:
            checked("hour of the day [h]", self.hour, 0.0, 24.0)


def females_among(adults: float, adult: Adult) -> Estimate:
    """Give the females among grown crickets of laying age whose sexes were not counted.

    Parameters
    ----------
    adults : float
        At least 0. [1]
    adult : Adult
        Of the species.

    Returns
    -------
    Estimate
        Females. [1]

    Raises
    ------
    OutOfRangeError
        If the number is not finite or negative.

    Examples
    --------
    >>> from core.science.species import species
    >>> females_among(200.0, species("house").adult).likely
    100.0
    """
    return lognormal(checked("adults [1]", adults, 0.0) * adult.female_share.value, FEMALE_SHARE_SD.value)


def warmth_share(temp_c: float, adult: Adult) -> float:
    """Give the share of their full number of eggs that females lay at a temperature.

    Parameters
    ----------
    temp_c : float
        Mean of the bin. [C]
    adult : Adult
        Of the species.

    Returns
    -------
    float
        0 to 1. [1]

    Raises
    ------
    OutOfRangeError
        If the temperature is not finite.

    Notes
    -----
    Straight lines: 0 up to `no_eggs_c`, 1 from `full_from_c` to `full_to_c`, 0 from 40 C on.

    References
    ----------
    .. [1] Odhiambo M.A., Olweny C., Okuto E.O., East Afr. J. Agric. Biotechnol., article 834, abstract: 1,360 eggs a
       female at 26 C and 101 at 18 C, which is taken as none.

    Examples
    --------
    >>> from core.science.species import species
    >>> [warmth_share(temp_c, species("house").adult) for temp_c in (18.0, 22.0, 29.0, 38.0)]
    [0.0, 0.5, 1.0, 0.25]
    """
    limits = (adult.no_eggs_c.value, adult.full_from_c.value, adult.full_to_c.value, NO_EGGS_ABOVE.value)
    return float(np.interp(checked("temperature of the bin [C]", temp_c), limits, (0.0, 1.0, 1.0, 0.0)))


def days_of_eggs(tray: Tray, night_share: float) -> float:
    """Give how many days' eggs a female lays into a tray.

    Parameters
    ----------
    tray : Tray
        Its hours, the hours without one before it, and the hour it went in.
    night_share : float
        Share of a day's eggs that is laid at night, 0 to 1. [1]

    Returns
    -------
    float
        At least 0. [days]

    Raises
    ------
    OutOfRangeError
        If the share is out of its range.

    Notes
    -----
    The eggs of the hours it is in, and those of up to 48 hours before, held back for want of a tray, of which a share
    of 1 - exp(-hours / 4) is laid. Where the hour is known, night and day count by what is laid in them.

    References
    ----------
    .. [1] Tasee J., Suttiprapan P., Kulsarin J., Suitability of egg laying media and egg collecting techniques for
       house cricket farming, J. Agric. (Chiang Mai), article 254151, abstract: 856 eggs per cricket in 9 days when
       collected every day, 867 every other day; 1,059 by night, 688 by day.

    Examples
    --------
    >>> days_of_eggs(Tray(hours=24.0), 0.61)
    1.0
    >>> round(days_of_eggs(Tray(hours=24.0, hours_without=24.0), 0.61), 3)
    1.998
    >>> round(days_of_eggs(Tray(hours=12.0, hour=18.0), 0.61), 2)
    0.61
    """
    checked("share of eggs at night [1]", night_share, 0.0, 1.0)
    held = min(tray.hours_without, HOLDING_HOURS.value)
    released = -math.expm1(-tray.hours / RELEASE_HOURS.value)
    if tray.hour is None:
        return (tray.hours + held * released) / 24.0
    start, end = tray.hour, tray.hour + tray.hours
    before, by, at = (_days_until(hour, night_share) for hour in (start - held, start, end))
    return (at - by) + (by - before) * released


def _days_until(hour: float, night_share: float) -> float:
    """Integrate the share of a day's eggs laid per hour, from the first nightfall on."""
    days, since_nightfall = divmod(hour - NIGHT_FROM_HOUR, 24.0)
    night = min(since_nightfall, NIGHT_HOURS) / NIGHT_HOURS
    day = max(since_nightfall - NIGHT_HOURS, 0.0) / (24.0 - NIGHT_HOURS)
    return days + night_share * night + (1 - night_share) * day


def eggs_to_expect(
    tray: Tray, females: Estimate | float, adult: Adult, *, eggs_a_day: Estimate | float | None = None
) -> Estimate:
    """Give how many eggs a tray collects.

    Parameters
    ----------
    tray : Tray
        Its time, warmth and size.
    females : Estimate or float
        Of laying age, at least 0: counted, or by `females_among`. [1]
    adult : Adult
        Of the species.
    eggs_a_day : Estimate or float, optional
        What a female lays in full warmth; that of the species for a bin of mixed age if left out. [1/d]

    Returns
    -------
    Estimate
        Eggs. [1]

    Raises
    ------
    OutOfRangeError
        If a number is not finite or negative.

    Notes
    -----
    raw = females * eggs a day * warmth share * days of eggs; a container of area A fills up as
    eggs = C (1 - exp(-x)), C = 60 A, x = raw / C. The variances of the logarithms add up, those of raw times e^2 and
    that of C times (1 - e)^2, where e = x exp(-x) / (1 - exp(-x)) tells how much of a change of raw the eggs follow.

    Examples
    --------
    >>> from core.science.species import species
    >>> eggs = eggs_to_expect(Tray(hours=24.0, area_cm2=375.0), 100.0, species("house").adult)
    >>> [round(number) for number in (eggs.least, eggs.likely, eggs.most)]
    [1856, 3665, 7234]
    """
    count = females if isinstance(females, Estimate) else lognormal(females, 0.0)
    rate = _rate(adult, eggs_a_day)
    each = warmth_share(tray.temp_c, adult) * days_of_eggs(tray, adult.night_share.value)
    raw, raw_sd = count.likely * rate.likely * each, math.hypot(count.sd, rate.sd)
    if tray.area_cm2 is None or raw < 1.0:  # a single egg has room
        return lognormal(raw, min(raw_sd, WIDEST_SD))
    capacity = CAPACITY.value * tray.area_cm2
    filled = -math.expm1(-raw / capacity)
    follows = raw / capacity * (1 - filled) / filled
    sd = math.hypot(follows * raw_sd, (1 - follows) * CAPACITY_SD.value)
    return lognormal(capacity * filled, min(sd, WIDEST_SD))


def _rate(adult: Adult, eggs_a_day: Estimate | float | None) -> Estimate:
    if eggs_a_day is None:
        return lognormal(adult.eggs_a_day.value, adult.eggs_a_day_sd.value)
    return eggs_a_day if isinstance(eggs_a_day, Estimate) else lognormal(eggs_a_day, 0.0)


def container_area_cm2(
    females: float, adult: Adult, *, tray: Tray | None = None, eggs_a_day: float | None = None, most_lost: float = 0.10
) -> float:
    """Give the surface that a lay container needs for its females.

    Parameters
    ----------
    females : float
        Of laying age, at least 0. [1]
    adult : Adult
        Of the species.
    tray : Tray, optional
        Its hours count, and the hours without one; a day in, none without, if left out.
    eggs_a_day : float, optional
        What a female lays in full warmth; that of the species if left out. [1/d]
    most_lost : float, optional
        Share of the eggs that crowding may cost, 0.01 to 0.9. [1]

    Returns
    -------
    float
        Area. [cm2]

    Raises
    ------
    OutOfRangeError
        If a number is not finite or out of its range.

    Notes
    -----
    raw / (60 x), x being the root of (1 - exp(-x)) / x = 1 - most_lost, by Newton's method from 1 / (1 - most_lost),
    where it falls to the root without a turn. In full warmth, whatever that of the tray.

    Examples
    --------
    >>> from core.science.species import species
    >>> round(container_area_cm2(100.0, species("house").adult))
    311
    """
    checked("females [1]", females, 0.0)
    checked("share lost to crowding [1]", most_lost, 0.01, 0.9)
    each = days_of_eggs(tray or Tray(), adult.night_share.value)
    raw = females * _rate(adult, eggs_a_day).likely * each
    kept = 1 - most_lost
    filled = 1 / kept
    for _ in range(40):
        filled -= (-math.expm1(-filled) - kept * filled) / (math.exp(-filled) - kept)
    return raw / (CAPACITY.value * filled)
