"""What the eggs seen through the wall of a clear lay container say about how many there are.

Not for how many to expect before anybody looks: see laying.
"""

import math

from core.journal.kinds import Density
from core.science.estimates import Estimate, lognormal
from core.science.laying import LARGEST_CM2
from core.science.ranges import checked

# Eggs per cm2 of surface when they look like this through the wall of a clear container, and the standard deviation of
# the logarithm of it; guesses: nobody has counted.
SEEN = {
    Density.NONE: (0.3, 1.0),
    Density.FEW: (2.0, 0.8),
    Density.SOME: (7.0, 0.7),
    Density.MANY: (20.0, 0.7),
}


def seen_through_wall(expected: Estimate, density: Density, area_cm2: float) -> Estimate:
    """Update the eggs expected of a tray by how many are seen through the wall of its container.

    Parameters
    ----------
    expected : Estimate
        Before the look. [1]
    density : Density
        What was seen.
    area_cm2 : float
        Surface of the container, 1 to 1e6. [cm2]

    Returns
    -------
    Estimate
        Eggs after it. [1]

    Raises
    ------
    OutOfRangeError
        If the area is out of its range.

    Notes
    -----
    Normal prior times normal likelihood in the logarithm: with weights p = 1 / sd^2 of the two,
    ln eggs = (p1 ln eggs1 + p2 ln eggs2) / (p1 + p2), sd = (p1 + p2)^-1/2. The looks stand for 0.3, 2, 7 and 20 eggs
    per cm2, guesses. Where none were expected, the look alone counts, and none seen leaves it at none.

    Examples
    --------
    >>> from core.science.estimates import lognormal
    >>> few = seen_through_wall(lognormal(3600.0, 0.45), Density.FEW, 375.0)
    >>> round(few.likely), round(few.sd, 2)
    (2469, 0.39)
    """
    checked("area of the container [cm2]", area_cm2, 1.0, LARGEST_CM2)
    per_cm2, sd = SEEN[density]
    if not expected.likely:
        return expected if density is Density.NONE else lognormal(per_cm2 * area_cm2, sd)
    if not expected.sd:
        return expected
    before, look = expected.sd**-2, sd**-2
    log_eggs = (before * math.log(expected.likely) + look * math.log(per_cm2 * area_cm2)) / (before + look)
    return lognormal(math.exp(log_eggs), (before + look) ** -0.5)
