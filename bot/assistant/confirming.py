"""Questions that are answered with yes, no or not sure: their buttons, and typed answers to them.

Not for what an answer does: leaving and diagnosing.
"""

from msgspec.structs import replace

from bot.assistant import asking
from bot.assistant.dialog import Question
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies.languages import typed_words

YES, NO, UNSURE = "yes", "no", "unsure"


def question(turn: Turn, intent: Intent, slot: str, *, may_be_unsure: bool = False) -> Question:
    """Make the question whether something is so; its words are not kept, as nothing is lost where it is dropped."""
    choices = (YES, NO, UNSURE) if may_be_unsure else (YES, NO)
    return replace(asking.waiting(turn, intent, slot, choices), text="")


def typed(turn: Turn, asked: Question) -> str | None:
    """Read a message as the answer to such a question; None where it is none."""
    said = " ".join(turn.incoming.text.casefold().strip(" .!").split())
    return next((c for c in asked.candidates if said in typed_words(f"typed.{c}")), None)
