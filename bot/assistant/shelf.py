"""Folded farms at hand, so that a message costs its own events and not the whole journal's.

A farm on the shelf is brought up to date from the journal within each unit of work; one whose unit of work fails is
taken off. Not a store: all of it can be folded again at any time.
"""

from collections import OrderedDict
from collections.abc import Mapping

from bot.ports.stores import Journal
from core.farm.farm import Farm
from core.farm.fold import FarmFold
from core.rules.forecasts import Forecast, forecasts

KEPT = 256  # farms; a folded farm of 5,000 events takes a few megabytes


class Forecaster:
    """The forecasts of a farm as it is, made once for each state that it goes through."""

    def __init__(self) -> None:
        self._made: tuple[Farm, dict[str, Forecast]] | None = None

    def of(self, farm: Farm) -> Mapping[str, Forecast]:
        """Give the forecasts of a farm."""
        if self._made is None or self._made[0] is not farm:
            self._made = (farm, forecasts(farm))
        return self._made[1]


class Shelf:
    """The farms that were used last."""

    def __init__(self) -> None:
        self._folds: OrderedDict[int, FarmFold] = OrderedDict()
        self._forecasters: dict[int, Forecaster] = {}

    def fold(self, farm: int, journal: Journal) -> FarmFold:
        """Give a farm as the journal has it now."""
        found = self._folds.get(farm)
        if found is None:
            found = self._folds[farm] = FarmFold(journal.since(farm))
        else:
            found.add(journal.since(farm, found.farm.last_number))
        self._folds.move_to_end(farm)
        while len(self._folds) > KEPT:
            dropped, _ = self._folds.popitem(last=False)
            self._forecasters.pop(dropped, None)
        return found

    def forecaster(self, farm: int) -> Forecaster:
        """Give the forecasts at hand of a farm that is on the shelf."""
        return self._forecasters.setdefault(farm, Forecaster())

    def forget(self, farm: int | None) -> None:
        """Take a farm off: what was folded did not get into the journal. None takes all off."""
        if farm is None:
            self._folds.clear()
        else:
            self._folds.pop(farm, None)
