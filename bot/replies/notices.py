"""Reminders: where to walk, what to take, why now.

One message a place or bin; what is due there at once goes into it together. Not for when to send them: core.rules.
"""

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import assert_never

from bot.ports.messages import Outgoing
from bot.replies import orders, rounds, stock
from bot.replies.voice import Voice
from core.journal.kinds import Chore
from core.rules import breeders, hours, laying
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast
from core.science.development import HatchWindow

ORDERS = frozenset({Chore.ORDER_SHORT, Chore.PICK})
LATE = dt.timedelta(minutes=30)  # a reminder that leaves so long after its time says when that was


def groups(chores: Iterable[ChoreDue]) -> list[list[ChoreDue]]:
    """Put chores of one place, one bin, or one round of the bins, together."""
    found: dict[tuple[object, ...], list[ChoreDue]] = {}
    for chore in chores:
        of_orders = chore.due if chore.chore in ORDERS else None
        about = (chore.bin, chore.place, chore.order, rounds.round_of(chore), of_orders)
        found.setdefault(about, []).append(chore)
    return list(found.values())


def notice(voice: Voice, chores: Sequence[ChoreDue], known: Mapping[str, Forecast]) -> str:
    """Put the chores of one place or bin in words."""
    lines: list[str] = []
    daily = [chore for chore in chores if chore.chore in rounds.DAILY]
    if daily:
        lines += rounds.daily(voice, daily)
    for chore in chores:
        if chore not in daily:
            lines += _lines(voice, chore, known, is_first=not lines)
    lines += _closest(voice, chores, known)
    if _held_since(chores) < voice.now - LATE:
        lines.append(late_line(voice, chores))
    return "\n".join(lines)


def late_line(voice: Voice, chores: Sequence[ChoreDue]) -> str:
    """Say when a reminder was due, with its day, whenever that is read."""
    due = _held_since(chores)
    return voice.say("push.late", when=voice.at_day(due))


def late_text(outgoing: Outgoing) -> str:
    """Give the text of a message that leaves late."""
    is_told = not outgoing.if_late or outgoing.text.endswith(outgoing.if_late)
    return outgoing.text if is_told else f"{outgoing.text}\n{outgoing.if_late}"


def _held_since(chores: Sequence[ChoreDue]) -> dt.datetime:
    return min(chore.ask_at for chore in chores)


def _lines(  # noqa: C901 - one case a chore
    voice: Voice, chore: ChoreDue, known: Mapping[str, Forecast], *, is_first: bool
) -> Iterator[str]:
    match chore.chore:
        case Chore.WATER | Chore.MOLD_CHECK | Chore.HATCH_CHECK:
            work = voice.say(f"push.{chore.chore}", tubs=voice.tubs(chore.tubs))
            place = voice.subject(chore.place or voice.say("name.somewhere"))
            yield voice.say("push.at_place", place=place, work=work) if is_first else work[:1].upper() + work[1:]
        case Chore.TRAY_IN:
            yield from _tray_in(voice, chore)
        case Chore.PULL_TRAY:
            yield from _pull_tray(voice, chore)
        case Chore.FEED | Chore.BIN_WATER | Chore.SIZE_CHECK | Chore.CLEAN | Chore.SPLIT | Chore.FIRST_CHIRP:
            yield from rounds.lines(voice, chore)
        case Chore.BUY_FEED:
            yield from stock.to_buy(voice)
        case Chore.BREEDERS:
            yield voice.say("push.breeders", day=voice.day(voice.now + breeders.AHEAD))
            yield voice.say("push.breeders_b", many=voice.rounded(breeders.to_keep_back()))
        case Chore.ORDER_SHORT:
            yield from orders.short(voice, chore, known)
        case Chore.PICK:
            yield from orders.to_pick(voice, chore, known)
        case Chore.AGE_OUT:
            yield voice.say("push.age_out", bin=_bin(voice, chore))
        case _:
            assert_never(chore.chore)


def _bin(voice: Voice, chore: ChoreDue) -> str:
    return voice.subject(voice.bin(chore.bin or ""))


def _tray_in(voice: Voice, chore: ChoreDue) -> Iterator[str]:
    yield voice.say(f"push.tray_in_{chore.step}", bin=_bin(voice, chore))
    house = voice.farm.bins.get(chore.bin or "")
    if chore.step == 0 and house is not None and house.chirped_at is not None:
        first, last = (hours.days_later(voice.farm, house.chirped_at, days) for days in laying.TRAY_STEPS[1:])
        yield voice.say("push.tray_in_0b", first=voice.day(first), last=voice.day(last))
    else:
        yield voice.say("push.tray_in_b", hours=voice.number(voice.farm.settings.lay_hours))


def _pull_tray(voice: Voice, chore: ChoreDue) -> Iterator[str]:
    house = voice.farm.bins.get(chore.bin or "")
    since = voice.when(house.tray.put_in_at) if house is not None and house.tray is not None else ""
    if chore.step == 0 and chore.due > voice.now:
        lay = voice.number(voice.farm.settings.lay_hours)
        yield voice.say("push.pull_tray_early", bin=_bin(voice, chore), hours=lay, due=voice.when(chore.due))
        return
    yield voice.say(f"push.pull_tray_{chore.step}", bin=_bin(voice, chore), when=since)
    if chore.step == laying.PULL_STEP_LONG:
        yield voice.say("push.pull_tray_2b")


def _closest(voice: Voice, chores: Sequence[ChoreDue], known: Mapping[str, Forecast]) -> Iterator[str]:
    """Say which of several tubs hatches first, or when the ones to look at are expected."""
    names = {name for chore in chores for name in chore.tubs}
    windows = {n: f.window for n, f in known.items() if n in names and isinstance(f.window, HatchWindow)}
    checked = [n for chore in chores if chore.chore is Chore.HATCH_CHECK for n in chore.tubs if n in windows]
    if checked:
        soonest = min(checked, key=lambda n: windows[n].likely)
        about = voice.about(windows[soonest])
        yield voice.say("push.ready", tub=voice.subject(voice.tub(soonest)), about=about)
    elif len(windows) > 1:
        soonest = min(windows, key=lambda n: windows[n].likely)
        earliest = windows[soonest].earliest
        key = "push.closest" if earliest > voice.now else "push.any_day"
        yield voice.say(key, tub=voice.subject(voice.tub(soonest)), day=voice.day(earliest))
