"""Sizes and adults that were seen in a bin, as sights that teach the pace of its crickets.

Not for the learning itself: see learning. Not for seen hatches, nor for what size a bin must be by now: see growth.
"""

import datetime as dt
import math
from collections.abc import Sequence

from core.science.estimates import QUANTILE_95
from core.science.figures import Figure, Mark
from core.science.grades import GROWN, starts_at
from core.science.learning import Sight
from core.science.species import Species
from core.science.warmth import Warmth, day_number
from core.units import SizeGrade

SEEN_SD = Figure(value=2.0, unit="d", mark=Mark.GUESS, source="a bin is looked at closely every few days")
_MOST_DOUBT_DAYS = 30.0  # what a sight may have


def size_sight(
    history: Sequence[Warmth],
    hatched_at: dt.datetime,
    seen_at: dt.datetime,
    size: SizeGrade,
    species: Species,
    *,
    start_sd_days: float,
) -> Sight | None:
    """Take what size most of a bin was said to have as a sight for `learned(species.nymph, ...)`.

    Parameters
    ----------
    history : sequence of Swing or Ramp, shape (n,), n >= 1
        The warmth of the bin, from `hatched_at` to `seen_at`.
    hatched_at, seen_at : datetime
        When half of the bin had hatched, and when it was said; aware, in order.
    size : SizeGrade
        What was said.
    species : Species
        Whose crickets.
    start_sd_days : float
        Standard deviation of the time of hatch, 0 to 30. [days]

    Returns
    -------
    Sight or None
        None of pinheads, 1 inch and adult: they tell nothing of when.

    Raises
    ------
    HistoryError
        If it was seen before the hatch.
    OutOfRangeError
        If `start_sd_days` is out of its range.

    Notes
    -----
    A bin said to be of a size reached it some time ago and has not reached the next one. So it is taken to be anywhere
    between the two: at a = (s1 + s2) / 2 of the thermal constant, half a grade on, with a standard deviation of
    (s2 - s1) / sqrt(12), in days that share over a of its age; and what looking now and then adds, see `SEEN_SD`. Of
    the last sizes, which stay, nobody can tell how long ago they were reached; the first adults are a sight of their
    own, see `adults_sight`.

    Examples
    --------
    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> hatch, seen = dt.datetime(2026, 5, 1, tzinfo=dt.UTC), dt.datetime(2026, 5, 21, tzinfo=dt.UTC)
    >>> bin_ = [Swing(start_at=hatch, end_at=seen, low_c=30.0, high_c=30.0)]
    >>> sight = size_sight(bin_, hatch, seen, SizeGrade.QUARTER, species("house"), start_sd_days=0.5)
    >>> round(sight.part, 3), round(sight.seen_sd_days, 1)
    (0.463, 3.0)
    """
    if size is SizeGrade.PINHEAD or size in GROWN:
        return None
    sizes = list(SizeGrade)
    reached = starts_at(size, species.instars)
    following = starts_at(sizes[sizes.index(size) + 1], species.instars)
    part, part_sd = (reached + following) / 2, (following - reached) / math.sqrt(12.0)
    days = (day_number(seen_at) - day_number(hatched_at)) * part_sd / part
    return Sight(
        history=history,
        since=hatched_at,
        seen_at=seen_at,
        part=part,
        start_sd_days=start_sd_days,
        seen_sd_days=min(math.hypot(days, SEEN_SD.value), _MOST_DOUBT_DAYS),
    )


def adults_sight(
    history: Sequence[Warmth], hatched_at: dt.datetime, seen_at: dt.datetime, species: Species, *, start_sd_days: float
) -> Sight:
    """Take the adults first seen in a bin as a sight for `learned(species.nymph, ...)`.

    Parameters
    ----------
    history, hatched_at, seen_at, species, start_sd_days
        As in `size_sight`.

    Returns
    -------
    Sight
        Of the share of the thermal constant at which one in twenty has wings: that many are noticed, and they are ahead
        of the middle of the batch by 1.645 times the individual spread.

    Raises
    ------
    HistoryError
        If they were seen before the hatch.
    OutOfRangeError
        If `start_sd_days` is out of its range.

    Examples
    --------
    >>> from core.science.species import species
    >>> from core.science.warmth import Swing
    >>> hatch, seen = dt.datetime(2026, 5, 1, tzinfo=dt.UTC), dt.datetime(2026, 6, 14, tzinfo=dt.UTC)
    >>> bin_ = [Swing(start_at=hatch, end_at=seen, low_c=30.0, high_c=30.0)]
    >>> round(adults_sight(bin_, hatch, seen, species("house"), start_sd_days=0.5).part, 3)
    0.848
    """
    return Sight(
        history=history,
        since=hatched_at,
        seen_at=seen_at,
        part=math.exp(-QUANTILE_95 * species.nymph.spread.value),
        start_sd_days=start_sd_days,
        seen_sd_days=SEEN_SD.value,
    )
