"""Folded farms at hand, so that a message costs its own events and not the whole journal's.

A farm on the shelf is brought up to date from the journal within each unit of work; one whose last event is not there,
since the unit of work that wrote it failed, is folded anew. Not a store: all of it can be folded again at any time.
"""

from collections import OrderedDict
from collections.abc import Iterable, Mapping, Sequence

from bot.ports.stores import Journal
from core.farm.farm import Farm
from core.farm.fold import FarmFold
from core.journal.event import Event
from core.rules.forecasts import Forecast, forecasts

KEPT_EVENTS = 150_000  # of all farms together; 0.7 kB each, with what is folded of it
A_FARM = 10  # events that take as much room as what a farm has besides what grows with them


class Forecaster:
    """The forecasts of a farm as it is, made once for each state that it goes through."""

    def __init__(self) -> None:
        self._made: tuple[Farm, dict[str, Forecast]] | None = None

    def of(self, farm: Farm) -> Mapping[str, Forecast]:
        """Give the forecasts of a farm."""
        if self._made is None or self._made[0] is not farm:
            self._made = (farm, forecasts(farm))
        return self._made[1]


class _Kept:
    """A farm on the shelf."""

    def __init__(self, edition: int, fold: FarmFold) -> None:
        self.edition = edition
        self.fold = fold
        self.forecaster = Forecaster()
        self.room = 0  # that it was last seen to take


class Shelf:
    """The farms that were used last, as many as there is room for."""

    def __init__(self) -> None:
        self._kept: OrderedDict[int, _Kept] = OrderedDict()
        self._room = 0  # that is taken

    def fold(self, farm: int, edition: int, journal: Journal) -> FarmFold:
        """Give a farm of an edition as the journal has it now."""
        known = self._brought_up_to_date(farm, edition, journal)
        return self._put(farm, edition, journal.since(farm)) if known is None else known

    def folds(self, editions: Mapping[int, int], journal: Journal) -> dict[int, FarmFold]:
        """Give several farms, by their editions; those that are not at hand are read at once."""
        known = {farm: self._brought_up_to_date(farm, edition, journal) for farm, edition in editions.items()}
        events = journal.of([farm for farm, fold in known.items() if fold is None])
        return {
            farm: self._put(farm, editions[farm], events[farm]) if fold is None else fold
            for farm, fold in known.items()
        }  # fmt: skip

    def forecaster(self, farm: int) -> Forecaster:
        """Give the forecasts at hand of a farm that is on the shelf."""
        found = self._kept.get(farm)
        return Forecaster() if found is None else found.forecaster

    def forget(self, farms: Iterable[int] | None = None) -> None:
        """Take farms off: what was folded did not get into the journal. None takes all off."""
        for farm in list(self._kept) if farms is None else farms:
            self._take_off(farm)

    def _brought_up_to_date(self, farm: int, edition: int, journal: Journal) -> FarmFold | None:
        """Give a farm that is at hand; None where it is not, or has an event that is not in the journal."""
        found = self._kept.get(farm)
        if found is None or found.edition != edition:
            return None
        last = found.fold.events[-1:]
        news = journal.since(farm, found.fold.farm.last_number - len(last))
        if [_mark_of(event) for event in news[: len(last)]] != [_mark_of(event) for event in last]:
            return None
        found.fold.add(news[len(last) :])
        self._make_room(farm, found)
        return found.fold

    def _put(self, farm: int, edition: int, events: Sequence[Event]) -> FarmFold:
        self._take_off(farm)
        made = self._kept[farm] = _Kept(edition, FarmFold(events))
        self._make_room(farm, made)
        return made.fold

    def _make_room(self, farm: int, used: _Kept) -> None:
        """Count what the farm in use takes, and take those off that were used longest ago."""
        self._kept.move_to_end(farm)
        room = len(used.fold.events) + A_FARM
        self._room += room - used.room
        used.room = room
        while self._room > KEPT_EVENTS and len(self._kept) > 1:
            self._take_off(next(iter(self._kept)))

    def _take_off(self, farm: int) -> None:
        found = self._kept.pop(farm, None)
        if found is not None:
            self._room -= found.room


def _mark_of(event: Event) -> tuple[object, ...]:
    """Give what tells an event from any other that might have got its number."""
    return event.number, event.said_at, event.by, event.message, type(event.body)
