"""A chore that is due: what, when, where, and how often it was asked for already.

Not for deciding that it is: laying and incubation do that, a rule each.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping

import msgspec

from core.farm.farm import AskedChore, Farm
from core.journal.kinds import Chore
from core.rules.forecasts import Forecast

Subject = tuple[Chore, str | None, str | None, int | None]  # what, in which bin, in which place, for which order


class ChoreDue(msgspec.Struct, frozen=True, kw_only=True):
    """One piece of work at one time."""

    chore: Chore
    due: dt.datetime  # UTC
    ask_at: dt.datetime  # UTC; when to ask for it, which heeds the quiet hours
    step: int = 0  # 0 the first time, then 1, 2, ...; what each means is the rule's business
    bin: str | None = None
    place: str | None = None  # None with tubs: nobody said where they stand
    tubs: tuple[str, ...] = ()
    bins: tuple[str, ...] = ()  # of a round of several bins
    order: int | None = None  # number of the order that it is about

    @property
    def subject(self) -> Subject:
        """What a reminder must be for to be one for this chore, at this time or another."""
        return (self.chore, self.bin, self.place, self.order)

    def is_same_subject(self, asked: AskedChore) -> bool:
        """Tell whether a reminder that went out was for the same chore in the same bin or place."""
        return (asked.chore, asked.bin, asked.place, asked.order) == self.subject


# A rule: farm, its forecasts, now, and how far ahead to look. Of what is past it gives only the newest that is still to
# be done, besides what is to come.
Rule = Callable[[Farm, Mapping[str, Forecast], dt.datetime, dt.datetime], Iterator[ChoreDue]]
