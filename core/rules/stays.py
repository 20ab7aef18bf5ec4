"""Where a tub stood since it was pulled, and whether it was covered there.

Not for the warmth that it had: see warmth.
"""

import datetime as dt
from itertools import groupby
from operator import itemgetter
from typing import TypeVar

from core.farm.farm import Tub
from core.rules.warmth import Span

_State = TypeVar("_State")


def spans_of(tub: Tub, since: dt.datetime, until: dt.datetime | None = None) -> tuple[Span, ...]:
    """Give a tub's spans from one time to another, or on; before something is first said, as it was said to be then."""
    told = {since, *(at for at, _ in tub.placements), *(at for at, _ in tub.covers)}
    turns = sorted(at for at in told if at >= since and (until is None or at < until))
    states = [(at, (_at(tub.placements, at, tub.place), _at(tub.covers, at, tub.is_covered))) for at in turns]
    kept = [next(same) for _, same in groupby(states, key=itemgetter(1))]
    ends = [*(at for at, _ in kept[1:]), until]
    return tuple(
        Span(place=place, is_covered=is_covered, start_at=start, end_at=end)
        for (start, (place, is_covered)), end in zip(kept, ends, strict=True)
    )


def _at(changes: tuple[tuple[dt.datetime, _State], ...], at: dt.datetime, otherwise: _State) -> _State:
    """Give the state at a time; of two changes at one moment the last counts."""
    past = [state for since, state in changes if since <= at]
    return past[-1] if past else changes[0][1] if changes else otherwise
