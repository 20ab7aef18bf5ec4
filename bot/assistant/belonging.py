"""Who is of the farm and who does its chores when: inviting, leaving, taking somebody off, duties, absences.

Not for who gets in: membership. Not for who is on duty: core.rules.duty.
"""

from msgspec.structs import replace

from bot.assistant import asking, confirming, recording, roles
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies import duties
from core.journal import codec
from core.journal.kinds import Role
from core.journal.wants import Away, Duty, Joined, Left, Resume

SURE = "sure"  # the slot that asks whether somebody is really to leave
_JOINED, _LEFT, _DUTY, _AWAY, _RESUME = (codec.kind_of_record(r) for r in (Joined, Left, Duty, Away, Resume))
KINDS = frozenset({_JOINED, _LEFT, _DUTY, _AWAY})
OWN = frozenset({"name"})  # slots that the person who speaks fills
UNHEARD = frozenset({_JOINED, _LEFT})  # what is not taken from talk in a group


def take(turn: Turn, intent: Intent) -> bool:
    """Take an intent about people; False for any other."""
    if intent.kind == _JOINED:
        invite(turn, Role(intent.slots.get("role", Role.HAND)))
    elif intent.kind == _LEFT:
        _part(turn, intent)
    elif intent.kind in {_DUTY, _AWAY}:
        _arrange(turn, intent)
    elif intent.kind == _RESUME and not intent.slots.get("what") and _is_back(turn):
        _arrange(turn, Intent(kind=_AWAY, slots={"on": False}))
        return not turn.farm.pauses
    else:
        return False
    return True


def _is_back(turn: Turn) -> bool:
    """Say whether somebody who was away can mean that they are back."""
    person = turn.farm.people.get(turn.member.name)
    return person is not None and person.away is not None


# -- coming


def invite(turn: Turn, role: Role) -> None:
    """Give an invite, and say what it makes of whoever uses it."""
    if (reason := roles.refusal_to_set_up(turn.member.role)) is not None:
        turn.say(reason)
        return
    token, link = turn.make_invite(role)
    turn.say("people.invite_looker_on" if role is Role.LOOKER_ON else "people.invite_hand")
    turn.say("start.invite")
    turn.lines.append(link or turn.voice.say("start.invite_code", token=token))


# -- going


def _part(turn: Turn, intent: Intent) -> None:
    """Let somebody leave, or be taken off by the owner, once they have said that they are sure."""
    name = _named(turn, intent.slots.get("name"))
    is_self = name == turn.member.name
    person = turn.farm.people.get(name)
    if not is_self and (reason := roles.refusal_to_set_up(turn.member.role)) is not None:
        turn.say(reason)
    elif person is None:
        turn.say("refused.no_such_person", name=name, names=turn.voice.listed(sorted(turn.farm.people)))
    elif person.role is Role.OWNER:
        turn.say("people.owner_stays" if is_self else "people.is_owner", name=name)
    elif intent.slots.get(SURE) is None:
        _ask_whether_sure(turn, name, is_self=is_self)
    elif intent.slots[SURE] == confirming.YES:
        turn.record(turn.event(Left(name=name), by=""))  # by nobody: to come back takes an invite, not an undo
        turn.parts = name
        turn.say("people.left" if is_self else "people.removed", name=name, farm=turn.voice.farm_name())
    else:
        turn.say("people.stays", name=name)


def _ask_whether_sure(turn: Turn, name: str, *, is_self: bool) -> None:
    asked = confirming.question(turn, Intent(kind=_LEFT, slots={"name": name}), SURE)
    key, label = ("people.leave_ask", "people.leave") if is_self else ("people.remove_ask", "people.remove")
    say = turn.voice.say
    asking.put(turn, asked, say(key, name=name, farm=turn.voice.farm_name()), [say(label), say("people.stay")])


def _named(turn: Turn, said: str | None) -> str:
    """Give the name of a person as the farm writes it; their own where they named nobody."""
    if not said:
        return turn.member.name
    return next((n for n in turn.farm.people if n.casefold() == said.casefold()), said)


# -- doing the chores


def _arrange(turn: Turn, intent: Intent) -> None:
    """Record a person's duty or absence; that of others is the owner's business."""
    name = _named(turn, intent.slots.get("name"))
    if name != turn.member.name and (reason := roles.refusal_to_set_up(turn.member.role)) is not None:
        turn.say(reason)
        return
    recording.take(turn, replace(intent, slots=intent.slots | {"name": name}, needs=()))
    if turn.news:
        turn.lines.append(duties.cover(turn.voice))
