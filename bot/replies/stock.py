"""Answers about stock: what is left, until when it lasts, and the reminder to buy feed.

Not for what was bought and for how much: recorded.
"""

import datetime as dt
from collections.abc import Iterator

from bot.replies.voice import Voice
from core.farm.stores import Purchase
from core.rules.bedding import BeddingLeft, bedding_left
from core.rules.stock import FeedLeft, feed_left
from core.rules.supplies import Article, supply_of
from core.science.feeding import FEED_PER_GAIN

MOST_OTHERS = 5
LEAST_G = 0.5  # less is nothing
FURTHEST = dt.timedelta(days=180)  # that a pace is carried on


def in_stock(voice: Voice, item: str | None) -> str:
    """Say what is left of an item, or of all."""
    supply = None if item is None else supply_of(item)
    if item is not None and supply is None:
        return "\n".join(_named(voice, item))
    lines = list(_feed(voice, item)) if supply in {None, Article.FEED} else []
    for left in bedding_left(voice.farm, voice.now):
        if supply in {None, left.supply}:
            lines += _bedding(voice, left)
    if item is None:
        lines += _others(voice)
    return "\n".join(lines or [voice.say("stock.none", item=item or voice.say("stock.feed"))])


def to_buy(voice: Voice) -> Iterator[str]:
    """Give the reminder to buy feed."""
    found = feed_left(voice.farm, voice.now)
    subject = voice.subject(voice.say("stock.feed"))
    if found is None or (found.lasts_until is None and found.used_up_at is None):
        yield voice.say("stock.buy", subject=subject)
        return
    if found.used_up_at is not None:
        yield voice.say("stock.used_up", subject=subject, day=voice.day(found.used_up_at))
    elif found.lasts_until is not None:
        yield voice.say("stock.runs_out", subject=subject, day=voice.day(found.lasts_until))
    if found.four_weeks_g >= LEAST_G:
        yield voice.say("stock.need", mass=_rough(voice, found.four_weeks_g))


def _feed(voice: Voice, item: str | None) -> Iterator[str]:
    bought = [p for p in voice.farm.stores.purchases if supply_of(p.item) is Article.FEED]
    found = feed_left(voice.farm, voice.now)
    if found is not None:
        yield from _reach(voice, found)
    elif bought:
        yield _bought(voice, bought[-1])
        yield voice.say("stock.no_eaters" if bought[-1].mass_g else "stock.no_mass")
    elif item is not None:
        yield voice.say("stock.none", item=item)


def _reach(voice: Voice, found: FeedLeft) -> Iterator[str]:
    subject = voice.subject(voice.say("stock.feed"))
    if found.used_up_at is not None:
        yield voice.say("stock.used_up", subject=subject, day=voice.day(found.used_up_at))
    else:
        yield voice.say("stock.feed_left", subject=subject, mass=_rough(voice, found.left_g))
        if found.lasts_until is not None:
            yield voice.say("stock.lasts", day=voice.day(found.lasts_until), mass=_rough(voice, found.a_day_g))
        elif found.a_day_g >= LEAST_G:
            yield voice.say("stock.lasts_long", mass=_rough(voice, found.a_day_g))
    if found.is_weighed:
        yield voice.say("stock.weighed")
    else:
        yield voice.say("stock.assumed", ratio=voice.number(FEED_PER_GAIN.value))
    if found.uncounted:
        yield voice.say("stock.uncounted", bins=voice.bins(found.uncounted))


def _bedding(voice: Voice, left: BeddingLeft) -> Iterator[str]:
    subject = voice.subject(left.item)
    if left.uses is None:
        yield voice.say("stock.no_amount", subject=subject, when=voice.when(left.bought_at))
    elif left.used_up_at is not None:
        yield voice.say("stock.used_up", subject=subject, day=voice.day(left.used_up_at))
    else:
        amount = voice.number(left.amount / 1000 if left.supply is Article.SUBSTRATE else left.amount)
        yield voice.say(f"stock.{left.supply}_left", subject=subject, n=left.uses, amount=amount)
        if left.lasts_until is not None and left.lasts_until - voice.now <= FURTHEST:
            yield voice.say("stock.pace", day=voice.day(left.lasts_until))


def _named(voice: Voice, item: str) -> Iterator[str]:
    """Say when something was bought whose use is not counted."""
    bought = [p for p in voice.farm.stores.purchases if _is_same(p.item, item)]
    if not bought:
        yield voice.say("stock.none", item=item)
        return
    yield _bought(voice, bought[-1])
    yield voice.say("stock.not_followed")


def _others(voice: Voice) -> Iterator[str]:
    newest = {p.item.casefold(): p for p in voice.farm.stores.purchases if supply_of(p.item) is None}
    yield from (_bought(voice, bought) for bought in list(newest.values())[-MOST_OTHERS:])


def _bought(voice: Voice, bought: Purchase) -> str:
    told = [voice.number(bought.count)] if bought.count else []
    told += [voice.mass(bought.mass_g)] if bought.mass_g else []
    told += [voice.say("recorded.volume", ml=voice.number(bought.volume_ml))] if bought.volume_ml else []
    what = ", ".join(told)
    subject, key = voice.subject(bought.item), "stock.bought" if what else "stock.bought_some"
    return voice.say(key, subject=subject, what=what, when=voice.when(bought.at))


def _is_same(one: str, other: str) -> bool:
    return one.casefold().rstrip("s") == other.casefold().rstrip("s")


def _rough(voice: Voice, mass_g: float) -> str:
    """Give a mass that is an estimate, to two digits."""
    return voice.mass(float(f"{mass_g:.2g}"))
