"""Where crickets come from: the bins they lived in, the tubs they hatched in, and what was told of these meanwhile.

Walks the journal, so only when somebody asks. Which tubs they can be of, the fold knows; where several were put
together, all of them. Not for words.
"""

import datetime as dt
from collections.abc import Collection, Iterable, Sequence

import msgspec

from core.farm.cohorts import LONGEST_IN_HAND, tubs_of
from core.farm.farm import Farm, Sale
from core.journal import codec, facts
from core.journal.event import Event


class Lineage(msgspec.Struct, frozen=True, kw_only=True):
    """The lot of a sale, or of what is in a bin."""

    until: dt.datetime
    bins: tuple[str, ...]  # that they lived in, the last first
    tubs: tuple[str, ...]  # that they hatched in, or may have
    parents: tuple[str, ...]  # bins that laid those
    steps: tuple[Event, ...]  # all that was told of these, by time


def of_sale(farm: Farm, in_force: Sequence[Event], sale: Sale) -> Lineage:
    """Trace the crickets of a sale."""
    before = [e for e in in_force if e.happened_at <= sale.at]
    first = (sale.bin,) if sale.bin is not None else _harvested_for(farm, before, sale)
    return _traced(farm, before, first, sale.tubs, sale.at)


def of_bin(farm: Farm, in_force: Sequence[Event], name: str, now: dt.datetime) -> Lineage:
    """Trace the crickets that are in a bin."""
    return _traced(farm, in_force, (name,), tubs_of(farm.bins[name].cohorts), now)


def of_tub(farm: Farm, in_force: Sequence[Event], name: str, now: dt.datetime) -> Lineage:
    """Trace the eggs of a tub."""
    return _traced(farm, in_force, (), (name,), now)


def sales_of(farm: Farm, *, tub: str | None = None, bin_: str | None = None) -> tuple[Sale, ...]:
    """Give the sales in which crickets of a tub, or out of a bin, may have been, by time."""
    return tuple(sale for sale in farm.sales if (tub in sale.tubs if tub is not None else sale.bin == bin_))


def _harvested_for(farm: Farm, before: Iterable[Event], sale: Sale) -> tuple[str, ...]:
    """Name the bins out of which crickets were taken just before a sale that names none."""
    taken = (e for e in before if isinstance(e.body, facts.Harvested) and sale.at - e.happened_at <= LONGEST_IN_HAND)
    return tuple(dict.fromkeys(_key(farm, e.body.bin) for e in taken if isinstance(e.body, facts.Harvested)))


def _traced(
    farm: Farm, before: Sequence[Event], first: tuple[str, ...], tubs: tuple[str, ...], until: dt.datetime
) -> Lineage:
    bins, found = dict.fromkeys(first), list[Event]()
    living = set(first)
    for entry in reversed(before):
        body = entry.body
        match body:
            case facts.Moved(from_=source, to=goal) if _key(farm, goal) in living:
                bins.setdefault(_key(farm, source))
                living.add(_key(farm, source))
                found.append(entry)
            case facts.Discarded(bin=str(name)) if _key(farm, name) in living:
                living.remove(_key(farm, name))  # what was in it before is none of these
            case facts.Stocked() if _key(farm, body.bin) in living:
                if not body.tubs or {_key(farm, name) for name in body.tubs} & set(tubs):
                    found.append(entry)
            case _ if _is_about(farm, entry, living):
                found.append(entry)
    of_tubs = [entry for entry in before if _is_of_tubs(farm, entry, tubs)]
    known = [farm.tubs.find(name) for name in tubs]
    parents = tuple(dict.fromkeys(tub.bin for tub in known if tub is not None and tub.bin is not None))
    steps = {entry.number: entry for entry in (*of_tubs, *reversed(found))}
    ordered = tuple(sorted(steps.values(), key=lambda entry: (entry.happened_at, entry.number)))
    return Lineage(until=until, bins=tuple(bins), tubs=tubs, parents=parents, steps=ordered)


def _key(farm: Farm, name: str) -> str:
    return farm.aliases.get(name, name)


def _is_about(farm: Farm, entry: Event, bins: Collection[str]) -> bool:
    """Tell whether an event tells of the crickets in some bins."""
    match entry.body:
        case facts.Fed() | facts.Cleaned() | facts.Watered() as body:
            return body.all or any(_key(farm, name) in bins for name in body.bins)
        case facts.Dead() | facts.Sized() | facts.Adults() | facts.Harvested() | facts.Cleared() as body:
            return _key(farm, body.bin) in bins
        case facts.Reading(bin=str(name)) | facts.Problem(bin=str(name)):
            return _key(farm, name) in bins
        case _:
            return False


def _is_of_tubs(farm: Farm, entry: Event, tubs: Collection[str]) -> bool:
    """Tell whether an event tells of tubs: of one of them, of the place in which it stood then, or of its tray."""
    slots = codec.slots_of(entry.body)
    named = {_key(farm, str(name)) for name in (slots.get("tub"), *slots.get("tubs", ())) if name}
    if named & set(tubs):
        return not isinstance(entry.body, facts.Stocked)
    known = [tub for tub in map(farm.tubs.find, tubs) if tub is not None]
    match entry.body:
        case facts.Reading(place=str(place)) | facts.Watered(place=str(place)) | facts.Mold(place=str(place)):
            return any(_stood(tub.placements, entry.happened_at, tub.hatch_at) == _key(farm, place) for tub in known)
        case facts.TrayIn(bin=name):
            return any(
                tub.pulled_at is not None
                and tub.laid_for is not None
                and tub.pulled_at - tub.laid_for == entry.happened_at
                for tub in known
                if tub.bin == _key(farm, name)
            )
        case _:
            return False


def _stood(
    placements: Iterable[tuple[dt.datetime, str]], at: dt.datetime, until: dt.datetime | None
) -> str | None:  # fmt: skip
    """Name where a tub stood at a time, until its pinheads were seen."""
    if until is not None and at > until:
        return None
    return next((place for since, place in reversed(list(placements)) if since <= at), None)
