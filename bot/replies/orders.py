"""What is said of orders: those that are open, whether they can be met, what to pick, what was sold and earned.

Not for an order as it is written down: wishes.
"""

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from bot.replies.voice import Voice
from core.farm.farm import Sale
from core.farm.orders import Delivery, lapsed
from core.rules import hours
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast
from core.rules.promises import Fate, Promise, fates, promises
from core.rules.supply import LIKELY, YES, Supply, Want, supply_on
from core.science.availability import Amount
from core.units import SizeGrade

MOST_ROWS = 10
LATER_DAYS = 21  # in which a later day is looked for
MOST_TIMES = 2  # to come of an order that comes again; of one customer's, where that is asked about:
MOST_TIMES_ASKED = 4
MOST_LAPSED = 2
MOST_WEEKS = 5
MOST_CUSTOMERS = 6
DAYS_A_WEEK = 7
MOST_PARTS = 3  # bins named for one customer


def listed(voice: Voice, known: Mapping[str, Forecast], who: str | None, days: int) -> str:
    """Say what is open, by day, and whether it can be met."""
    until = hours.local(voice.farm, voice.now).date() + dt.timedelta(days=days)
    found = promises(voice.farm, voice.now, until)
    told, left = fates(voice.farm, known, voice.now, found)
    meant = list(_meant(voice, told, who))
    is_known = left is not None and bool(left.stock.names)
    lines = [_row(voice, fate, is_known=is_known) for fate in meant[:MOST_ROWS]]
    if len(meant) > MOST_ROWS:
        lines.append(voice.say("orders.more", n=len(meant) - MOST_ROWS))
    if not meant:
        lines.append(voice.say("orders.none_of" if who else "orders.none", who=voice.subject(who or "")))
    return "\n".join([*lines, *_lapsed(voice, who)])


def _meant(voice: Voice, told: Sequence[Fate], who: str | None) -> Iterator[Fate]:
    """Give those that are asked about: what is overdue, and of an order that comes again the next few times."""
    today, times = hours.local(voice.farm, voice.now).date(), Counter[int]()
    for fate in told:
        times[fate.promise.number] += fate.promise.due >= today
        is_near = times[fate.promise.number] <= (MOST_TIMES_ASKED if who else MOST_TIMES)
        if is_near and (who is None or _is(fate.promise.who, who)):
            yield fate


def _lapsed(voice: Voice, who: str | None) -> Iterator[str]:
    """Say which orders nobody delivered or called off, and are not waited for any more."""
    gone = lapsed(voice.farm.orders, hours.local(voice.farm, voice.now).date())
    for order in [order for order in gone if who is None or _is(order.who, who)][:MOST_LAPSED]:
        what = voice.crickets(order.count - order.got, order.size)
        yield voice.say("orders.lapsed", who=_who(voice, order.who), what=what, day=voice.day(order.due))


def _row(voice: Voice, fate: Fate, *, is_known: bool) -> str:
    promise = fate.promise
    if promise.due < hours.local(voice.farm, voice.now).date():
        state = "late"
    elif not is_known:
        state = "unknown"
    elif fate.chance >= YES:
        state = "met"
    elif fate.chance >= LIKELY:
        state = "likely"
    else:
        state = "to_breed" if fate.may_be_bred else "short" if fate.there.likely else "nothing"
    there = voice.rounded(fate.there.likely)
    return voice.say(f"orders.row_{state}", order=_order(voice, promise), day=voice.day(promise.due), there=there)


def _order(voice: Voice, promise: Promise) -> str:
    return voice.say("orders.order", who=_who(voice, promise.who), what=voice.crickets(promise.count, promise.size))


def _who(voice: Voice, who: str | None) -> str:
    return voice.subject(who or voice.say("wanted.someone"))


def _is(one: str | None, other: str) -> bool:
    return one is not None and one.casefold() == other.casefold()


def outlook(voice: Voice, known: Mapping[str, Forecast], number: int, due: dt.date) -> Iterator[str]:
    """Say of an order that was just taken whether its first delivery can be met; nothing where nobody can know."""
    told, left = fates(voice.farm, known, voice.now, promises(voice.farm, voice.now, due))
    fate = next((f for f in told if (f.promise.number, f.promise.due) == (number, due)), None)
    if fate is None or left is None or not left.stock.names:
        return
    if fate.chance >= LIKELY:
        yield voice.say("orders.can" if fate.chance >= YES else "orders.can_likely")
    elif fate.may_be_bred:
        yield voice.say("orders.can_be_bred")
    else:
        yield voice.say("orders.hardly")
        yield from _alternatives(voice, known, fate)


def short(voice: Voice, chore: ChoreDue, known: Mapping[str, Forecast]) -> Iterator[str]:
    """Warn of an order that can hardly be met: how many there will be, and what else could be done."""
    day = hours.local(voice.farm, chore.due).date()
    found = promises(voice.farm, voice.now, day)
    told, _ = fates(voice.farm, known, voice.now, found)
    fate = next((f for f in told if (f.promise.number, f.promise.due) == (chore.order, day)), None)
    if fate is None:
        return
    yield voice.say("orders.short", order=_order(voice, fate.promise), day=voice.day(day))
    yield from _alternatives(voice, known, fate)


def _alternatives(voice: Voice, known: Mapping[str, Forecast], fate: Fate) -> Iterator[str]:
    """Say how many there will be, on which later day enough, and of which other size."""
    there, promise = fate.there, fate.promise
    yield voice.say("orders.there" if there.likely else "orders.there_none", **_amount(voice, there))
    later = _later(voice, known, promise)
    if later is not None:
        yield voice.say("orders.later", day=voice.day(later))
    other = _other_size(voice, known, promise)
    if other is not None:
        yield voice.say("orders.other", what=voice.crickets(promise.count, other))


def _left_for(voice: Voice, known: Mapping[str, Forecast], promise: Promise, days: Sequence[dt.date]) -> Supply:
    """Give what all other promises leave on some days."""
    others = [p for p in promises(voice.farm, voice.now, max(days)) if p != promise]
    today = hours.local(voice.farm, voice.now).date()
    wants = [Want(day=max(p.due, today), size=p.size, count=p.count) for p in others]
    supply = supply_on(voice.farm, known, sorted({*days, *(want.day for want in wants)}))
    return supply.after(wants)[1]


def _later(voice: Voice, known: Mapping[str, Forecast], promise: Promise) -> dt.date | None:
    first = max(promise.due, hours.local(voice.farm, voice.now).date())
    days = [first + ahead * hours.DAY for ahead in range(1, LATER_DAYS + 1)]
    left = _left_for(voice, known, promise, days)
    return next((day for day in days if left.chance(day, promise.size, promise.count) >= LIKELY), None)


def _other_size(voice: Voice, known: Mapping[str, Forecast], promise: Promise) -> SizeGrade | None:
    day = max(promise.due, hours.local(voice.farm, voice.now).date())
    left = _left_for(voice, known, promise, [day])
    grades = [grade for grade in SizeGrade if grade is not SizeGrade.INCH]
    place = grades.index(SizeGrade.ADULT if promise.size is SizeGrade.INCH else promise.size)
    near = [grades[at] for at in (place + 1, place - 1) if 0 <= at < len(grades)]
    return next((grade for grade in near if left.chance(day, grade, promise.count) >= LIKELY), None)


def to_pick(voice: Voice, chore: ChoreDue, known: Mapping[str, Forecast]) -> Iterator[str]:
    """Give the picking list of a day: for each customer how many of what, and out of which bins."""
    day = hours.local(voice.farm, chore.due).date()
    today = hours.local(voice.farm, voice.now).date()
    yield voice.say("orders.pick", day=voice.subject(voice.day(day)))
    meant = [p for p in promises(voice.farm, voice.now, day) if p.due == day]
    supply, taken = supply_on(voice.farm, known, [max(day, today)]), Counter[str]()
    for promise in meant[:MOST_ROWS]:
        parts = _parts(voice, supply, promise, taken)
        lacking = promise.count - sum(parts.values())
        told = [
            voice.say("outlook.from", count=voice.number(n), where=voice.bin(name)) for name, n in parts.items()
        ]  # fmt: skip
        key = "orders.pick_none" if not parts else "orders.pick_lacking" if lacking else "orders.pick_row"
        yield voice.say(
            key, order=_order(voice, promise), parts=voice.listed(told), lacking=voice.rounded(lacking)
        )  # fmt: skip
    if len(meant) > MOST_ROWS:
        yield voice.say("orders.more", n=len(meant) - MOST_ROWS)


def _parts(voice: Voice, supply: Supply, promise: Promise, taken: Counter[str]) -> dict[str, int]:
    """Say how many to take from which bins for one customer, the fullest first; what others get counts as taken."""
    left, parts = promise.count, dict[str, int]()
    sources = [(name, there.likely) for name, there in supply.sources(supply.days[0], promise.size)]
    sources = [(name, likely - taken[name]) for name, likely in sources if name in voice.farm.bins]
    for name, there in sorted(sources, key=lambda row: -row[1])[:MOST_PARTS]:
        if (given := min(left, there)) > 0:
            parts[name] = given
            taken[name] += given
            left -= given
    return parts


def filled(voice: Voice, touched: Sequence[Delivery], over: int) -> Iterator[str]:
    """Say which orders a sale went to, what is open of them, and how many more were given."""
    for delivery in touched:
        yield voice.say(
            "orders.part" if delivery.open else "orders.filled",
            day=voice.day(delivery.due),
            done=voice.number(delivery.count - delivery.open),
            count=voice.number(delivery.count),
            open=voice.number(delivery.open),
        )
    if touched and over > 0:
        yield voice.say("orders.over", n=over)


def takings(voice: Voice, sales: Sequence[Sale], first: dt.date, last: dt.date, who: str | None) -> str:
    """Say what was sold from one day to another, in all and by customer."""
    span = voice.say("orders.span", first=voice.day(first), last=voice.day(last)) if first < last else voice.day(first)
    meant = [sale for sale in sales if who is None or _is(sale.who, who)]
    if not meant:
        return voice.say("orders.no_sales_to" if who else "orders.no_sales", span=span, who=voice.subject(who or ""))
    key = "orders.sales_to" if who else "orders.sales"
    told = voice.say(key, span=span, total=_total(voice, meant), who=voice.subject(who or ""))
    lines = [told[:1].upper() + told[1:]]
    if (last - first).days >= DAYS_A_WEEK:
        lines += _by_week(voice, meant)
    customers = {(sale.who or "").casefold(): sale.who for sale in meant}
    rows = [(name, [s for s in meant if (s.who or "").casefold() == key]) for key, name in customers.items()]
    rows.sort(key=lambda row: -sum(sale.price or 0.0 for sale in row[1]))
    if who is None and len(rows) > 1:
        lines += [
            voice.say(
                "orders.customer", who=voice.subject(name or voice.say("orders.others")), total=_total(voice, own)
            )
            for name, own in rows[:MOST_CUSTOMERS]
        ]
    unpriced = sum(1 for sale in meant if sale.price is None)
    if unpriced:
        lines.append(voice.say("orders.unpriced", n=unpriced))
    return "\n".join(lines)


def _by_week(voice: Voice, sales: Sequence[Sale]) -> Iterator[str]:
    """Say what was sold in each of the last weeks that anything was sold in, Monday to Sunday."""
    weeks: dict[dt.date, list[Sale]] = {}
    for sale in sales:
        day = hours.local(voice.farm, sale.at).date()
        weeks.setdefault(day - dt.timedelta(days=day.weekday()), []).append(sale)
    if len(weeks) > 1:
        for monday in sorted(weeks)[-MOST_WEEKS:]:
            yield voice.say("orders.week", day=voice.day(monday), total=_total(voice, weeks[monday]))


def _total(voice: Voice, sales: Sequence[Sale]) -> str:
    count = voice.say("recorded.crickets_count", count=voice.number(sum(sale.count or 0 for sale in sales)))
    money = sum(sale.price or 0.0 for sale in sales)
    if not money:
        return count
    return voice.say("orders.total", count=count, money=f"{money:,.2f} {voice.farm.settings.currency}")


def _amount(voice: Voice, there: Amount) -> dict[str, str]:
    return {name: voice.rounded(getattr(there, name)) for name in ("least", "likely", "most")}
