"""Sending what the agenda asks for, as the timetable does."""

import datetime as dt

from core.journal import notices
from core.rules.agenda import agenda


def ask_all(note, now):
    """Send what the agenda asks for, as the timetable does."""
    found = agenda(note.farm, now).to_ask
    for chore in found:
        note.write(
            notices.Asked(
                chore=chore.chore,
                due=chore.due,
                step=chore.step,
                bin=chore.bin,
                place=chore.place,
                tubs=chore.tubs,
                bins=chore.bins,
            ),
            now,
            by="",
        )
    return found


def season(note, days):
    """Go from one time to ask to the next; give what was asked for, and when."""
    now, end, asked = note.now, note.now + dt.timedelta(days=days), []
    for _ in range(days * 24):
        asked += [(now, chore) for chore in ask_all(note, now)]
        found = agenda(note.farm, now)
        assert found.to_ask == ()
        if found.next_at is None or found.next_at > end:
            return asked
        assert found.next_at > now
        now = found.next_at
    raise AssertionError("the agenda asks without end")
