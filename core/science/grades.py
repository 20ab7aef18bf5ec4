"""Size grades of the trade, as shares of the development from hatch to the last moult.

Not for when a cricket gets there: that takes its warmth.
"""

import math
from collections.abc import Sequence
from types import MappingProxyType

import numpy as np

from core.science.nymph_figures import Instar
from core.science.ranges import checked
from core.units import MM_PER_INCH, SizeGrade

INCHES = MappingProxyType(
    {
        SizeGrade.EIGHTH: 1 / 8,
        SizeGrade.QUARTER: 1 / 4,
        SizeGrade.THREE_EIGHTHS: 3 / 8,
        SizeGrade.HALF: 1 / 2,
        SizeGrade.FIVE_EIGHTHS: 5 / 8,
        SizeGrade.THREE_QUARTERS: 3 / 4,
    }
)
# An inch is a name for the grown cricket, which is shorter: common practice, no source.
GROWN = (SizeGrade.INCH, SizeGrade.ADULT)

_SORTED_FROM = SizeGrade.THREE_EIGHTHS  # smaller crickets are not sorted finer than by a grade


def sold_as(size: SizeGrade) -> tuple[SizeGrade, ...]:
    """Give the grades whose crickets go for a size: give or take an eighth of an inch, from three eighths on.

    A batch that is mostly half an inch long has shorter and longer ones in it, and nobody takes those out: common
    practice, no source. Grown crickets go for grown ones alone.

    Parameters
    ----------
    size : SizeGrade
        That is asked for.

    Returns
    -------
    tuple of SizeGrade
        A cricket is of a grade from that length on up to the next. An inch and adult are one.

    Examples
    --------
    >>> [grade.value for grade in sold_as(SizeGrade.HALF)]
    ['3/8in', '1/2in']
    >>> [grade.value for grade in sold_as(SizeGrade.QUARTER)]
    ['1/4in']
    """
    grades = tuple(INCHES)
    if size not in grades[grades.index(_SORTED_FROM) :]:
        return (size,)
    return grades[grades.index(size) - 1], size


def length_mm(share: float, instars: Sequence[Instar]) -> float:
    """Give the body length of a cricket that has gone through a share of its development.

    Parameters
    ----------
    share : float
        Of the degree-days from hatch to the last moult, 0 to 1. [1]
    instars : sequence of Instar, shape (n,), n >= 2
        Of the species, in order; the first starts at 0, the last, the adult, at 1.

    Returns
    -------
    float
        Length. [mm]

    Raises
    ------
    OutOfRangeError
        If the share is not from 0 to 1.

    Notes
    -----
    Straight lines of the logarithm between the lengths at which the instars start.

    Examples
    --------
    >>> from core.science.species import species
    >>> round(length_mm(0.725, species("house").instars), 1)
    13.3
    """
    checked("share of the development [1]", share, 0.0, 1.0)
    starts, logs = _points(instars)
    return math.exp(float(np.interp(share, starts, logs)))


def mass_mg(share: float, instars: Sequence[Instar]) -> float:
    """Give the live mass of a cricket that has gone through a share of its development.

    Parameters
    ----------
    share : float
        Of the degree-days from hatch to the last moult, 0 to 1. [1]
    instars : sequence of Instar, shape (n,), n >= 2
        As in `length_mm`.

    Returns
    -------
    float
        Mass. [mg]

    Raises
    ------
    OutOfRangeError
        If the share is not from 0 to 1.

    Notes
    -----
    Straight lines of the logarithm between the masses at which the instars start. What an adult puts on is not in here.

    Examples
    --------
    >>> from core.science.species import species
    >>> round(mass_mg(0.725, species("house").instars))
    123
    """
    checked("share of the development [1]", share, 0.0, 1.0)
    starts, logs = [one.starts_at for one in instars], [math.log(one.mass_mg) for one in instars]
    return math.exp(float(np.interp(share, starts, logs)))


def starts_at(grade: SizeGrade, instars: Sequence[Instar]) -> float:
    """Give the share of the development at which a cricket reaches a size grade.

    Parameters
    ----------
    grade : SizeGrade
        Pinheads are of that size from hatch, adults and the one-inch grade from the last moult on.
    instars : sequence of Instar, shape (n,), n >= 2
        As in `length_mm`.

    Returns
    -------
    float
        Of the degree-days from hatch to the last moult, 0 to 1. [1]

    Notes
    -----
    Where the length of `length_mm` is that of the grade; 1 if that is more than a new adult has.

    Examples
    --------
    >>> from core.science.species import species
    >>> [round(starts_at(grade, species("house").instars), 3) for grade in (SizeGrade.PINHEAD, SizeGrade.HALF)]
    [0.0, 0.699]
    """
    if grade is SizeGrade.PINHEAD:
        return 0.0
    if grade in GROWN:
        return 1.0
    starts, logs = _points(instars)
    return float(np.interp(math.log(INCHES[grade] * MM_PER_INCH), logs, starts))


def _points(instars: Sequence[Instar]) -> tuple[list[float], list[float]]:
    return [instar.starts_at for instar in instars], [math.log(instar.length_mm) for instar in instars]
