"""Who may speak for which farm: founding one, joining by invite or by a chat, being turned away.

Not for setting a farm up: onboarding.
"""

import datetime as dt
import re
import secrets
from collections.abc import Callable, Collection, Sequence

import msgspec

from bot.assistant import speaking
from bot.assistant.own_data import former_names
from bot.ports.messages import Incoming
from bot.ports.stores import Chat, Invite, Member, UnitOfWork
from core.journal.kinds import Role

START = "/start"
INVITE_GOOD_FOR = dt.timedelta(days=7)
TOKEN_BYTES = 12  # 96 bits, 16 characters: more than anyone can guess, short enough for a link
BAD_INVITE = "refused.bad_invite"
_TOKEN = re.compile(r"[A-Za-z0-9_-]{16}")  # a link's payload may have 64 of these; ours have as many as the bytes make


class Arrival(msgspec.Struct, frozen=True, kw_only=True):
    """A person who may speak, and what is new about that."""

    member: Member
    is_founder: bool = False  # the farm is new with this message
    is_new: bool = False  # the person is
    is_new_chat: bool = False  # the chat is


class Turned(msgspec.Struct, frozen=True, kw_only=True):
    """A person who may not, and the reason as a key of wording."""

    reason: str


def start_payload(incoming: Incoming) -> str | None:
    """Give what stands behind /start, empty where nothing does; None where the message is no /start."""
    words = incoming.text.split(maxsplit=1)
    if not words or words[0].split("@")[0] != START:
        return None
    return words[1].strip() if len(words) > 1 else ""


def arrive(uow: UnitOfWork, incoming: Incoming, now: dt.datetime, may_found: Callable[[str], bool]) -> Arrival | Turned:
    """Find out who speaks, for which farm; newcomers join or found one, or are turned away."""
    known = uow.people.member(incoming.sender.address)
    group = uow.people.chat(incoming.chat) if incoming.is_group else None
    if known is not None and (reason := _keeps_out(known, incoming, group)) is not None:
        return Turned(reason=reason)
    payload = start_payload(incoming) if group is None else None  # a farm's group is the way into that farm
    if payload and (known is None or not may_found(incoming.sender.address) or _is_untouched(uow, known)):
        invite = _taken(uow, payload, now, None if known is None else known.farm)
        if invite is not None:
            return _joined(uow, incoming, invite.farm, invite.role)
        if known is None:
            return Turned(reason=BAD_INVITE)
    if known is not None:
        known = _with_language(uow, known, incoming)
        return Arrival(member=known, is_new_chat=_add_chat(uow, incoming, known.farm))
    return _newcomer(uow, incoming, now, group, is_let=may_found(incoming.sender.address))


def _newcomer(
    uow: UnitOfWork, incoming: Incoming, now: dt.datetime, group: Chat | None, *, is_let: bool
) -> Arrival | Turned:
    """Let somebody without an invite join by the farm's group, or found a farm where they are let."""
    if group is not None:
        return _joined(uow, incoming, group.farm, Role.HAND)
    if incoming.press is not None:  # a button that is left over: whoever presses it asks for no farm
        return Turned(reason="press.elsewhere")
    if is_let and not (incoming.is_group and not incoming.is_addressed):
        return _founded(uow, incoming, now)
    return Turned(reason="refused.not_invited")


def _keeps_out(known: Member, incoming: Incoming, group: Chat | None) -> str | None:
    """Say why somebody is not heard in a group: it is another farm's, or nobody's, and they may not let it in."""
    if not incoming.is_group:
        return None
    if group is None:
        return None if known.role is Role.OWNER else "refused.group_owner"
    return None if group.farm == known.farm else "refused.other_group"


def _taken(uow: UnitOfWork, payload: str, now: dt.datetime, farm: int | None) -> Invite | None:
    """Use an invite up; one to the farm that the person is of already stays good for somebody else."""
    invite = uow.people.take_invite(payload, now) if _TOKEN.fullmatch(payload) else None
    if invite is not None and invite.farm == farm:
        uow.people.put_invite(invite)
        return None
    return invite


def _with_language(uow: UnitOfWork, member: Member, incoming: Incoming) -> Member:
    """Take note of the language that a person's service tells, where it has told none so far."""
    code = speaking.code_of(incoming.sender.language)
    if member.language or not code:
        return member
    told = msgspec.structs.replace(member, language=code)
    uow.people.put(told)
    return told


def _is_untouched(uow: UnitOfWork, member: Member) -> bool:
    """Say whether nothing was ever told to a person's farm: it was founded by a hello on the way to another one."""
    return not any(entry.by for entry in uow.journal.since(member.farm))


def _founded(uow: UnitOfWork, incoming: Incoming, now: dt.datetime) -> Arrival:
    farm = uow.farms.found(now)
    return msgspec.structs.replace(_joined(uow, incoming, farm, Role.OWNER), is_founder=True)


def _joined(uow: UnitOfWork, incoming: Incoming, farm: int, role: Role) -> Arrival:
    uow.farms.lock(farm)  # no two get the same name
    name = _unique(incoming.sender.name, {m.name for m in uow.people.members(farm)} | former_names())
    member = Member(
        address=incoming.sender.address,
        farm=farm,
        name=name,
        role=role,
        language=speaking.code_of(incoming.sender.language),
    )
    uow.people.put(member)
    return Arrival(member=member, is_new=True, is_new_chat=_add_chat(uow, incoming, farm))


def _unique(name: str, taken: set[str]) -> str:
    """Give a name that nobody else of the farm has."""
    wanted = " ".join(name.split())[:40] or "Someone"
    number = 2
    found = wanted
    while found in taken:
        found, number = f"{wanted} {number}", number + 1
    return found


def _add_chat(uow: UnitOfWork, incoming: Incoming, farm: int) -> bool:
    """Let a farm's reminders go to a chat; a group becomes the farm's when one of its people speaks to it there."""
    known = uow.people.chat(incoming.chat)
    is_elsewhere = known is not None and known.farm != farm and not incoming.is_group
    if (known is not None and not is_elsewhere) or (incoming.is_group and not incoming.is_addressed):
        return False
    uow.people.put_chat(Chat(address=incoming.chat, farm=farm, is_group=incoming.is_group))
    return True


def invite(uow: UnitOfWork, member: Member, now: dt.datetime, role: Role = Role.HAND) -> str:
    """Make an invite and give its token."""
    token = secrets.token_urlsafe(TOKEN_BYTES)
    uow.people.put_invite(Invite(token=token, farm=member.farm, role=role, expires_at=now + INVITE_GOOD_FOR))
    return token


def part(uow: UnitOfWork, farm: int, name: str) -> None:
    """Let a person be of a farm no more; what they wrote stays.

    Invites that are still open go, too: they may be in that person's hands.
    """
    member = next((m for m in uow.people.members(farm) if m.name == name), None)
    if member is not None:
        uow.people.remove(member.address)
        uow.people.remove_chat(member.address)
    uow.people.revoke_invites(farm)


def reminder_chats(
    chats: Sequence[Chat], people: Sequence[Member] = (), on_duty: Collection[str] | None = None
) -> Sequence[Chat]:
    """Give the chats of a farm that reminders go to: its groups, or, without one, the own chats of those on duty.

    All of them where none of those on duty has a chat of their own, and where nobody said who is.
    """
    groups = [c for c in chats if c.is_group]
    if groups or on_duty is None:
        return groups or chats
    resting = {m.address for m in people if m.name not in on_duty}
    return [c for c in chats if c.address not in resting] or chats
