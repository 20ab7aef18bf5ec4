"""Reminders that could not leave at their time: what is left of them when they can.

Not for saying that one leaves late: bot.delivery and bot.replies.notices do.
"""

import datetime as dt
from collections.abc import Mapping

from msgspec.structs import replace

from bot.assistant import buttons, reminding
from bot.ports.messages import Outgoing
from bot.replies import notices
from bot.replies.voice import Voice
from core.farm.farm import Farm
from core.rules import hours
from core.rules.agenda import left_of
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast, forecasts


def farm_of(outgoing: Outgoing) -> int | None:
    """Give the farm that a message reminds; None where it is no reminder."""
    return _numbers(outgoing)[0] if outgoing.is_push else None


def as_it_stands(outgoing: Outgoing, farm: Farm, now: dt.datetime, language: str) -> Outgoing | None:
    """Give a reminder with what is left to do of it; None where nothing is.

    In the quiet hours it wakes nobody, unless somebody wanted it then.
    """
    farm_id, first = _numbers(outgoing)
    numbers = range(first, first + len(outgoing.about.chores))
    asked = [farm.asked[n] for n in numbers if n in farm.asked]
    known = forecasts(farm)
    left = {a.number: chore for a in asked if (chore := left_of(farm, a, now, known)) is not None}
    if not left:
        return None
    if hours.is_quiet(farm, now) and not any(hours.is_quiet(farm, a.at) for a in asked):
        outgoing = replace(outgoing, is_silent=True)
    if len(left) == len(numbers) and all((left[a.number].tubs, left[a.number].bins) == (a.tubs, a.bins) for a in asked):
        return outgoing
    bond = buttons.bond(farm_id, outgoing.chat)
    return _rewritten(outgoing, farm, left, Voice(farm, now, language), known, bond)


def _rewritten(
    outgoing: Outgoing,
    farm: Farm,
    left: Mapping[int, ChoreDue],
    voice: Voice,
    known: Mapping[str, Forecast],
    bond: str,
) -> Outgoing:
    chores = list(left.values())
    return replace(
        outgoing,
        text=notices.notice(voice, chores, known),
        buttons=reminding.buttons_of([farm.asked[number] for number in left], voice, bond),
        if_late=notices.late_line(voice, chores),
        about=reminding.about(farm, chores, known),
    )


def _numbers(outgoing: Outgoing) -> tuple[int, int]:
    """Give the farm and the first of the events that the key of a reminder names."""
    _, farm, first = outgoing.key.split(":")
    return int(farm), int(first)
