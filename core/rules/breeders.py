"""The next generation: which bins will lay when, how many to keep back, and that the chain never breaks.

Only of farms that tell what goes into their bins. Not for how crickets grow: that is growth.
"""

import datetime as dt
import itertools
import math
from collections.abc import Iterable, Iterator, Mapping

from core.farm.farm import Bin, Farm
from core.journal.kinds import Chore, Holds
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.evidence import HOUSE_CRICKET
from core.rules.forecasts import Forecast
from core.rules.growth import growth_of
from core.rules.space import ROOM
from core.science.nymph_figures import SURVIVAL_TO_14_DAYS, SURVIVAL_TO_ADULT
from core.units import SizeGrade

AHEAD = dt.timedelta(days=42)  # what is to lay in six weeks has hatched by now: from egg to laying takes longer
WEEKDAY = 0  # Monday, on which the chain is looked at
WEEK = dt.timedelta(days=7)
WEEKS = 40  # looked ahead; longer than any crickets that are there live
STILL = dt.timedelta(days=1)  # how long after its time a look at the chain is still asked for
_ADULT = HOUSE_CRICKET.adult
_FIRST_EGGS = dt.timedelta(days=_ADULT.first_lay_days.value)
_LAYING = dt.timedelta(days=_ADULT.laying_days.value)
_FIRST_CHIRP = dt.timedelta(days=_ADULT.first_chirp_days.value)


def chain(farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime) -> Iterator[ChoreDue]:
    """Ask for breeders where no bin will be laying in six weeks' time: once a week, in the morning."""
    cohorts = [cohort for house in farm.bins.values() for cohort in house.cohorts]
    if not cohorts:
        return
    told_from = min((at for cohort in cohorts for at, _ in cohort.told), default=now - STILL)
    spans = _laying_spans(farm, now)
    today = hours.local(farm, now).date()
    monday = today - dt.timedelta(days=(today.weekday() - WEEKDAY) % 7)
    looks = (hours.at_time(farm, monday + week * WEEK, farm.settings.water_times[0]) for week in range(WEEKS))
    broken = (due for due in looks if max(told_from, now - STILL) <= due and not _lays(spans, due + AHEAD))
    for due in itertools.islice(broken, 2):  # the second, so that one that is seen to does not end the looking
        yield ChoreDue(chore=Chore.BREEDERS, due=due, ask_at=hours.after_quiet(farm, due))


def bins_to_replace(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for younger breeders where the good laying of a bin is over."""
    for house in farm.bins.values():
        if house.cohorts and house.holds is Holds.ADULTS:
            span = laying_span(farm, house, now)
            if span is not None:
                yield ChoreDue(
                    chore=Chore.AGE_OUT, due=span[1], ask_at=hours.after_quiet(farm, span[1]), bin=house.name
                )


def laying_span(farm: Farm, house: Bin, now: dt.datetime) -> tuple[dt.datetime, dt.datetime] | None:
    """Give when a bin lays well, from its first eggs on; None where nobody knows how old its crickets are."""
    grown_at = _grown_at(farm, house, now)
    return None if grown_at is None else (grown_at + _FIRST_EGGS, grown_at + _FIRST_EGGS + _LAYING)


def _grown_at(farm: Farm, house: Bin, now: dt.datetime) -> dt.datetime | None:
    if house.holds is Holds.ADULTS:
        seen = [at for at, size in house.sizes if size is SizeGrade.ADULT]
        if seen:
            return min(seen)
        return None if house.chirped_at is None else house.chirped_at - _FIRST_CHIRP
    grown = growth_of(farm, house, now)
    return None if grown is None or grown.adult is None else grown.adult.likely


def _laying_spans(farm: Farm, now: dt.datetime) -> tuple[tuple[dt.datetime, dt.datetime], ...]:
    spans = (laying_span(farm, house, now) for house in farm.bins.values())
    return tuple(span for span in spans if span is not None)


def _lays(spans: Iterable[tuple[dt.datetime, dt.datetime]], at: dt.datetime) -> bool:
    return any(begin <= at <= end for begin, end in spans)


def to_keep_back() -> int:
    """Give how many grown crickets, both sexes, lay enough in one tray of a day to fill a bin with their young."""
    to_adult = HOUSE_CRICKET.hatch_success.value * SURVIVAL_TO_14_DAYS.value * SURVIVAL_TO_ADULT.value
    females = ROOM / to_adult / _ADULT.eggs_a_day.value
    return math.ceil(females / _ADULT.female_share.value)


def same_line(farm: Farm, house: Bin) -> str | None:
    """Name the bin that both these crickets and other grown ones were laid in, where they all come from one."""
    lines = _lines(farm, house)
    others = [_lines(farm, b) for b in farm.bins.values() if b.name != house.name and b.holds is Holds.ADULTS]
    return min(lines) if len(lines) == 1 and lines in others else None


def _lines(farm: Farm, house: Bin) -> set[str]:
    tubs = (farm.tubs.find(name) for name in house.from_tubs)
    return {tub.bin for tub in tubs if tub is not None and tub.bin is not None}
