"""How much room a bin has for its crickets.

Not for what crowding costs in lives: core.science.survival has that.
"""

import datetime as dt

from core.farm.farm import Bin
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS

# Guess at a tote of a backyard: a floor of 60 by 40 cm, and eight egg cartons of 30 by 30 cm, counted on both sides.
BIN_CM2 = 60.0 * 40.0 + 8 * 2 * 30.0 * 30.0
# Crickets a cm2 of floor and cartons from the fourth instar on. Survival was not cut at 0.19 and by 31 % at 0.47:
# Mahavidanage S. et al. 2023, J. Orthoptera Res. 32(1):25-31, abstract.
CROWDED_PER_CM2 = 0.2
YOUNG = dt.timedelta(days=14)  # the fourth instar begins then, at about 29 C
ROOM = int(BIN_CM2 * CROWDED_PER_CM2)  # crickets


def crowd(house: Bin, now: dt.datetime) -> float | None:
    """Give how many crickets of two weeks and more a bin holds, or will; None where nobody said how many came in."""
    if house.count is None:
        return None
    return sum(
        (cohort.count or 0)
        * (1.0 if cohort.hatched_at is None or now - cohort.hatched_at > YOUNG else SURVIVAL_TO_14_DAYS.value)
        for cohort in house.cohorts
    )


def is_crowded(house: Bin, now: dt.datetime) -> bool:
    """Tell whether more crickets grow up in a bin than do well together."""
    found = crowd(house, now)
    return found is not None and found > ROOM
