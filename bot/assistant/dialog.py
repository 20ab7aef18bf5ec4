"""What is open between the assistant and a person in a chat: questions that wait for an answer, steps of setting up.

It is kept with the messages, so it outlives a restart. Not for the wording of questions: asking.
"""

import datetime as dt
from collections.abc import Collection
from typing import Any

import msgspec
from msgspec.structs import replace

KEPT = 8  # questions that stay open at once; buttons of older ones are told to be too old
TYPED_WITHIN = dt.timedelta(hours=12)  # a typed answer goes to a question asked no longer ago than this


class Question(msgspec.Struct, frozen=True, kw_only=True):
    """An intent that waits for one of its slots."""

    id: int
    kind: str
    slots: dict[str, Any]
    slot: str  # the one that is asked for
    candidates: tuple[str, ...] = ()
    at: dt.datetime | None = None  # when it happened, if not when it was said
    said_at: dt.datetime
    message: str = ""  # key of the message that it came from
    text: str = ""  # the words of that message


class Dialog(msgspec.Struct, frozen=True, kw_only=True):
    """All that is open."""

    questions: tuple[Question, ...] = ()  # oldest first
    next_id: int = 1
    is_fresh: bool = False  # nothing was said since the last question, or step of setting up, was asked
    setup: tuple[str, ...] = ()  # steps of setting up that are still to come, the current one first
    erase_until: dt.datetime | None = None  # until then the farm's name, typed, erases it
    farm: int = 0  # whose it is: what was open on one farm is nothing on another

    def open(self, question: Question) -> tuple["Dialog", Question | None]:
        """Add a question under the next number; what it pushes out of the list comes back."""
        kept = (*self.questions, replace(question, id=self.next_id))
        dropped = kept[0] if len(kept) > KEPT else None
        return replace(self, questions=kept[-KEPT:], next_id=self.next_id + 1), dropped

    def close(self, question: Question) -> "Dialog":
        """Take a question off."""
        return replace(self, questions=tuple(q for q in self.questions if q.id != question.id))

    def without(self, messages: Collection[str]) -> "Dialog":
        """Take off the questions that came from messages which do not hold any more."""
        return replace(self, questions=tuple(q for q in self.questions if q.message not in messages))

    def find(self, number: int) -> Question | None:
        """Find an open question by its number."""
        return next((q for q in self.questions if q.id == number), None)

    def newest(self, now: dt.datetime) -> Question | None:
        """Give the question that a typed answer goes to."""
        last = self.questions[-1] if self.questions else None
        return last if last is not None and now - last.said_at <= TYPED_WITHIN else None


_DECODER = msgspec.json.Decoder(Dialog)


def load(stored: bytes | None, farm: int) -> Dialog:
    """Read a stored dialog of a farm, or begin one where there is none or it was another farm's."""
    known = None if stored is None else _DECODER.decode(stored)
    return known if known is not None and known.farm == farm else Dialog(farm=farm)


def dump(dialog: Dialog) -> bytes:
    """Write a dialog."""
    return msgspec.json.encode(dialog)
