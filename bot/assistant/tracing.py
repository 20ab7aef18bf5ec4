"""Where crickets come from and who got them, and the logs of sales and stock: in words, and as files for others.

A looker-on may ask, but gets no file: those name customers and prices. Not for finding it out: core.farm.lineage.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from bot.assistant import buttons, roles
from bot.assistant.topics import Topic
from bot.assistant.turn import Turn
from bot.ports.messages import Attachment
from bot.replies import traces
from core.farm import lineage
from core.farm.farm import Sale
from core.farm.lineage import Lineage
from core.journal import facts
from core.rules import hours

MOST_BUTTONS = 3
STOCK, SALES = "stock", "sales"


def answer(turn: Turn, topic: Topic, slots: Mapping[str, Any]) -> None:
    """Trace a lot, or hand out a log."""
    if topic is Topic.LOG:
        _log(turn, str(slots.get("of", SALES)), slots)
    elif slots.get("onward"):
        _onward(turn, slots)
    else:
        _trace(turn, slots)


def _trace(turn: Turn, slots: Mapping[str, Any]) -> None:
    farm, events = turn.farm, turn.fold.in_force
    if slots.get("tub") is not None:
        _tell(turn, slots, lineage.of_tub(farm, events, slots["tub"], turn.now), f"tub {slots['tub'][1:]}")
        return
    if slots.get("bin") is not None:
        _tell(turn, slots, lineage.of_bin(farm, events, slots["bin"], turn.now), f"bin {slots['bin'][1:]}")
        return
    sales = _sales(turn, slots)
    if not sales:
        who = slots.get("who")
        turn.say("trace.no_sale_to" if who else "trace.no_sale", who=turn.voice.subject(who or ""))
        return
    sale = sales[-1]
    turn.lines.append(traces.sale_line(turn.voice, sale))
    _tell(turn, slots, lineage.of_sale(farm, events, sale), f"sale {sale.number}")
    for earlier in sales[-1 - MOST_BUTTONS : -1][::-1]:
        turn.button(turn.voice.day(earlier.at), buttons.Say(f"trace sale {earlier.number}"))


def _sales(turn: Turn, slots: Mapping[str, Any]) -> Sequence[Sale]:
    number, who = slots.get("sale"), slots.get("who")
    if number is not None:
        return [sale for sale in turn.farm.sales if sale.number == number]
    return [s for s in turn.farm.sales if who is None or (s.who or "").casefold() == str(who).casefold()]


def _tell(turn: Turn, slots: Mapping[str, Any], found: Lineage, what: str) -> None:
    if slots.get("file"):
        if _may_have_files(turn):
            name = f"ovipost-lot-{what.replace(' ', '-')}.csv"
            turn.file = Attachment(name=name, text=traces.table(turn.voice, found))
            turn.say("trace.file")
            turn.say("trace.rules")
        return
    turn.lines.append(traces.told(turn.voice, found))
    turn.button(turn.voice.say("button.as_file"), buttons.Say(f"trace {what} csv"))


def _may_have_files(turn: Turn) -> bool:
    reason = roles.refusal_to_write(turn.member.role)
    if reason is None and turn.incoming.is_group:
        reason = "data.private"
    if reason is not None:
        turn.say(reason)
    return reason is None


def _onward(turn: Turn, slots: Mapping[str, Any]) -> None:
    """Say who got crickets of a tub, or out of a bin."""
    tub, house = slots.get("tub"), slots.get("bin")
    if tub is None and house is None:
        turn.say("trace.which")
        return
    voice = turn.voice
    name = voice.tub(tub) if tub is not None else voice.bin(house or "")
    sales = lineage.sales_of(turn.farm, tub=tub, bin_=house)
    if tub is not None:
        bins = [b.name for b in turn.farm.bins.values() if tub in b.from_tubs]
        if bins:
            turn.say("trace.still_in", tub=voice.subject(name), bins=voice.bins(bins))
    if not sales:
        turn.say("trace.to_nobody", what=voice.subject(name))
        return
    turn.lines += [traces.sale_line(voice, sale) for sale in sales[-traces.MOST_SALES :]]
    if len(sales) > traces.MOST_SALES:
        turn.say("trace.earlier", n=len(sales) - traces.MOST_SALES)


def _log(turn: Turn, of: str, slots: Mapping[str, Any]) -> None:
    """Hand out the log of sales, or of what was bought and used, of all times or of the last days."""
    if not _may_have_files(turn):
        return
    kinds = (facts.Bought, facts.Fed, facts.TrayIn) if of == STOCK else (facts.Sold,)
    days = slots.get("days")
    since = None if days is None else turn.now - int(days) * hours.DAY
    found = [e for e in turn.fold.newest_first(*kinds) if since is None or e.happened_at >= since][::-1]
    if not found:
        turn.say("trace.log_empty")
        return
    table = traces.stores_table if of == STOCK else traces.sales_table
    name = f"ovipost-{of}-{turn.local(turn.now):%Y-%m-%d}.csv"
    turn.file = Attachment(name=name, text=table(turn.voice, found))
    turn.say(f"trace.log_{of}", n=len(found))
