"""Consistency checks: what cannot be so is found before it gets into the journal.

Each check is a small function of the farm as it is and of the event that is about to be recorded. Not for advice on
what can be so but is unwise: that is core.rules.cautions.
"""

import datetime as dt
from collections.abc import Callable, Iterator

from core.farm import count_checks, hold_checks, people_checks
from core.farm.farm import Farm
from core.farm.faults import Fault, Finding
from core.farm.names import is_number
from core.farm.settings import SettingError, with_setting
from core.journal import facts, wants
from core.journal.event import Event
from core.journal.kinds import Setting

CLOCK_SLACK = dt.timedelta(minutes=2)  # a phone's clock may be this far ahead
COLDEST_C, HOTTEST_C = -20.0, 55.0  # a room with crickets in it; beyond these a figure is a slip
NEW_TUB_REACH = 3  # a tub number further than this above the highest is a slip, not a new tub
LONGEST_NAME = 40
LARGEST = 10_000_000  # crickets, grams, coins; a farm with more does not write them down in a chat


Check = Callable[[Farm, Event], Iterator[Finding]]


def findings(farm: Farm, entry: Event) -> tuple[Finding, ...]:
    """Give all that cannot be so about an event on a farm."""
    return tuple(found for check in CHECKS for found in check(farm, entry))


def _not_in_future(_farm: Farm, entry: Event) -> Iterator[Finding]:
    if entry.happened_at > entry.said_at + CLOCK_SLACK:
        yield Finding(fault=Fault.IN_FUTURE, at=entry.happened_at)


def _figures(_farm: Farm, entry: Event) -> Iterator[Finding]:
    body = entry.body
    if not isinstance(body, facts.Reading):
        return
    temps = [t for t in (body.temp_c, body.low_c, body.high_c) if t is not None]
    for temp in temps:
        if not COLDEST_C <= temp <= HOTTEST_C:
            yield Finding(fault=Fault.TEMPERATURE, figure=temp)
    if body.low_c is not None and body.high_c is not None and body.low_c > body.high_c:
        yield Finding(fault=Fault.LOW_ABOVE_HIGH, figure=body.low_c)
    if body.rh is not None and not 0 < body.rh <= 100:
        yield Finding(fault=Fault.HUMIDITY, figure=body.rh)
    if not temps and body.rh is None:
        yield Finding(fault=Fault.NO_FIGURE)


def _numbers(_farm: Farm, entry: Event) -> Iterator[Finding]:
    for name in ("count", "mass_g", "volume_ml", "price", "price_each"):
        figure = getattr(entry.body, name, None)
        if figure is not None and not 0 <= figure <= LARGEST:
            yield Finding(fault=Fault.NUMBER, subject=name, figure=figure)


def _tray(farm: Farm, entry: Event) -> Iterator[Finding]:
    body = entry.body
    if not isinstance(body, facts.TrayIn | facts.TrayOut):
        return
    house = farm.bins.get(body.bin)
    tray = house.tray if house else None
    if isinstance(body, facts.TrayIn):
        if tray is not None and entry.happened_at >= tray.put_in_at:
            yield Finding(fault=Fault.TRAY_ALREADY_IN, subject=body.bin, at=tray.put_in_at)
    elif tray is None:
        yield Finding(fault=Fault.NO_TRAY, subject=body.bin)
    elif entry.happened_at < tray.put_in_at:
        yield Finding(fault=Fault.BEFORE_TRAY, subject=body.bin, at=tray.put_in_at)


def _new_tub(farm: Farm, entry: Event) -> Iterator[Finding]:
    body = entry.body
    if not isinstance(body, facts.TrayOut) or body.tub is None:
        return
    known = farm.tubs.get(body.tub)
    if known is not None and known.pulled_at is not None:
        yield Finding(fault=Fault.TUB_TAKEN, subject=body.tub, at=known.pulled_at)


def _tubs(farm: Farm, entry: Event) -> Iterator[Finding]:
    for name in _tubs_named(entry):
        tub = farm.tubs.get(name)
        if tub is None:
            if not _may_be_new(farm, name):
                yield Finding(fault=Fault.NO_SUCH_TUB, subject=name)
        elif tub.emptied_at is not None and entry.happened_at > tub.emptied_at:
            yield Finding(fault=Fault.TUB_GONE, subject=name, at=tub.emptied_at)
        elif tub.pulled_at is not None and entry.happened_at < tub.pulled_at - CLOCK_SLACK:
            yield Finding(fault=Fault.BEFORE_PULL, subject=name, at=tub.pulled_at)


def _tubs_named(entry: Event) -> tuple[str, ...]:
    match entry.body:
        case facts.Placed() | facts.Covered() | facts.Watered() | facts.Mold() | facts.Dry() | facts.Stocked() as body:
            return body.tubs
        case facts.Hatch() | facts.Reading() | facts.Discarded() | facts.Problem() as body:
            return (body.tub,) if body.tub is not None else ()
        case _:
            return ()


def _may_be_new(farm: Farm, name: str) -> bool:
    """Tell whether a tub that is spoken of for the first time may be one: its number is not far above the others."""
    if not name[1:].isdecimal() or not farm.tubs:
        return True
    return int(name[1:]) < int(farm.next_tub[1:]) + NEW_TUB_REACH


def _setting(farm: Farm, entry: Event) -> Iterator[Finding]:
    body = entry.body
    if not isinstance(body, wants.Set):
        return
    if body.what is Setting.NAME:
        if not 0 < len(body.to.strip()) <= LONGEST_NAME:
            yield Finding(fault=Fault.BAD_NAME, subject=body.to)
        return
    try:
        with_setting(farm.settings, body.what, body.to)
    except SettingError:
        yield Finding(fault=Fault.BAD_SETTING, subject=body.what)


def _names(farm: Farm, entry: Event) -> Iterator[Finding]:
    match entry.body:
        case wants.Add(name=str(name)) | wants.Rename(new=name) | facts.Placed(place=name):
            is_renamed_into_another = isinstance(entry.body, wants.Rename) and _is_taken(farm, entry.body)
            if not 0 < len(name.strip()) <= LONGEST_NAME or is_renamed_into_another:
                yield Finding(fault=Fault.BAD_NAME, subject=name)
        case _:
            return


def _is_taken(farm: Farm, rename: wants.Rename) -> bool:
    """Tell whether a new name is a number, or stands for something else already: both would make two things one."""
    new, old = rename.new.strip().casefold(), rename.old.strip().casefold()
    if new == old:
        return False
    called = [(b.name, b.nickname) for b in farm.bins.values()] + [(t.name, t.nickname) for t in farm.tubs.values()]
    nicknames = {nickname.casefold() for name, nickname in called if nickname is not None and name.casefold() != old}
    return is_number(new) or new in nicknames or new in {name.casefold() for name in (*farm.places, *farm.bins)}


CHECKS: tuple[Check, ...] = (
    _not_in_future,
    _figures,
    _numbers,
    _tray,
    _new_tub,
    _tubs,
    _setting,
    _names,
    count_checks.taken,
    count_checks.shrunk,
    count_checks.due_past,
    hold_checks.held,
    people_checks.workers,
)
