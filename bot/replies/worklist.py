"""Answers about the work: what is due now or on a day, and what comes up.

Not for reminders: notices.
"""

import datetime as dt
from collections.abc import Callable, Mapping, Sequence

from bot.replies.voice import Voice
from bot.replies.wishes import chore_name
from core.journal.kinds import Chore
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast
from core.science.development import HatchWindow

MOST_ROWS = 15


def due_now(voice: Voice, work: Sequence[ChoreDue], upcoming: Sequence[ChoreDue]) -> str:
    """Say what is due now, or what comes next where nothing is."""
    lines = [voice.say("due.head"), *_rows(voice, work)] if work else [voice.say("due.none")]
    later = [c for c in upcoming if c.due > voice.now]
    if not work and later:
        first = min(later, key=lambda c: c.due)
        lines.append(voice.say("due.next", chore=_what(voice, first), when=voice.when(first.due)))
    return "\n".join(lines)


def due_on(voice: Voice, day: dt.date, work: Sequence[ChoreDue]) -> str:
    """Say what is due on a day."""
    rows = [c for c in work if hours.local(voice.farm, c.due).date() == day]
    if not rows:
        return voice.say("due.none_day", day=voice.day(day))
    return "\n".join([voice.say("due.head_day", day=voice.subject(voice.day(day))), *_rows(voice, rows, voice.hour)])


def agenda_of(voice: Voice, days: int, work: Sequence[ChoreDue], known: Mapping[str, Forecast]) -> str:
    """Say what comes up in some days: by day, and the hatches among it; daily rounds are told once."""
    end = voice.now + dt.timedelta(days=days)
    windows = {n: f.window for n, f in known.items() if isinstance(f.window, HatchWindow)}
    hatches = [n for n, w in sorted(windows.items(), key=lambda i: i[1].likely) if w.earliest <= end]
    firsts: dict[tuple[object, ...], ChoreDue] = {}
    for chore in sorted(work, key=lambda c: c.due):
        if chore.due <= end:
            firsts.setdefault((*chore.subject, hours.local(voice.farm, chore.due).time()), chore)
    if not firsts and not hatches:
        return voice.say("due.agenda_none", n=days)
    lines = [voice.say("due.agenda_head", n=days), *_rows(voice, list(firsts.values()))]
    lines += [voice.say("due.hatches", tub=voice.subject(voice.tub(n)), about=voice.about(windows[n])) for n in hatches]
    return "\n".join(lines)


def _rows(
    voice: Voice, work: Sequence[ChoreDue], when: Callable[[dt.datetime], str] | None = None
) -> list[str]:  # fmt: skip
    """Give a line a chore; `when` puts its time in words, with its day where nothing else is said."""
    rows = [_row(voice, chore, (when or voice.when)(chore.due)) for chore in sorted(work, key=lambda c: c.due)]
    kept = rows[:MOST_ROWS]
    return kept + ([voice.say("due.more", n=len(rows) - MOST_ROWS)] if len(rows) > MOST_ROWS else [])


def _row(voice: Voice, chore: ChoreDue, when: str) -> str:
    where = voice.subject(whereabouts(voice, chore))
    key = "due.line_tubs" if chore.tubs else "due.line"
    told = chore_name(voice, chore.chore)
    return voice.say(key, where=where, chore=told, tubs=voice.tubs(chore.tubs), when=when)


def _what(voice: Voice, chore: ChoreDue) -> str:
    return f"{whereabouts(voice, chore)}, {chore_name(voice, chore.chore)}"


def whereabouts(voice: Voice, chore: ChoreDue) -> str:
    """Say where a chore is to be done, or what it is about."""
    if chore.bins:
        return voice.bins(chore.bins)
    if chore.chore is Chore.BUY_FEED:
        return voice.say("stock.feed")
    if chore.chore in {Chore.ORDER_SHORT, Chore.PICK}:
        return voice.say("orders.subject")
    if chore.chore is Chore.BREEDERS:
        return voice.farm_name()
    return voice.bin(chore.bin) if chore.bin else chore.place or voice.say("name.somewhere")
