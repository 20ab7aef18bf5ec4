"""What the assistant itself did and has to remember: the chores it asked for, the cautions it gave.

Not for deciding what to ask: that is core.rules.
"""

from core.journal.kinds import Chore
from core.journal.record import Moment, Record


class Asked(Record, frozen=True, kw_only=True, tag="asked"):
    """A reminder for a chore went out."""

    chore: Chore
    due: Moment  # when the work is due, which may be before or after the reminder
    step: int = 0  # 0 the first time it is asked for, then 1, 2, ...
    bin: str | None = None
    place: str | None = None
    tubs: tuple[str, ...] = ()
    bins: tuple[str, ...] = ()  # of a round of several bins
    order: int | None = None  # number of the order that it is about


class Cautioned(Record, frozen=True, kw_only=True, tag="cautioned"):
    """A caution was shown; it is not repeated."""

    topic: str


class Summed(Record, frozen=True, kw_only=True, tag="summed"):
    """The summary of a week was told."""

    at: Moment  # when it was due


Notice = Asked | Cautioned | Summed
