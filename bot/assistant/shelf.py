"""Folded farms at hand, so that a message costs its own events and not the whole journal's.

A farm on the shelf is brought up to date from the journal within each unit of work; one whose unit of work fails is
taken off. Not a store: all of it can be folded again at any time.
"""

from collections import OrderedDict

from bot.ports.stores import Journal
from core.farm.fold import FarmFold

KEPT = 256  # farms; a folded farm of 5,000 events takes a few megabytes


class Shelf:
    """The farms that were used last."""

    def __init__(self) -> None:
        self._folds: OrderedDict[int, FarmFold] = OrderedDict()

    def fold(self, farm: int, journal: Journal) -> FarmFold:
        """Give a farm as the journal has it now."""
        found = self._folds.get(farm)
        if found is None:
            found = self._folds[farm] = FarmFold(journal.since(farm))
        else:
            found.add(journal.since(farm, found.farm.last_number))
        self._folds.move_to_end(farm)
        while len(self._folds) > KEPT:
            self._folds.popitem(last=False)
        return found

    def forget(self, farm: int | None) -> None:
        """Take a farm off: what was folded did not get into the journal. None takes all off."""
        if farm is None:
            self._folds.clear()
        else:
            self._folds.pop(farm, None)
