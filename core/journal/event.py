"""An event of a farm's journal: who said what, when it was said and when it happened.

Not for what is kept of an event in a store: that is codec.
"""

import datetime as dt

import msgspec
from msgspec.structs import force_setattr

from core.journal import facts, notices, wants

Body = facts.Fact | wants.Want | notices.Notice

# Where two kinds happen at the same time, the lower rank comes first: things exist before they are spoken of, the old
# tray is out before the new one is in, pinheads are seen before they are moved, and a tub is thrown out last.
_RANK: dict[type, int] = {
    wants.Set: 0,
    wants.Joined: 0,
    wants.Add: 0,
    wants.Rename: 0,
    facts.TrayOut: 1,
    facts.TrayIn: 2,
    facts.Placed: 3,
    facts.Covered: 3,
    facts.Hatch: 5,
    facts.Stocked: 6,
    facts.Discarded: 7,
    notices.Asked: 8,
    wants.Done: 9,
    wants.Skip: 9,
    wants.Snooze: 9,
}
_USUAL_RANK = 4


class NaiveTimeError(ValueError):
    """A time without a zone reached the journal."""


class Event(msgspec.Struct, frozen=True, kw_only=True):
    """One entry of the journal; never changed, never removed."""

    number: int  # from 1, by order of arrival within the farm
    said_at: dt.datetime
    happened_at: dt.datetime
    by: str  # the person's name; empty for the assistant itself
    message: str = ""  # key of the message that brought it: the events of one message share it
    body: Body

    def __post_init__(self) -> None:
        """Refuse times without a zone and keep the others in UTC.

        Times that share a zone are compared and subtracted by what its clocks show, which is wrong over a change of
        clocks: so no zone but UTC gets into the fold.
        """
        if self.said_at.tzinfo is dt.UTC and self.happened_at.tzinfo is dt.UTC:
            return
        for name, at in (("said_at", self.said_at), ("happened_at", self.happened_at)):
            if at.tzinfo is None:
                raise NaiveTimeError(f"{name} of event {self.number} has no time zone: {at.isoformat()}")
            if at.tzinfo is not dt.UTC:
                force_setattr(self, name, at.astimezone(dt.UTC))


def order(event: Event) -> tuple[dt.datetime, int, int]:
    """Sort key of the fold: when it happened, rank of its kind, number."""
    return (event.happened_at, _RANK.get(type(event.body), _USUAL_RANK), event.number)
