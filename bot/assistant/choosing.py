"""A message that may be two things: ask which, the likelier first, and take the answer.

Not for a message that lacks something: asking. One that is never answered is kept as a note once newer questions
crowd it out.
"""

from collections.abc import Sequence

import msgspec

from bot.assistant import asking, roles
from bot.assistant.dialog import Question
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies.recorded import known_so_far
from core.journal import codec
from core.journal.facts import Remark

MEANING = "meaning"  # the slot of a question that asks what a message means; its candidates are readings of it
MOST_READINGS = 3
_NOTE = codec.kind_of_record(Remark)


class _Reading(msgspec.Struct, frozen=True):
    """One of the things that a message may mean, as a question keeps it."""

    kind: str
    slots: dict[str, str | int | float | bool | list[str]]


_DECODER = msgspec.json.Decoder(_Reading)


def ask_which(turn: Turn, intents: Sequence[Intent]) -> None:
    """Ask which of several things a message means; the last choice keeps it as a note."""
    if (reason := roles.refusal_to_write(turn.member.role)) is not None:
        turn.say(reason)
        return
    note = Intent(kind=_NOTE, slots={"text": turn.incoming.text, "unread": True})
    offered = (*intents[:MOST_READINGS], note)
    candidates = tuple(msgspec.json.encode(_Reading(i.kind, i.slots)).decode() for i in offered)
    question = asking.waiting(turn, Intent(kind=MEANING, slots={}, at=intents[0].at), MEANING, candidates)
    known = known_so_far(turn.voice, intents[0].slots)
    sentence = turn.voice.say("ask.meaning_of" if known else "ask.meaning", known=turn.voice.subject(known))
    asking.put(turn, question, sentence, [_label(turn, c) for c in candidates])


def _label(turn: Turn, candidate: str) -> str:
    reading = _DECODER.decode(candidate)
    key = f"problem.{reading.slots['what']}" if "what" in reading.slots else f"meant.{reading.kind}"
    label = turn.voice.say(key)
    return label[:1].upper() + label[1:]


def chosen(question: Question, value: str) -> Intent:
    """Give the intent that was chosen."""
    reading = _DECODER.decode(value)
    return Intent(kind=reading.kind, slots=dict(reading.slots), at=question.at)


def typed(turn: Turn, question: Question) -> str | None:
    """Read a message that says one of the choices, and nothing else of weight: "dead ones"."""
    said = turn.incoming.text.casefold().strip(" .!").split()
    if not turn.dialog.is_fresh or len(said) > asking.BARE:
        return None
    found = [c for c in question.candidates if _label(turn, c).casefold().split()[-1] in said]
    return found[0] if len(found) == 1 else None
