"""Trouble: what to do about it; and about a die-off, the questions that matter, one after the other, and what they say.

Not for holding moves back: core.farm does, until a bin is told to be all clear. Not for how many deaths are usual:
core.rules.losses.
"""

from collections.abc import Sequence

from msgspec.structs import replace

from bot.assistant import asking, buttons, confirming
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies import troubles
from core.farm.farm import Bin, Farm
from core.journal.event import Event
from core.journal.facts import Dead, Problem
from core.journal.kinds import Trouble
from core.rules.losses import losses_with

KIND = "die_off"  # of the questions: no record, since what is found out is advice
SUSPECTED = frozenset({Trouble.DIE_OFF, Trouble.SICK})


def follow(turn: Turn, before: Farm, news: Sequence[Event]) -> None:
    """Say what follows from trouble, or from too many deaths; `before` is the farm without the news."""
    for entry in news:
        match entry.body:
            case Problem(what=what, bin=str(name)) if what in SUSPECTED:
                _begin(turn, name, is_sick=what is Trouble.SICK)
            case Problem(what=what):
                turn.lines.append(troubles.advice(turn.voice, what))
            case Dead(bin=name, count=int(count)) if name in before.bins:
                _weigh(turn, before.bins[name], count, entry)
            case _:
                pass


def _weigh(turn: Turn, house: Bin, count: int, entry: Event) -> None:
    """Take deaths that are not usual for a die-off."""
    losses = losses_with(house, count, entry.happened_at)
    if losses is None or not losses.are_unusual or house.held_since is not None:
        return
    turn.record(turn.event(Problem(what=Trouble.DIE_OFF, bin=house.name), entry.happened_at))
    turn.lines.append(troubles.unusual(turn.voice, house.name, losses))
    _begin(turn, house.name, is_sick=False)


def _begin(turn: Turn, name: str, *, is_sick: bool) -> None:
    turn.lines.append(troubles.held(turn.voice, name))
    known = {"bin": name} | ({troubles.SICK: confirming.YES} if is_sick else {})
    _go_on(turn, Intent(kind=KIND, slots=known))


def take(turn: Turn, intent: Intent) -> bool:
    """Take the answer to a question about a die-off; False for any other intent."""
    if intent.kind != KIND:
        return False
    _go_on(turn, intent)
    return True


def _go_on(turn: Turn, intent: Intent) -> None:
    """Ask the next question, or say what the answers come to."""
    slots, voice = intent.slots, turn.voice
    left = next((topic for topic in troubles.ASKED if topic not in slots), None)
    if left is not None:
        asked = confirming.question(turn, replace(intent, at=None), left, may_be_unsure=True)
        labels = [voice.say(f"losses.{choice}") for choice in asked.candidates]
        asking.put(turn, asked, troubles.question(voice, slots["bin"], left), labels)
        return
    found = [topic for topic in troubles.ASKED if slots[topic] == confirming.YES]
    turn.lines += troubles.causes(voice, slots["bin"], found)
    if troubles.SICK not in found:
        said = turn.for_buttons.bin(slots["bin"])
        turn.button(voice.say("losses.all_clear"), buttons.Say(f"all clear in {said}"))
