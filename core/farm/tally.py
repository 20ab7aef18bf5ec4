"""What a farm's weeks brought: what was harvested and found dead lately, each by time.

Not for sales and hatches: those are known of each sale and tub.
"""

import datetime as dt

import msgspec

KEPT = 200  # of each; more than a week has


class Tally(msgspec.Struct, frozen=True, kw_only=True):
    """The newest of each, by time: when, and how many."""

    harvested: tuple[tuple[dt.datetime, int], ...] = ()
    dead: tuple[tuple[dt.datetime, int], ...] = ()

    def and_harvested(self, at: dt.datetime, count: int) -> "Tally":
        """Give the tally with another harvest."""
        return Tally(harvested=(*self.harvested, (at, count))[-KEPT:], dead=self.dead)

    def and_dead(self, at: dt.datetime, count: int) -> "Tally":
        """Give the tally with more dead."""
        return Tally(harvested=self.harvested, dead=(*self.dead, (at, count))[-KEPT:])
