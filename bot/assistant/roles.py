"""Who may do what on a farm, whichever channel they write from.

A looker-on asks; a hand also writes down; how the farm is set up and who is of it is the owner's business. Not for who
is of a farm: membership.
"""

from collections.abc import Callable, Iterable

from bot.ports.intents import ASK, HELP, Intent
from core.journal import codec
from core.journal.event import Body, Event
from core.journal.kinds import Role, Setting
from core.journal.wants import Fix, Joined, Left, Set

LOOKER_ON, OWNER_ONLY = "refused.looker_on", "refused.owner_only"
_FREE = frozenset({ASK, HELP})
_LEFT = codec.kind_of_record(Left)  # each may leave; that the owner alone takes others off, belonging sees to
_JOINED, _SET = codec.kind_of_record(Joined), codec.kind_of_record(Set)


def refusal(role: Role, intent: Intent) -> str | None:
    """Say, as a key of wording, why somebody may not do what an intent asks for; None where they may."""
    if intent.kind == _LEFT:
        return None
    is_owners = intent.kind == _JOINED or (intent.kind == _SET and intent.slots.get("what") != Setting.LANGUAGE)
    return None if intent.kind in _FREE else _refusal(role, is_owners=is_owners)


def refusal_to_change(
    role: Role, events: Iterable[Event], event_of: Callable[[int], Event | None] = lambda _number: None
) -> str | None:
    """Say why somebody may not take events back or put them right; a fix is what it puts right, by `event_of`."""
    changed = (entry for e in events for entry in (e, event_of(e.body.of) if isinstance(e.body, Fix) else None))
    return _refusal(role, is_owners=any(entry is not None and _is_owners(entry.body) for entry in changed))


def refusal_to_set_up(role: Role) -> str | None:
    """Say why somebody may not set the farm up, invite or take people out; None where they may."""
    return _refusal(role, is_owners=True)


def refusal_to_write(role: Role) -> str | None:
    """Say why somebody may not write anything down; None where they may."""
    return _refusal(role, is_owners=False)


def _refusal(role: Role, *, is_owners: bool) -> str | None:
    if role is Role.LOOKER_ON:
        return LOOKER_ON
    return OWNER_ONLY if is_owners and role is not Role.OWNER else None


def _is_owners(body: Body) -> bool:
    match body:
        case Joined() | Left():
            return True
        case Set(what=what):
            return what is not Setting.LANGUAGE
        case _:
            return False
