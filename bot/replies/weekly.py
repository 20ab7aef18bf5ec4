"""The week in words: what it brought, what the next one brings."""

import datetime as dt
from collections.abc import Iterator, Mapping

from bot.replies.voice import Voice
from core.rules.forecasts import Forecast
from core.rules.weekly import WEEK, Week, week_from, week_until

HALF_A_DAY = dt.timedelta(hours=12)  # a day of which so much is in the week is named


def summary(voice: Voice, known: Mapping[str, Forecast], until: dt.datetime) -> str:
    """Tell of the seven days before a time, and of those that come."""
    found = week_until(voice.farm, until)
    first, last = until - WEEK + HALF_A_DAY, until - HALF_A_DAY
    span = voice.say("orders.span", first=voice.day(first), last=voice.day(last))
    lines = [voice.say("weekly.head", farm=voice.subject(voice.farm_name()), span=span), *_brought(voice, found)]
    return "\n".join([*lines, *_ahead(voice, known)])


def _brought(voice: Voice, found: Week) -> Iterator[str]:
    if found.is_empty:
        yield voice.say("weekly.quiet")
    if found.hatched:
        yield voice.say("weekly.hatched", tubs=voice.tubs(found.hatched))
    if found.harvested:
        yield voice.say("weekly.harvested", count=voice.number(found.harvested))
    if found.sales:
        money = f", {found.money:,.2f} {voice.farm.settings.currency}" if found.money else ""
        yield voice.say("weekly.sold", count=voice.number(found.sold), money=money)
    if found.lost:
        yield voice.say("weekly.lost", count=voice.number(found.lost))


def _ahead(voice: Voice, known: Mapping[str, Forecast]) -> Iterator[str]:
    coming = week_from(voice.farm, known, voice.now)
    if coming.hatches:
        yield voice.say("weekly.to_hatch", tubs=voice.tubs(coming.hatches))
    if coming.orders:
        yield voice.say("weekly.orders", n=coming.orders, count=voice.number(coming.count))
