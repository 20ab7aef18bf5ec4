"""Orders of customers: those that are open, calling one off, what was sold; and the order that a sale leaves open.

Not for writing an order or a sale down: recording. Not for whether an order can be met: core.rules.
"""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from bot.assistant import buttons, recording
from bot.assistant.topics import Topic
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies import orders
from core.farm.orders import CustomerOrder, deliveries
from core.journal import codec
from core.journal.wants import Cancel
from core.rules import hours

CANCEL = codec.kind_of_record(Cancel)
AHEAD_DAYS = 120  # in which open orders are listed
WEEK_DAYS = 7
MOST_CHOICES = 6
MOST_DAYS = 366
NEAR = dt.timedelta(days=6)  # how far from the day that is said an order may be due: "this week"


def take(turn: Turn, intent: Intent) -> bool:
    """Call an order off, or ask which; False for any other intent."""
    if intent.kind != CANCEL:
        return False
    slots = intent.slots
    who, day = slots.get("who"), slots.get("day")
    of_them = [order for order in turn.farm.orders.open if _is_meant(order, slots)]
    found = [(order, _day_meant(turn, order, day)) for order in of_them]
    found = [(order, due) for order, due in found if day is None or due is not None]
    exact = [(order, due) for order, due in found if due == day]
    found = exact or found
    is_named = who is not None or slots.get("order") is not None
    if not of_them:
        turn.say("orders.none_of" if who else "orders.none", who=turn.voice.subject(who or ""))
    elif not found:
        turn.say("orders.none_on", day=turn.voice.day(day or turn.now))
    elif len(found) > 1 or not is_named:  # an order that nobody was named for may be another one
        _which(turn, found)
    else:
        _call_off(turn, *found[0])
    return True


def _is_meant(order: CustomerOrder, slots: Mapping[str, Any]) -> bool:
    number, who, size = slots.get("order"), slots.get("who"), slots.get("size")
    if number is not None:
        return bool(order.number == number)
    if size is not None and order.size != size:
        return False
    return who is None or (order.who or "").casefold() == str(who).casefold()


def _day_meant(turn: Turn, order: CustomerOrder, day: dt.date | None) -> dt.date | None:
    """Give the day that an order is due which is meant by one that was said; None where it is due on none near it."""
    if day is None:
        return None
    today = hours.local(turn.farm, turn.now).date()
    until = max(today, min(day, today + dt.timedelta(days=AHEAD_DAYS))) + NEAR
    dues = [d.due for d in deliveries(order, today, until)]
    if day in dues:
        return day
    dues = [due for due in dues if due >= today and abs(due - day) <= NEAR]
    return min(dues, key=lambda due: abs(due - day), default=None)


def _which(turn: Turn, found: list[tuple[CustomerOrder, dt.date | None]]) -> None:
    turn.say("orders.which")
    for order, day in found[:MOST_CHOICES]:
        who, what = order.who or turn.voice.say("wanted.someone"), turn.voice.crickets(order.count, order.size)
        label = turn.voice.say("orders.choice", who=who, what=what, day=turn.voice.day(day or order.due))
        on = "" if day is None else f" {day.isoformat()}"
        turn.button(label[:1].upper() + label[1:], buttons.Say(f"cancel order {order.number}{on}"))


def _call_off(turn: Turn, order: CustomerOrder, day: dt.date | None) -> None:
    """Call off all of an order, or one day of an order that comes again."""
    today = hours.local(turn.farm, turn.now).date()
    ahead = today + dt.timedelta(days=AHEAD_DAYS)
    comes_again = order.every is not None
    slots = {"order": order.number, "who": order.who, "day": day if comes_again else None}
    recording.take(turn, Intent(kind=CANCEL, slots={k: v for k, v in slots.items() if v is not None}))
    coming = [d.due for d in deliveries(order, today, ahead)] if comes_again and day is None else []
    if coming:
        who = order.who or turn.voice.say("wanted.someone")
        turn.say("orders.one_day", who=who, day=turn.voice.day(coming[0]))


def answer(turn: Turn, topic: Topic, slots: Mapping[str, Any]) -> None:
    """Say which orders are open, or what was sold."""
    if topic is Topic.ORDERS:
        turn.lines.append(orders.listed(turn.voice, turn.forecasts(), slots.get("who"), AHEAD_DAYS))
    else:
        takings(turn, slots)


def takings(turn: Turn, slots: Mapping[str, Any]) -> None:
    """Say what was sold in this week, or in the days that are asked about."""
    today = hours.local(turn.farm, turn.now).date()
    days, day, who = slots.get("days"), slots.get("day"), slots.get("who")
    asked_of = who if days is None and day is None else None  # whenever that was
    if day is not None and day <= today:
        first, last = day, day
    else:
        span = MOST_DAYS if asked_of else min(int(days or WEEK_DAYS), MOST_DAYS)
        first, last = today - dt.timedelta(days=span - 1), today
    sold = [sale for sale in turn.farm.sales if first <= hours.local(turn.farm, sale.at).date() <= last]
    if asked_of:
        theirs = [
            hours.local(turn.farm, s.at).date() for s in sold if (s.who or "").casefold() == asked_of.casefold()
        ]  # fmt: skip
        if not theirs:
            turn.say("orders.never_sold", who=turn.voice.subject(asked_of))
            return
        first = min(theirs)
    turn.lines.append(orders.takings(turn.voice, sold, first, last, who))
