"""How many crickets a mass of them is, by how far those of the bin have grown.

Not for what a cricket of an age weighs: core.science.grades has that.
"""

import datetime as dt

from core.farm.farm import Bin, Farm
from core.journal.kinds import Holds
from core.rules.evidence import HOUSE_CRICKET
from core.rules.growth import growth_of
from core.science.grades import GROWN, mass_mg, starts_at
from core.units import SizeGrade

_INSTARS = HOUSE_CRICKET.instars


def mass_of(size: SizeGrade) -> float:
    """Give what a cricket of a size grade weighs, in g, halfway to the next one."""
    if size in GROWN:
        return mass_mg(1.0, _INSTARS) / 1000
    grades = [grade for grade in SizeGrade if grade not in GROWN]
    after = [*(starts_at(grade, _INSTARS) for grade in grades[1:]), 1.0]
    share = (starts_at(size, _INSTARS) + after[grades.index(size)]) / 2
    return mass_mg(share, _INSTARS) / 1000


def each_g(farm: Farm, house: Bin, now: dt.datetime) -> float | None:
    """Give what a cricket of a bin weighs now; None where nobody said how old or how big they are. In g."""
    if house.holds is Holds.ADULTS:
        return mass_of(SizeGrade.ADULT)
    grown = growth_of(farm, house, now)
    if grown is not None:
        return grown.body.mass_mg / 1000
    return None if house.size is None else mass_of(house.size)
