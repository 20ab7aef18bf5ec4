"""Which temperature hatches a batch with the least heat, in the room that a farm has.

Not for the arithmetic: that is core.science.heating. Money needs a meter: shares of heat do without.
"""

import msgspec

from core.farm.farm import Farm
from core.rules.evidence import HOUSE_CRICKET
from core.rules.surroundings import last_telling, middle_of
from core.science.heating import Comparison, compared
from core.units import TemperatureUnit, to_celsius

ROOM_C = 21.0  # 70 F; a guess at what is around what is heated
CHOICES = {TemperatureUnit.FAHRENHEIT: (80.0, 85.0, 90.0), TemperatureUnit.CELSIUS: (27.0, 30.0, 32.0)}


class HeatChoice(msgspec.Struct, frozen=True, kw_only=True):
    """Batches at usual temperatures, and what is around them."""

    place: str | None  # the coolest place that was read; None: the room is a guess
    comparison: Comparison


def heat_choice(farm: Farm) -> HeatChoice:
    """Compare the heat of a batch of eggs at temperatures that growers choose between."""
    read = {name: _last_c(farm, name) for name in farm.places}
    known = {name: temp_c for name, temp_c in read.items() if temp_c is not None}
    place = min(known, key=lambda name: known[name], default=None)
    temps_c = tuple(to_celsius(temp, farm.settings.units) for temp in CHOICES[farm.settings.units])
    if place is not None and known[place] > temps_c[0]:
        place = None  # a warm shelf is not what is around it
    found = compared(
        HOUSE_CRICKET.egg,
        temps_c,
        surroundings_c=ROOM_C if place is None else known[place],
        loss_w_per_k=1.0,
        price_per_kwh=0.0,
    )
    return HeatChoice(place=place, comparison=found)


def _last_c(farm: Farm, place: str) -> float | None:
    reading = last_telling(farm.places[place].readings)
    return None if reading is None else middle_of(reading)
