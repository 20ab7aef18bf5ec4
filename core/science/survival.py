"""How many crickets live on from one stage to the next, and what crowding takes.

Not for the numbers on a day: see population.
"""

import math

import numpy as np

from core.science.figures import Figure, Mark
from core.science.nymph_figures import CROWDING, YOUNG_UNTIL
from core.science.ranges import checked
from core.science.stage import Floats

SURVIVAL_SD = Figure(
    value=0.10, unit="1", mark=Mark.GUESS, source="no measurement found of how much the bins of farms differ"
)
HALF_LIFE_SD = Figure(
    value=0.16, unit="1", mark=Mark.DERIVED, source="half of the adults dead after 35 to 60 days, as a 90 % interval"
)


def crowding(density: Floats) -> Floats:
    """Give the share of the uncrowded survival from 14 days to adult that is left in a crowd.

    Parameters
    ----------
    density : ndarray
        Crickets at 14 days per area of floor and cartons, at least 0, of any shape. [1/cm2]

    Returns
    -------
    ndarray
        Of the same shape, 0 to 1. [1]

    Notes
    -----
    Straight lines between the densities measured: 1 up to 0.19, 0.69 at 0.47, 0.55 at 0.93. Beyond that nothing was
    measured and 0.55 stands, surely too high.

    References
    ----------
    .. [1] Mahavidanage S., Fuciarelli T.M., Li X., Rollo C.D. 2023, J. Orthoptera Res. 32(1):25-31, abstract: survival
       to maturity cut by 31 % and 45 % at 0.47 and 0.93 per cm2 from day 14 on, no cut told at 0.09 and 0.19.

    Examples
    --------
    >>> crowding(np.array([0.1, 0.47, 0.7])).round(3).tolist()
    [1.0, 0.69, 0.62]
    """
    densities, left = zip(*CROWDING, strict=True)
    return np.interp(density, densities, left)


def shares(middle: float, sd: float, deviates: Floats) -> Floats:
    """Give shares that spread around a middle one and stay between none and all.

    Parameters
    ----------
    middle : float
        Median, from 0.001 to 0.999. [1]
    sd : float
        About the standard deviation, 0 to 0.5. [1]
    deviates : ndarray
        Standard normal numbers, of any shape. [1]

    Returns
    -------
    ndarray
        Of the same shape, 0 to 1. [1]

    Raises
    ------
    OutOfRangeError
        If `middle` or `sd` is out of its range.

    Notes
    -----
    Normal in the logit, ln(p / (1 - p)), with sd / (middle (1 - middle)) as its standard deviation there.

    Examples
    --------
    >>> shares(0.8, 0.1, np.array([-1.0, 0.0, 1.0])).round(3).tolist()
    [0.682, 0.8, 0.882]
    """
    checked("middle share [1]", middle, 0.001, 0.999)
    spread = checked("standard deviation of a share [1]", sd, 0.0, 0.5) / (middle * (1 - middle))
    return 1 / (1 + np.exp(-math.log(middle / (1 - middle)) - spread * deviates))


def alive_at(progress: Floats, young: Floats, grown: Floats) -> Floats:
    """Give the share of the hatched that are alive when they have gone through a share of their development.

    Parameters
    ----------
    progress : ndarray
        Share of the degree-days from hatch to the last moult, 0 to 1. [1]
    young, grown : ndarray
        Survival from hatch to 14 days, and from there to the last moult, above 0 to 1; broadcast with `progress`. [1]

    Returns
    -------
    ndarray
        Of the shape broadcast to, 0 to 1. [1]

    Notes
    -----
    An even risk along the development: young^(p / Y) up to Y = 0.29, where 14 days at 29 C are over, then
    young grown^((p - Y) / (1 - Y)).

    Examples
    --------
    >>> alive_at(np.array([0.0, 0.29, 1.0]), np.array(0.75), np.array(0.8)).round(3).tolist()
    [1.0, 0.75, 0.6]
    """
    in_youth = np.minimum(progress / YOUNG_UNTIL, 1.0)
    later = np.maximum((progress - YOUNG_UNTIL) / (1 - YOUNG_UNTIL), 0.0)
    return np.asarray(young**in_youth * grown**later, dtype=np.float64)
