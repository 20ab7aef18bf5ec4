"""What is told of who does the chores when, and of who is away.

Not for who is on duty at a time: that is core.rules.duty.
"""

import datetime as dt

from msgspec.structs import replace

from core.farm.farm import Absence
from core.farm.ledger import Ledger
from core.journal.event import Event
from core.journal.wants import Away, Duty


def arrange(ledger: Ledger, entry: Event, want: Duty | Away) -> None:
    """Put what is told of a person's days into the ledger; of somebody who is not of the farm it changes nothing."""
    known = ledger.people.get(want.name)
    if known is None:
        return
    if isinstance(want, Duty):
        days = frozenset(want.days)
        taken, off = (known.days | days, known.off - days) if want.on else (known.days - days, known.off | days)
        ledger.people[want.name] = replace(known, days=taken, off=off)
        return
    start, until = (want.start or entry.happened_at).astimezone(dt.UTC), want.until
    away = Absence(start=start, until=None if until is None else until.astimezone(dt.UTC)) if want.on else None
    ledger.people[want.name] = replace(known, away=away)
