"""A journal without the name of a person who wants to be forgotten.

What they wrote down stays, since the farm's tubs hang on it; who it was does not. Not for deciding who may ask for it.
"""

import re
from typing import Any

from msgspec.structs import replace

from core.journal import codec
from core.journal.event import Body, Event
from core.journal.wants import Away, Duty, Fix, Joined, Left

_WHO = "who"  # a customer, who may be the same person
_NAME = "name"
_WORDS = ("text", "reason")  # in a person's own words, which may speak of others


def without(entry: Event, name: str, former: str, chat: str) -> Event:
    """Give an event with `former` for a person's name, and without a message's key that tells of them or their chat."""
    return replace(
        entry,
        by=former if entry.by == name else entry.by,
        message="" if entry.by == name or entry.message.startswith(f"{chat}:") else entry.message,
        body=_body(entry.body, name, former),
    )


def _body(body: Body, name: str, former: str) -> Body:
    known = codec.slots_of(body)
    slots = _slots(known, name, former)
    if isinstance(body, Fix):
        slots["slots"] = _slots(body.slots, name, former)
    if isinstance(body, Joined | Left | Duty | Away) and body.name == name:
        slots[_NAME] = former
    return body if slots == known else codec.body_of(codec.kind_of(body), slots)


def _slots(slots: dict[str, Any], name: str, former: str) -> dict[str, Any]:
    return {slot: _value(slot, value, name, former) for slot, value in slots.items()}


def _value(slot: str, value: Any, name: str, former: str) -> Any:  # noqa: ANN401 - a slot's value
    if not isinstance(value, str):
        return value
    if slot == _WHO and value.casefold() == name.casefold():
        return former
    if slot in _WORDS:
        return re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", lambda _: former, value)
    return value
