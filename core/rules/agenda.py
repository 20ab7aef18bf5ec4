"""What is due, what to ask for now, and when the rules next have something to say.

Pure: a farm and a time go in. Not for wording, nor for sending.
"""

import datetime as dt
from collections.abc import Iterator, Mapping

import msgspec

from core.farm.farm import AskedChore, Farm
from core.journal.kinds import Chore
from core.rules import incubation, laying
from core.rules.chores import ChoreDue, Rule
from core.rules.forecasts import Forecast, forecasts

RULES: tuple[Rule, ...] = (
    laying.trays_to_pull,
    laying.trays_to_set,
    incubation.tubs_to_water,
    incubation.tubs_to_check_for_mold,
    incubation.tubs_to_check_for_hatch,
)
LOOK_AHEAD = dt.timedelta(hours=36)  # enough to meet the next of any daily chore
DAILY = frozenset({Chore.WATER, Chore.MOLD_CHECK, Chore.HATCH_CHECK})


class Agenda(msgspec.Struct, frozen=True, kw_only=True):
    """A farm's work at one moment."""

    open: tuple[ChoreDue, ...]  # due and not done, asked for or not
    to_ask: tuple[ChoreDue, ...]  # to be asked for right now
    next_at: dt.datetime | None  # when there is next something to ask for


def agenda(farm: Farm, now: dt.datetime, known: Mapping[str, Forecast] | None = None) -> Agenda:
    """Give the work of a farm at `now`; `known` are its forecasts, where they are at hand."""
    waiting = list(coming(farm, now, now + LOOK_AHEAD, known))
    timed = [(chore, _ask_at(farm, chore, now)) for chore in waiting]
    later = [at for _, at in timed if at is not None and at > now]
    return Agenda(
        open=tuple(chore for chore in waiting if chore.due <= now),
        to_ask=tuple(chore for chore, at in timed if at is not None and at <= now),
        next_at=min(later, default=None),
    )


def coming(
    farm: Farm, now: dt.datetime, until: dt.datetime, known: Mapping[str, Forecast] | None = None
) -> Iterator[ChoreDue]:
    """Give what is open and what will be due until `until` at the least, as things stand now."""
    found = forecasts(farm) if known is None else known
    for rule in RULES:
        for chore in rule(farm, found, now, until):
            asked = last_asked(farm, chore)
            if asked is None or asked.ended_at is None:
                yield chore


def last_asked(farm: Farm, chore: ChoreDue) -> AskedChore | None:
    """Find the newest reminder that went out for this very chore."""
    return max((a for a in farm.asked.values() if _is_for(a, chore)), key=lambda a: (a.at, a.number), default=None)


def _is_for(asked: AskedChore, chore: ChoreDue) -> bool:
    if not chore.is_same_subject(asked):
        return False
    if chore.chore in DAILY:  # the time of day may have been set anew in between
        return chore.due - incubation.SOON_ENOUGH <= asked.at and asked.due <= chore.due
    return asked.due == chore.due and asked.step >= chore.step


def _ask_at(farm: Farm, chore: ChoreDue, now: dt.datetime) -> dt.datetime | None:
    """Tell when to ask for a chore; None: not, as things stand."""
    asked = last_asked(farm, chore)
    at: dt.datetime | None = chore.ask_at
    if asked is not None:
        at = asked.snoozed_until
    paused = [p for p in farm.pauses if p.chore in {None, chore.chore} and (p.until is None or p.until > now)]
    if at is None or any(p.until is None for p in paused):
        return None
    return max([at, *(p.until for p in paused if p.until is not None)])
