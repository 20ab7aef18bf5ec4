"""How much feed is left, until when it lasts, and when to buy more.

By what was bought and what the crickets eat. Not for what is used by the tray or the bin: that is bedding.
"""

import datetime as dt
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise

import msgspec

from core.farm.farm import Farm
from core.farm.stores import Feeding, Purchase
from core.journal.kinds import Chore
from core.rules import hours
from core.rules.appetite import Eater, eaten_between, eaters_of, uncounted
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast
from core.rules.supplies import Article, supply_of

DAYS_AHEAD = 3  # that feed is asked for before it runs out
ASK_TIME = dt.time(8)
AFTER_BUYING = dt.timedelta(hours=12)  # nobody is asked to buy again sooner
GIVEN_UP = dt.timedelta(days=7)  # used up so long ago, it was bought and not told of
FOUR_WEEKS = dt.timedelta(days=28)
LOOK_AHEAD = dt.timedelta(days=60)
MOST_PURCHASES = 8  # looked at; older feed is eaten
FEWEST_WEIGHED = 4  # feedings that tell how much is eaten
SHORTEST_WEIGHED = dt.timedelta(days=4)
# 0.92 g a gram (Nakagaki and DeFoliart 1991) is 0.6 of the figure used; twice of it is a guess, at a waste of half.
LEAST_APPETITE, MOST_APPETITE = 0.6, 2.0
_HALVINGS = 14  # of 60 days down to minutes


class FeedLeft(msgspec.Struct, frozen=True, kw_only=True):
    """The dry feed of a farm by the book, all kinds together."""

    bought_at: dt.datetime  # last
    left_g: float  # never below 0
    a_day_g: float  # eaten in the coming day
    four_weeks_g: float  # eaten in the coming four weeks, as they grow
    lasts_until: dt.datetime | None  # None: longer than is foreseen, or it is used up
    used_up_at: dt.datetime | None  # None: some is left
    uncounted: tuple[str, ...]  # bins whose crickets are not in it
    is_weighed: bool  # how much they eat was learned from feedings that were weighed


def feed_left(farm: Farm, now: dt.datetime) -> FeedLeft | None:
    """Give what feed is left; None where none was bought by weight, or nobody who eats is known."""
    bought = feed_bought(farm)[-MOST_PURCHASES:]
    eaters = eaters_of(farm) if bought else ()
    if not eaters:
        return None
    appetite = _appetite(farm, eaters)
    left, since = _after_buying(bought, eaters, appetite or 1.0)

    def after(end: dt.datetime) -> float:
        return left - (appetite or 1.0) * eaten_between(eaters, since, end)

    ends = _end(after, since, max(now, since) + LOOK_AHEAD)
    is_used_up = ends is not None and ends <= now
    return FeedLeft(
        bought_at=since,
        left_g=max(after(now), 0.0),
        a_day_g=after(now) - after(now + hours.DAY),
        four_weeks_g=after(now) - after(now + FOUR_WEEKS),
        lasts_until=None if is_used_up else ends,
        used_up_at=ends if is_used_up else None,
        uncounted=uncounted(farm),
        is_weighed=appetite is not None,
    )


def feed_bought(farm: Farm) -> tuple[Purchase, ...]:
    """Give the purchases of dry feed whose weight was told."""
    return tuple(p for p in farm.stores.purchases if p.mass_g and supply_of(p.item) is Article.FEED)


def feed_to_buy(
    farm: Farm, _forecasts: Mapping[str, Forecast], now: dt.datetime, _until: dt.datetime
) -> Iterator[ChoreDue]:
    """Ask for feed three days before it runs out, once for what was bought last."""
    found = feed_left(farm, now) if farm.stores.purchases else None
    ends = None if found is None else found.used_up_at or found.lasts_until
    if found is None or ends is None or now - ends > GIVEN_UP:
        return
    asked = [a for a in farm.asked.values() if a.chore is Chore.BUY_FEED and a.at >= found.bought_at]
    if asked:  # the day moves a little with each reading; the reminder stays the same one
        due = asked[-1].due
    else:
        day = hours.local(farm, ends).date() - DAYS_AHEAD * hours.DAY
        due = max(hours.at_time(farm, day, ASK_TIME), found.bought_at.astimezone(dt.UTC) + AFTER_BUYING)
    yield ChoreDue(chore=Chore.BUY_FEED, due=due, ask_at=hours.after_quiet(farm, due))


def _after_buying(bought: Sequence[Purchase], eaters: Sequence[Eater], appetite: float) -> tuple[float, dt.datetime]:
    """Give what there was when feed was bought last, and when that was; what ran out before is not owed."""
    left = bought[0].mass_g or 0.0
    for earlier, later in pairwise(bought):
        eaten = appetite * eaten_between(eaters, earlier.at, later.at)
        left = max(left - eaten, 0.0) + (later.mass_g or 0.0)
    return left, bought[-1].at


def _end(after: Callable[[dt.datetime], float], since: dt.datetime, latest: dt.datetime) -> dt.datetime | None:
    """Find when nothing is left; None where that is later than `latest`."""
    if after(latest) > 0:
        return None
    early, late = since, latest
    for _ in range(_HALVINGS):
        middle = early + (late - early) / 2
        early, late = (middle, late) if after(middle) > 0 else (early, middle)
    return late


def _appetite(farm: Farm, eaters: Sequence[Eater]) -> float | None:
    """Learn from feedings how much more is eaten than by the figures; None where too few were weighed, or not all."""
    fed = [f for f in farm.stores.feedings if f.feed is None or supply_of(f.feed) is Article.FEED]
    weighed = _weighed_at_the_end(fed)
    if len(weighed) < FEWEST_WEIGHED or weighed[-1].at - weighed[0].at < SHORTEST_WEIGHED:
        return None
    given = sum(f.mass_g or 0.0 for f in weighed[:-1])
    expected = eaten_between(eaters, weighed[0].at, weighed[-1].at)
    return min(max(given / expected, LEAST_APPETITE), MOST_APPETITE) if expected > 0 else None


def _weighed_at_the_end(fed: Sequence[Feeding]) -> Sequence[Feeding]:
    """Give the last feedings in a row that were all weighed."""
    unweighed = [place for place, feeding in enumerate(fed) if feeding.mass_g is None]
    return fed[unweighed[-1] + 1 :] if unweighed else fed
