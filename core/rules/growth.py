"""How far the crickets of a bin have grown, and when they are adults: by the warmth of the bin and the sizes seen.

Not for how many there are. Not for the arithmetic: that is core.science.growth.
"""

import datetime as dt
from collections.abc import Iterator

import msgspec

from core.farm.farm import Bin, Farm
from core.journal.kinds import Holds
from core.rules.evidence import HOUSE_CRICKET
from core.rules.surroundings import Stretch, last_telling
from core.rules.warmth import Span, history_of
from core.science.calibration import Calibration
from core.science.curve import DevelopmentCurve
from core.science.development import Window, window_of
from core.science.growth import Body, body_now
from core.science.learning import Sight, learned
from core.science.seen_sizes import adults_sight, size_sight
from core.science.warmth import Warmth
from core.units import SizeGrade

BIN_C = 28.0  # 82 F; a guess at what a bin of growing crickets is kept at
MOST_SIZES = 60  # seen last; older ones were under other habits
HATCH_SD_DAYS = 1.0  # guess: pinheads of two or three days are put together


class Growth(msgspec.Struct, frozen=True, kw_only=True):
    """How far a bin has come."""

    body: Body  # of a cricket in the middle of its batch, now
    adult: Window | None  # when it has wings; None: it stays too cold
    is_assumed: bool  # nobody has read a thermometer in the bin


def growth_of(farm: Farm, house: Bin, now: dt.datetime) -> Growth | None:
    """Give the growth of a bin; None where it holds no growing crickets, or nobody said since when."""
    hatched_at = hatched(farm, house)
    if hatched_at is None or hatched_at >= now or house.holds is Holds.ADULTS:
        return None
    held = taught_by_sizes(farm)
    curve = DevelopmentCurve(_warmth(house, hatched_at, None), held)
    return Growth(
        body=body_now(curve, hatched_at, now, HOUSE_CRICKET),
        adult=window_of(curve, hatched_at, held.constant, start_sd_days=HATCH_SD_DAYS),
        is_assumed=last_telling(house.readings) is None,
    )


def hatched(farm: Farm, house: Bin) -> dt.datetime | None:
    """Tell when the crickets of a bin hatched: when its tubs did, else when it was stocked."""
    seen = [farm.tubs[name].hatch_at for name in house.from_tubs if name in farm.tubs]
    return min((at for at in seen if at is not None), default=house.hatched_at)


def taught_by_sizes(farm: Farm) -> Calibration:
    """Give what is held of growing crickets on a farm after the sizes and adults that it has seen."""
    seen = sorted((at for house in farm.bins.values() for at, _ in house.sizes[-MOST_SIZES:]), reverse=True)
    since = seen[:MOST_SIZES][-1] if seen else None
    return learned(HOUSE_CRICKET.nymph, [s for house in farm.bins.values() for s in _sights(farm, house, since)])


def _sights(farm: Farm, house: Bin, since: dt.datetime | None) -> Iterator[Sight]:
    hatched_at = hatched(farm, house)
    if hatched_at is None or since is None:
        return
    first_adults = min((at for at, size in house.sizes if size is SizeGrade.ADULT), default=None)
    for seen_at, size in house.sizes[-MOST_SIZES:]:
        if seen_at <= hatched_at or seen_at < since:
            continue
        warmth = _warmth(house, hatched_at, seen_at)
        sight = (
            adults_sight(warmth, hatched_at, seen_at, HOUSE_CRICKET, start_sd_days=HATCH_SD_DAYS)
            if seen_at == first_adults
            else size_sight(warmth, hatched_at, seen_at, size, HOUSE_CRICKET, start_sd_days=HATCH_SD_DAYS)
        )
        if sight is not None:
            yield sight


def _warmth(house: Bin, since: dt.datetime, until: dt.datetime | None) -> list[Warmth]:
    """Give the warmth in a bin, which is dry: as in air full of water, nothing cools it."""
    known = Stretch(
        place=house.name, warm=house.readings.warm, humid=(), assumed_c=BIN_C, assumed_rh=100.0
    )  # fmt: skip
    air = known.air(since)
    return history_of((Span(place=house.name, start_at=since, end_at=until),), (), lambda _: air)
