"""How much cooler than the air wet substrate is, by the humidity of the air and the cover.

Not for how fast it dries: see drying. The cooling share is held, and learned, in calibration.
"""

from core.science.figures import Figure, Mark
from core.science.moist_air import wet_bulb_depression

COVER_SHARE = Figure(
    value=1 / 7,
    unit="1",
    mark=Mark.PRACTICE,
    source="common practice, no source: a loose plastic cover cuts drying by 5 to 10 times",
)

COOLING_SHARE = Figure(
    value=0.39,
    unit="1",
    mark=Mark.DERIVED,
    source="how far wet substrate cools from the air towards the wet bulb; fitted with the constants of the eggs",
)
COOLING_SHARE_SD = Figure(value=0.08, unit="1", mark=Mark.GUESS, source="tubs differ in depth, heat from below, drafts")


def surface_drop_c(temp_c: float, rh: float, *, is_covered: bool) -> float:
    """Compute by how much a wet surface that gives off its water as freely as the cover lets it is cooler than the air.

    Parameters
    ----------
    temp_c : float
        Temperature of the air, -30 to 60. [C]
    rh : float
        Relative humidity, 0 to 100. [%]
    is_covered : bool
        Whether a loose cover is on.

    Returns
    -------
    float
        Drop below the temperature of the air, at least 0. [C]

    Raises
    ------
    OutOfRangeError
        If a number is not finite or out of its range.

    Notes
    -----
    The depression of the wet bulb, times the share of the drying that a cover lets through.

    Examples
    --------
    >>> round(surface_drop_c(30.0, 50.0, is_covered=False), 1)
    8.0
    >>> round(surface_drop_c(30.0, 50.0, is_covered=True), 1)
    1.1
    """
    return wet_bulb_depression(temp_c, rh) * (COVER_SHARE.value if is_covered else 1.0)
