"""What is due, what to ask for now, and when the rules next have something to say.

Pure: a farm and a time go in. Not for wording, nor for sending.
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence

import msgspec
from msgspec.structs import replace

from core.farm.farm import AskedChore, Farm
from core.journal.kinds import Chore
from core.rules import breeders, feeding, grow_out, hours, incubation, laying, promises, stock
from core.rules.chores import ChoreDue, Rule, Subject
from core.rules.forecasts import Forecast, forecasts

RULES: tuple[Rule, ...] = (
    laying.trays_to_pull,
    laying.trays_to_set,
    incubation.tubs_to_water,
    incubation.tubs_to_check_for_mold,
    incubation.tubs_to_check_for_hatch,
    feeding.bins_to_feed,
    feeding.bins_to_water,
    grow_out.bins_to_clean,
    grow_out.bins_to_split,
    grow_out.sizes_to_check,
    grow_out.chirps_to_hear,
    stock.feed_to_buy,
    breeders.chain,
    breeders.bins_to_replace,
    promises.orders_short,
    promises.orders_to_pick,
)
_Reminders = Mapping[Subject, Sequence[AskedChore]]
LOOK_AHEAD = dt.timedelta(hours=36)  # enough to meet the next of any daily chore
DAILY = frozenset({Chore.WATER, Chore.MOLD_CHECK, Chore.HATCH_CHECK, Chore.FEED, Chore.BIN_WATER})
BY_GROWTH = frozenset({Chore.SIZE_CHECK, Chore.FIRST_CHIRP})  # their day moves as the bin is warmer or cooler


class Agenda(msgspec.Struct, frozen=True, kw_only=True):
    """A farm's work at one moment."""

    open: tuple[ChoreDue, ...]  # due and not done, asked for or not
    to_ask: tuple[ChoreDue, ...]  # to be asked for right now
    next_at: dt.datetime | None  # when there is next something to ask for
    waiting: tuple[ChoreDue, ...]  # all of it, as many times as it would be asked for


def agenda(farm: Farm, now: dt.datetime, known: Mapping[str, Forecast] | None = None) -> Agenda:
    """Give the work of a farm at `now`; `known` are its forecasts, where they are at hand."""
    reminders = _by_subject(farm)
    found = forecasts(farm) if known is None else known
    return _timed(farm, now, tuple(_waiting(farm, now, now + LOOK_AHEAD, found, reminders)), reminders)


def once_asked(farm: Farm, now: dt.datetime, work: Agenda) -> Agenda:
    """Give the work of a farm at the same moment, now that reminders of it went out."""
    return _timed(farm, now, work.waiting, _by_subject(farm))


def _timed(farm: Farm, now: dt.datetime, waiting: tuple[ChoreDue, ...], reminders: _Reminders) -> Agenda:
    timed = [(chore, _ask_at(farm, chore, now, reminders.get(chore.subject, ()))) for chore in waiting]
    later = [at for _, at in timed if at is not None and at > now]
    return Agenda(
        open=tuple(_once_each(chore for chore in waiting if chore.due <= now)),
        to_ask=tuple(replace(chore, ask_at=at) for chore, at in timed if at is not None and at <= now),
        next_at=min(later, default=None),
        waiting=waiting,
    )


def coming(
    farm: Farm, now: dt.datetime, until: dt.datetime, known: Mapping[str, Forecast] | None = None
) -> Iterator[ChoreDue]:
    """Give what is open and what will be due until `until` at the least, as things stand now; each work once."""
    found = forecasts(farm) if known is None else known
    return _once_each(_waiting(farm, now, until, found, _by_subject(farm)))


def _waiting(
    farm: Farm, now: dt.datetime, until: dt.datetime, found: Mapping[str, Forecast], reminders: _Reminders
) -> Iterator[ChoreDue]:
    """Give what is not ended yet, as many times as it would be asked for."""
    for rule in RULES:
        for chore in rule(farm, found, now, until):
            went_out = reminders.get(chore.subject, ())
            if not any(a.ended_at is not None and _is_for(farm, a, chore) for a in went_out):
                yield chore


def _once_each(chores: Iterable[ChoreDue]) -> Iterator[ChoreDue]:
    """Give each work once, however many more times it would be asked for."""
    seen: set[tuple[Subject, dt.datetime]] = set()
    for chore in chores:
        if (chore.subject, chore.due) not in seen:
            seen.add((chore.subject, chore.due))
            yield chore


def last_asked(farm: Farm, chore: ChoreDue) -> AskedChore | None:
    """Find the newest reminder that went out for this very chore."""
    return _newest(a for a in farm.asked.values() if chore.is_same_subject(a) and _is_for(farm, a, chore))


def left_of(
    farm: Farm, asked: AskedChore, now: dt.datetime, known: Mapping[str, Forecast] | None = None
) -> ChoreDue | None:
    """Give what is left to do of what a reminder asked for, as it is now.

    None where it is done, skipped or gone, and where a newer reminder takes the place of this one: what was asked for
    once and is not over is always left, or asked for again.
    """
    if asked.ended_at is not None or asked.snoozed_until is not None:
        return None
    reminders = _by_subject(farm)
    found = forecasts(farm) if known is None else known
    for chore in _waiting(farm, now, now + LOOK_AHEAD, found, reminders):
        if chore.is_same_subject(asked):
            newest = _newest(a for a in reminders.get(chore.subject, ()) if _is_for(farm, a, chore))
            if newest is not None and newest.number == asked.number:
                return chore
    return None


def _by_subject(farm: Farm) -> _Reminders:
    found: dict[Subject, list[AskedChore]] = {}
    for asked in farm.asked.values():
        found.setdefault((asked.chore, asked.bin, asked.place, asked.order), []).append(asked)
    return found


def _newest(reminders: Iterable[AskedChore]) -> AskedChore | None:
    return max(reminders, key=lambda a: (a.at, a.number), default=None)


def _is_for(farm: Farm, asked: AskedChore, chore: ChoreDue) -> bool:
    """Tell whether a reminder for the same bin or place was for this chore and not for an earlier one."""
    if chore.chore in DAILY:  # the time of day may have been set anew in between
        return chore.due - incubation.soon_enough(farm) <= asked.at and asked.due <= chore.due
    if chore.chore in BY_GROWTH:  # asked for once a batch, however the day moves
        return grow_out.is_for(farm, asked, chore)
    if chore.chore is Chore.ORDER_SHORT:
        return promises.is_for(asked, chore)
    if chore.chore is Chore.CLEAN and not set(chore.bins) <= set(asked.bins):
        return False
    return asked.due == chore.due and asked.step >= chore.step


def _ask_at(farm: Farm, chore: ChoreDue, now: dt.datetime, reminders: Sequence[AskedChore]) -> dt.datetime | None:
    """Tell when to ask for a chore; None: not, as things stand. `reminders` went out for the same bin or place."""
    asked = _newest(a for a in reminders if _is_for(farm, a, chore))
    if asked is not None and asked.snoozed_until is None:
        return None
    put_off = asked.snoozed_until if asked is not None else _put_off_until(chore, reminders)
    pauses = [p for p in farm.pauses if p.chore in {None, chore.chore} and (p.until is None or p.until > now)]
    if any(p.until is None for p in pauses):
        return None
    at = max([chore.ask_at, put_off or chore.ask_at, *(p.until for p in pauses if p.until is not None)])
    if at == put_off:
        return at  # somebody wants it then, be it in the quiet hours
    held_back = hours.after_quiet(farm, max(at, now))
    return held_back if held_back > now else hours.after_quiet(farm, at)  # what is late keeps the time it was due


def _put_off_until(chore: ChoreDue, reminders: Sequence[AskedChore]) -> dt.datetime | None:
    """Tell until when the newest reminder was snoozed; that holds what comes after it off, too."""
    newest = _newest(reminders)
    if newest is None or newest.ended_at is not None:
        return None
    is_other_tray = chore.chore is Chore.PULL_TRAY and newest.due != chore.due
    return None if is_other_tray else newest.snoozed_until
