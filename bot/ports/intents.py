"""What a message means, as the reader gives it and the assistant takes it.

A fact or a want carries the slots of its record in core.journal, in JSON form; a question is of kind `ask`.
"""

import datetime as dt
from typing import Any

import msgspec

ASK = "ask"
HELP = "help"


class Intent(msgspec.Struct, frozen=True, kw_only=True):
    """One thing that a message means.

    Slot values are str, int, float, bool, lists of str; `due` and `day` are dates, `when` and `until` aware datetimes.
    """

    kind: str  # a kind of core.journal.codec.RECORDS, or `ask`
    slots: dict[str, Any]  # without kind, at and needs; a `fix` has the slots to put right here, flat
    at: dt.datetime | None = None  # when it happened, in the farm's zone; None: at the time of the message
    needs: tuple[str, ...] = ()  # slots that neither the words nor the state of the farm settle


class Understanding(msgspec.Struct, frozen=True, kw_only=True):
    """All that a reader makes of a message."""

    intents: tuple[Intent, ...] = ()
    alternatives: tuple[Intent, ...] = ()  # other ways to take a message that may be two things, likelier first
    is_farm_talk: bool = False  # no intent, yet it looks like the farm: to be kept as an unread remark
    language: str = "en"  # that it was read in
    unread: str = ""  # the part of the message that gave no intent although it looks like the farm


def to_json(intent: Intent) -> dict[str, Any]:
    """Write an intent in the form of the schema: `{"kind": ..., slots..., "at", "needs"}`; times as ISO text."""
    out: dict[str, Any] = {"kind": intent.kind}
    out.update({name: _plain(value) for name, value in intent.slots.items() if value is not None})
    if intent.at is not None:
        out["at"] = intent.at.isoformat(timespec="minutes")
    if intent.needs:
        out["needs"] = list(intent.needs)
    return out


def _plain(value: object) -> object:
    if isinstance(value, dt.datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, dt.date):
        return value.isoformat()
    return value
