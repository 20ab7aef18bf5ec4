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


def take(turn: Turn, intent: Intent) -> bool:
    """Call an order off, or ask which; False for any other intent."""
    if intent.kind != CANCEL:
        return False
    slots = intent.slots
    found = [order for order in turn.farm.orders.open if _is_meant(order, slots)]
    if not found:
        who = slots.get("who")
        turn.say("orders.none_of" if who else "orders.none", who=turn.voice.subject(who or ""))
    elif len(found) > 1:
        _which(turn, found)
    else:
        _call_off(turn, found[0], slots.get("day"))
    return True


def _is_meant(order: CustomerOrder, slots: Mapping[str, Any]) -> bool:
    number, who = slots.get("order"), slots.get("who")
    if number is not None:
        return bool(order.number == number)
    return who is None or (order.who or "").casefold() == str(who).casefold()


def _which(turn: Turn, found: list[CustomerOrder]) -> None:
    turn.say("orders.which")
    for order in found[:MOST_CHOICES]:
        who, what = order.who or turn.voice.say("wanted.someone"), turn.voice.crickets(order.count, order.size)
        turn.button(f"{who}: {what}", buttons.Say(f"cancel order {order.number}"))


def _call_off(turn: Turn, order: CustomerOrder, day: dt.date | None) -> None:
    """Call off all of an order, or its delivery of the day named, which may be some days off in between."""
    today = hours.local(turn.farm, turn.now).date()
    ahead = today + dt.timedelta(days=AHEAD_DAYS)
    coming = [d.due for d in deliveries(order, today, ahead)] if order.every is not None else []
    nearest = min(coming, key=lambda due: abs(due - (day or today)), default=None) if day is not None else None
    slots = {"order": order.number, "who": order.who, "day": nearest}
    recording.take(turn, Intent(kind=CANCEL, slots={k: v for k, v in slots.items() if v is not None}))
    if nearest is None and coming:
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
    if day is not None and day <= today:
        first, last = day, day
    elif days is not None or who is None:
        first, last = today - dt.timedelta(days=min(int(days or WEEK_DAYS), MOST_DAYS) - 1), today
    else:
        first, last = today - dt.timedelta(days=MOST_DAYS - 1), today
    span = [sale for sale in turn.farm.sales if first <= hours.local(turn.farm, sale.at).date() <= last]
    if who is not None and days is None and day is None and span:
        theirs = [hours.local(turn.farm, s.at).date() for s in span if s.who and s.who.casefold() == who.casefold()]
        first = min(theirs, default=first)
    turn.lines.append(orders.takings(turn.voice, span, first, last, who))
