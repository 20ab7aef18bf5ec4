"""The fold as it is defined, with nothing kept from before and nothing left out: what `FarmFold` is compared with."""

from core.farm.corrections import fixed
from core.farm.farm import Tubs
from core.farm.fold import apply
from core.farm.ledger import Ledger
from core.farm.names import Names
from core.journal import codec, event
from core.journal.wants import Fix, Undo


def folded(events):
    """The farm that events in any order have made."""
    entries = in_force(events)
    ledger = Ledger(Names.of(entries))
    for entry in entries:
        apply(ledger, entry)
    return ledger.farm(
        last_said=last_message(entries),
        known_since=min(events, key=lambda e: e.number).said_at if events else None,
        last_number=max((e.number for e in events), default=0),
    )


def undone(events):
    gone = set()
    for entry in sorted(events, key=lambda e: e.number, reverse=True):
        if isinstance(entry.body, Undo) and entry.number not in gone:
            gone.update(number for number in entry.body.of if number < entry.number)
    return gone


def in_force(events):
    gone = undone(events)
    fixes = [e for e in sorted(events, key=lambda e: e.number) if isinstance(e.body, Fix) and e.number not in gone]
    kept = [e for e in events if e.number not in gone and not isinstance(e.body, Undo | Fix)]
    return sorted((put_right(e, [f for f in fixes if f.body.of == e.number < f.number]) for e in kept), key=event.order)


def put_right(entry, fixes):
    for fix in fixes:
        try:
            entry = fixed(entry, fix.body)
        except (codec.Incomplete, ValueError):  # a fix that fits no more
            continue
    return entry


def last_message(events, by=None):
    said = [e for e in events if e.by and by in {None, e.by}]
    newest = max(said, key=lambda e: e.number, default=None)
    if newest is None:
        return ()
    return tuple(
        sorted((e for e in said if e is newest or e.message == newest.message != ""), key=lambda e: e.number)
    )  # fmt: skip


def last_recorded(events, by):
    gone = undone(events)
    return last_message([e for e in events if e.number not in gone and not isinstance(e.body, Undo)], by)


def shown(farm):
    """All of a farm, what it has at hand of its tubs and readings and the order of its names included."""
    tubs = farm.tubs
    owners = [*farm.places.values(), *farm.bins.values(), *tubs.values()]
    return (
        farm,
        [list(names) for names in (farm.people, farm.places, farm.bins, tubs, farm.asked, farm.aliases)],
        (tubs.incubating, tubs.hatched, tubs.found_dry, tubs.highest, len(tubs)),
        [(len(o.readings), list(o.readings.warm), list(o.readings.humid)) for o in owners],
        farm.orders.customers,
    )


def derived_anew(farm):
    """What a farm has at hand of its tubs, taken from all of them; as long as none had to make room."""
    anew = Tubs(dict(farm.tubs))
    return (anew.incubating, set(map(id, anew.hatched)), set(map(id, anew.found_dry)), anew.highest)
