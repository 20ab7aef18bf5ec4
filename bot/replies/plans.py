"""A plan, told: what it takes, what is met when and what is not, and a table of the trays; each line fits a phone.

Not for how a plan is found (core.rules.plans), nor for putting it into the chores (bot.assistant.plans).
"""

import datetime as dt
from collections.abc import Iterator, Sequence

from bot.replies.voice import Voice
from bot.replies.wishes import every_so
from core.rules.growth import BIN_C
from core.rules.pipeline import ADULTS
from core.rules.plans import Goal, Met, Needs, Plan
from core.science.production import Hindrance

MOST_ROWS = 10  # of a table; the rest is counted
WIDEST = 30  # letters of a row of a table


def told(voice: Voice, plan: Plan) -> str:
    """Put a plan in words."""
    return "\n".join(
        [
            *_head(voice, plan),
            *_met(voice, plan),
            *_trays(voice, plan),
            *_breeders(voice, plan),
            *_assumed(voice, plan),
        ]
    )


def _head(voice: Voice, plan: Plan) -> Iterator[str]:
    if plan.goal is None:
        yield voice.say("plan.head_orders", subject=voice.subject(voice.say("plan.orders")))
    else:
        yield voice.say("plan.head", subject=voice.subject(goal_of(voice, plan.goal)))
    if plan.needs is not None:
        yield from _needs(voice, plan.needs)
    elif plan.trays:
        at_once = {"tubs": _counted(voice, "tubs", plan.tubs), "bins": _counted(voice, "bins", plan.bins)}
        trays = sum(len(bins) for _, bins in plan.trays)
        yield voice.say("plan.takes", trays=_counted(voice, "trays", trays), **at_once)
        yield voice.say("plan.females", many=voice.rounded(plan.females))


def goal_of(voice: Voice, goal: Goal) -> str:
    """Name a goal: 2,000 of 1/2 in every week."""
    what = voice.crickets(goal.count, goal.size)
    return voice.say("plan.goal", what=what, every=every_so(voice, goal.every)) if goal.every else what


def _needs(voice: Voice, needs: Needs) -> Iterator[str]:
    yield voice.say(
        "plan.each_time", trays=_counted(voice, "trays", needs.trays), many=voice.rounded(needs.females_a_tray)
    )
    yield voice.say(
        "plan.at_once" if needs.bins else "plan.at_once_tubs",
        tubs=_counted(voice, "tubs", needs.tubs),
        bins=_counted(voice, "bins", needs.bins),
    )
    yield voice.say("plan.egg_to_size", n=needs.days)


def _counted(voice: Voice, what: str, n: int) -> str:
    return voice.say(f"plan.{what}", n=n, number=voice.number(n))


def _met(voice: Voice, plan: Plan) -> Iterator[str]:
    if plan.goal is None:
        yield from _rows(voice, [_order(voice, met) for met in plan.met])
    else:
        yield from _summed(voice, plan.met)
    for hindrance in Hindrance:
        short = [met for met in plan.met if met.hindrance is hindrance]
        if short:
            yield _why(voice, plan, hindrance, short)


def _summed(voice: Voice, met: Sequence[Met]) -> Iterator[str]:
    whole = [one.wanted.due for one in met if one.hindrance is None]
    if whole:
        yield voice.say("plan.met", n=len(met), met=len(whole), day=voice.day(whole[0]))
    else:
        yield voice.say("plan.met_none", n=len(met))


def _order(voice: Voice, met: Met) -> str:
    wanted = met.wanted
    key = "plan.order" if met.hindrance is None else "plan.order_short"
    who = wanted.who or voice.say("wanted.someone")
    row = voice.say(
        key, day=voice.day(wanted.due), who=who, count=voice.number(wanted.count), part=voice.number(met.count)
    )  # fmt: skip
    over = len(row) - WIDEST
    if over <= 0:
        return row
    return row.replace(who, f"{who[: max(len(who) - over - 1, 1)]}.", 1)


def _why(voice: Voice, plan: Plan, hindrance: Hindrance, short: Sequence[Met]) -> str:
    days = voice.say("plan.days", n=len(short), first=voice.day(short[0].wanted.due))
    fields = {"days": days}
    if hindrance in {Hindrance.TOO_SOON, Hindrance.NO_LAYING} and plan.first_on is None:
        return voice.say("plan.why_none_lays", **fields)
    if hindrance is Hindrance.TOO_SOON and plan.first_on is not None:
        return voice.say("plan.why_too_soon", day=voice.day(plan.first_on), **fields)
    if hindrance is Hindrance.NO_LAYING and plan.bred_from is not None:
        return voice.say("plan.why_no_laying", day=voice.day(plan.bred_from), **fields)
    part = max(met.count for met in short)
    why = voice.say(f"plan.why_{hindrance}", **fields)
    return f"{why} {voice.say('plan.part', part=voice.number(part))}" if part else why


def _trays(voice: Voice, plan: Plan) -> Iterator[str]:
    if not plan.trays:
        yield voice.say("plan.no_trays" if any(met.hindrance for met in plan.met) else "plan.no_trays_needed")
        return
    yield voice.say("plan.trays_head")
    yield from _rows(voice, [_tray(voice, day, bins) for day, bins in plan.trays])


def _tray(voice: Voice, day: dt.date, bins: Sequence[str]) -> str:
    return voice.say("plan.row", day=voice.day(day), bins=voice.bins(bins))


def _rows(voice: Voice, rows: Sequence[str]) -> Iterator[str]:
    yield from rows[:MOST_ROWS]
    if len(rows) > MOST_ROWS:
        yield voice.say("plan.more", n=len(rows) - MOST_ROWS)


def _breeders(voice: Voice, plan: Plan) -> Iterator[str]:
    for day, many in plan.kept_back[:1]:
        first = plan.bred_trays[0][0] if plan.bred_trays else day
        yield voice.say("plan.breeders", many=voice.rounded(many), day=voice.day(day), first=voice.day(first))


def _assumed(voice: Voice, plan: Plan) -> Iterator[str]:
    if plan.trays:
        yield voice.say("plan.cautious")
    if plan.uncounted:
        yield voice.say(
            "plan.uncounted", n=len(plan.uncounted), bins=voice.bins(plan.uncounted), many=voice.number(ADULTS)
        )
    if plan.is_assumed:
        yield voice.say("plan.warmth", temp=voice.temp(BIN_C))
