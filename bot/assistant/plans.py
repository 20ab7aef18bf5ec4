"""Plans of trays: look for one when asked, and put it into the chores when its button is pressed.

What is put there is what was shown: the question keeps it. Where the farm has changed too much for it, nothing is
written down and a new one is shown. Not for finding a plan: core.rules.plans.
"""

import datetime as dt
from typing import Any

from msgspec.structs import replace

from bot.assistant import asking, confirming, roles
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies import plans
from bot.replies.recorded import recorded_line
from core.journal import codec, wants
from core.journal.kinds import Holds
from core.rules import hours
from core.rules.plans import Goal, Plan, plan_for
from core.units import SizeGrade

KIND = codec.kind_of_record(wants.Plan)
ACCEPT = "accept"  # the slot of the question whether a plan goes into the chores
DROP = "drop"  # the answer that takes the old plan out instead
MOST = 100_000  # crickets at a time; no farm that is run by chat makes more


def answer(turn: Turn, slots: dict[str, Any]) -> None:
    """Show a plan for what is wanted, else for the open orders."""
    goal = _goal(turn, slots)
    if goal is not None or slots.get("count") is None:
        _show(turn, goal)


def _goal(turn: Turn, slots: dict[str, Any]) -> Goal | None:
    """Give the goal that was told; None where there is none, or it cannot be, which is said."""
    count, size, say = slots.get("count"), slots.get("size"), turn.say
    if count is None:
        return None
    if count <= 0:
        say("plan.bad_count", number=turn.voice.number(count))
    elif count > MOST:
        say("plan.beyond", number=turn.voice.number(count), most=turn.voice.number(MOST))
    elif size is None:
        say("plan.no_size")
    else:
        return Goal(count=int(count), size=SizeGrade(size), every=slots.get("every"))
    return None


def _show(turn: Turn, goal: Goal | None) -> None:
    farm = turn.farm
    if all(house.holds is Holds.NOTHING and not house.cohorts for house in farm.bins.values()):
        turn.say("plan.no_bins")
        return
    plan = plan_for(farm, goal, turn.now)
    if plan is None:
        turn.say("plan.too_cold")
    elif not plan.met:
        turn.say("plan.no_orders")
    else:
        _offer(turn, plan)


def _offer(turn: Turn, plan: Plan) -> None:
    text, choices = plans.told(turn.voice, plan), {}
    if plan.trays:
        choices[confirming.YES] = turn.voice.say("button.plan")
    if turn.farm.plan is not None and turn.farm.plan.days:
        choices[DROP] = turn.voice.say("button.drop_plan")
    if not choices or roles.refusal_to_write(turn.member.role) is not None:
        turn.lines.append(text)
        return
    question = asking.waiting(turn, Intent(kind=KIND, slots=_slots(plan)), ACCEPT, tuple(choices))
    asking.put(turn, replace(question, text=""), text, list(choices.values()))


def _slots(plan: Plan) -> dict[str, Any]:
    trays = [(name, day.isoformat()) for day, names in plan.trays for name in names]
    slots: dict[str, Any] = {"bins": [name for name, _ in trays], "days": [day for _, day in trays]}
    if plan.goal is not None:
        slots |= {"count": plan.goal.count, "size": plan.goal.size.value}
        slots |= {"every": plan.goal.every} if plan.goal.every else {}
    return slots


def take(turn: Turn, intent: Intent) -> bool:
    """Take the answer to a plan; False for any other intent."""
    if intent.kind != KIND:
        return False
    turn.said_at = min(turn.incoming.sent_at, turn.now)  # a plan holds from now on, whenever it was shown
    slots = {name: value for name, value in intent.slots.items() if name != ACCEPT}
    if intent.slots.get(ACCEPT) == DROP:
        slots = {}
    elif not _still_fits(turn, slots):
        turn.say("plan.changed")
        answer(turn, slots)
        return True
    entry = turn.event(codec.body_of(KIND, slots))
    before = turn.farm
    turn.record(entry)
    turn.tell(Intent(kind=KIND, slots=slots))
    turn.lines.append(recorded_line(turn.voice, before, entry))
    return True


def _still_fits(turn: Turn, slots: dict[str, Any]) -> bool:
    """Tell whether no day of a plan is past and its bins still have crickets in them that may be moved."""
    today = hours.local(turn.farm, turn.now).date()
    houses = [turn.farm.bins.get(name) for name in slots["bins"]]
    has_all = all(h is not None and h.holds is not Holds.NOTHING and h.held_since is None for h in houses)
    return has_all and all(dt.date.fromisoformat(day) >= today for day in slots["days"])
