"""How many eggs a tub holds: by the crickets that laid them, and by what was seen of them.

Not for the arithmetic: that is core.science. How big a container was nobody is asked for; a usual one is taken.
"""

import msgspec

from core.farm.farm import Farm, Tub
from core.journal.kinds import Holds
from core.rules.evidence import HOUSE_CRICKET, lay_days_of
from core.rules.surroundings import last_telling, middle_of
from core.science import hatch_success
from core.science.estimates import Estimate, lognormal
from core.science.hatch_success import pinheads_to_expect
from core.science.laying import Tray, container_area_cm2, eggs_to_expect, females_among
from core.science.seen_eggs import seen_through_wall

LAY_BIN_C = 29.0  # 84 F; a guess at what a bin of laying crickets is kept at
CONTAINER_CM2 = 300.0  # a guess at a usual lay container, 15 by 20 cm


class Clutch(msgspec.Struct, frozen=True, kw_only=True):
    """What is in a tub; all estimates."""

    eggs: Estimate
    pinheads: Estimate


def container_cm2(farm: Farm, females: float) -> float:
    """Give the surface that a lay container needs for so many females and a usual lay of the farm. [cm2]."""
    return container_area_cm2(females, HOUSE_CRICKET.adult, tray=Tray(hours=farm.settings.lay_hours))


def clutch_of(farm: Farm, tub: Tub) -> Clutch | None:
    """Estimate the eggs of a tub; None where neither their number was seen nor that of the crickets is known."""
    house = farm.bins.get(tub.bin or "")
    adults = house.count if house is not None and house.holds is Holds.ADULTS else None
    if adults is None and tub.density is None:
        return None
    eggs = lognormal(0.0, 0.0)
    if house is not None and adults is not None:
        read = last_telling(house.readings)
        temp_c = LAY_BIN_C if read is None else middle_of(read)
        tray = Tray(hours=24.0 * lay_days_of(farm.settings.lay_hours, tub), temp_c=temp_c, area_cm2=CONTAINER_CM2)
        eggs = eggs_to_expect(tray, females_among(adults, HOUSE_CRICKET.adult), HOUSE_CRICKET.adult)
    if tub.density is not None:
        eggs = seen_through_wall(eggs, tub.density, CONTAINER_CM2)
    belief = hatch_success.prior(HOUSE_CRICKET.hatch_success)
    return Clutch(eggs=eggs, pinheads=pinheads_to_expect(eggs, belief))
