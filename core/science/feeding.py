"""How much dry feed crickets eat, by how far they have grown.

Not for how fast they grow: see growth. Not for what a farm has: core.rules.stock.
"""

from functools import lru_cache
from itertools import accumulate

import numpy as np

from core.science.figures import Figure, Mark
from core.science.grades import mass_mg
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS, SURVIVAL_TO_ADULT
from core.science.ranges import checked
from core.science.species import SpeciesName, species
from core.science.survival import alive_at

FEED_PER_GAIN = Figure(
    value=1.5,
    unit="g/g",
    mark=Mark.READ,
    source=(
        "1.50 to 1.51 on a feed of 22 % protein, up to 1.81 on 16 %: Bawa et al. 2020, J. Insect Sci. 20(2), abstract; "
        "0.92 to 0.95 in a laboratory: Nakagaki and DeFoliart 1991, J. Econ. Entomol. 84:891-896"
    ),
)
ADULT_A_DAY = Figure(
    value=0.03,
    unit="g/d",
    mark=Mark.GUESS,
    source="40 eggs of 0.66 mg a female and day at 1.5 are 0.04 g, males lay none; upkeep was not found",
)
_STEPS = 100
_INSTARS = species(SpeciesName.HOUSE).instars


def eaten_g(share: float) -> float:
    """Compute the dry feed that one house cricket has eaten since it hatched.

    Parameters
    ----------
    share : float
        Of its development from hatch to the last moult that it has gone through, 0 to 1. [1]

    Returns
    -------
    float
        Feed, at least 0. [g]

    Raises
    ------
    OutOfRangeError
        If the share is not from 0 to 1.

    Notes
    -----
    The live mass gained times `FEED_PER_GAIN`, alike at all ages. Wet feed such as carrots is not in it.

    Examples
    --------
    >>> round(eaten_g(1.0), 2)
    0.59
    """
    return _interpolated(_table(is_with_losses=False), share)


def eaten_by_hatched_g(share: float) -> float:
    """Compute the dry feed eaten since hatch, for each cricket that hatched, of which some die on the way.

    Parameters
    ----------
    share : float
        As in `eaten_g`.

    Returns
    -------
    float
        Feed, at least 0. [g]

    Raises
    ------
    OutOfRangeError
        If the share is not from 0 to 1.

    Notes
    -----
    The sum of what is gained and eaten step by step, times the share alive then by `survival.alive_at`.

    Examples
    --------
    >>> round(eaten_by_hatched_g(1.0), 2)
    0.38
    """
    return _interpolated(_table(is_with_losses=True), share)


def _interpolated(table: tuple[float, ...], share: float) -> float:
    """Read a table at a share; without numpy, which takes ten times as long for a single number."""
    place = checked("share of the development [1]", share, 0.0, 1.0) * _STEPS
    low = min(int(place), _STEPS - 1)
    return table[low] + (place - low) * (table[low + 1] - table[low])


@lru_cache(maxsize=2)
def _table(*, is_with_losses: bool) -> tuple[float, ...]:
    shares = np.linspace(0.0, 1.0, _STEPS + 1)
    masses = [mass_mg(float(share), _INSTARS) / 1000 for share in shares]
    alive = np.ones(_STEPS)
    if is_with_losses:
        young, grown = np.array(SURVIVAL_TO_14_DAYS.value), np.array(SURVIVAL_TO_ADULT.value)
        alive = alive_at((shares[1:] + shares[:-1]) / 2, young, grown)
    gains = zip(masses, masses[1:], alive, strict=False)
    return tuple(accumulate((FEED_PER_GAIN.value * (b - a) * float(n) for a, b, n in gains), initial=0.0))
