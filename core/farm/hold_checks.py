"""Checks of moves: while a disease is suspected in a bin, nothing moves into it or out of it."""

from collections.abc import Iterator

from core.farm.farm import Farm
from core.farm.faults import Fault, Finding
from core.journal.event import Event
from core.journal.facts import Moved


def held(farm: Farm, entry: Event) -> Iterator[Finding]:
    """Find a move from or to a bin that is held back; what went on before it was is told late and stands."""
    match entry.body:
        case Moved(from_=source, to=target):
            for name in (source, target):
                house = farm.bins.get(name)
                if house is not None and house.held_since is not None and entry.happened_at >= house.held_since:
                    yield Finding(fault=Fault.HELD, subject=name, at=house.held_since)
        case _:
            return
