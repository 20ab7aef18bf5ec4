"""Folded farms at hand, so that a message costs its own events and not the whole journal's.

A farm on the shelf is brought up to date from the journal within each unit of work; one whose unit of work fails is
taken off. Not a store: all of it can be folded again at any time.
"""

from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence

from bot.ports.stores import Journal
from core.farm.farm import Farm
from core.farm.fold import FarmFold
from core.journal.event import Event
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
        self._folds: OrderedDict[int, tuple[int, FarmFold]] = OrderedDict()  # each with its edition
        self._forecasters: dict[int, Forecaster] = {}

    def fold(self, farm: int, edition: int, journal: Journal) -> FarmFold:
        """Give a farm of an edition as the journal has it now."""
        known = self._known(farm, edition)
        if known is None:
            return self._put(farm, edition, journal.since(farm))
        known.add(journal.since(farm, known.farm.last_number))
        return known

    def folds(self, editions: Mapping[int, int], journal: Journal) -> dict[int, FarmFold]:
        """Give several farms, by their editions; those that are not at hand are read at once."""
        known = {farm: self._known(farm, edition) for farm, edition in editions.items()}
        events = journal.of([farm for farm, fold in known.items() if fold is None])
        found: dict[int, FarmFold] = {}
        for farm, fold in known.items():
            if fold is None:
                found[farm] = self._put(farm, editions[farm], events[farm])
            else:
                fold.add(journal.since(farm, fold.farm.last_number))
                found[farm] = fold
        return found

    def forecaster(self, farm: int) -> Forecaster:
        """Give the forecasts at hand of a farm that is on the shelf."""
        return self._forecasters.setdefault(farm, Forecaster())

    def forget(self, farms: Iterable[int] | None = None) -> None:
        """Take farms off: what was folded did not get into the journal. None takes all off."""
        for farm in list(self._folds) if farms is None else farms:
            self._folds.pop(farm, None)

    def _known(self, farm: int, edition: int) -> FarmFold | None:
        found = self._folds.get(farm)
        if found is None or found[0] != edition:
            return None
        self._folds.move_to_end(farm)
        return found[1]

    def _put(self, farm: int, edition: int, events: Sequence[Event]) -> FarmFold:
        made = FarmFold(events)
        self._folds[farm] = (edition, made)
        self._folds.move_to_end(farm)
        while len(self._folds) > KEPT:
            dropped, _ = self._folds.popitem(last=False)
            self._forecasters.pop(dropped, None)
        return made
