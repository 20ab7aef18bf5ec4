"""People, chats and invites in a database."""

import datetime as dt
from collections.abc import Collection, Iterable
from typing import Any, TypeVar

import msgspec
import sqlalchemy as sa

from bot.ports.stores import Chat, Invite, Member
from bot.storage import erasing, tables
from bot.storage.inserts import put
from bot.storage.session import Session

_Kept = TypeVar("_Kept", Member, Chat, Invite)
_OfFarm = TypeVar("_OfFarm", Member, Chat)

_ADDRESS = sa.bindparam("of_address", type_=sa.Text)
_FARM = sa.bindparam("of_farm", type_=sa.Integer)
_OF_MEMBER = [tables.members.c[name] for name in Member.__struct_fields__]
_OF_CHAT = [tables.chats.c[name] for name in Chat.__struct_fields__]
_OF_INVITE = [tables.invites.c[name] for name in Invite.__struct_fields__]
_MEMBER = sa.select(*_OF_MEMBER).where(tables.members.c.address == _ADDRESS)
_MEMBERS = sa.select(*_OF_MEMBER).where(tables.members.c.farm == _FARM).order_by(tables.members.c.address)
_REMOVE = sa.delete(tables.members).where(tables.members.c.address == _ADDRESS)
_CHAT = sa.select(*_OF_CHAT).where(tables.chats.c.address == _ADDRESS)
_CHATS = sa.select(*_OF_CHAT).where(tables.chats.c.farm == _FARM).order_by(tables.chats.c.address)
_FARMS: sa.BindParameter[list[int]] = sa.bindparam("farms", expanding=True)
_MEMBERS_OF = sa.select(*_OF_MEMBER).where(tables.members.c.farm.in_(_FARMS)).order_by(tables.members.c.address)
_CHATS_OF = sa.select(*_OF_CHAT).where(tables.chats.c.farm.in_(_FARMS)).order_by(tables.chats.c.address)
_REMOVE_CHAT = sa.delete(tables.chats).where(tables.chats.c.address == _ADDRESS)
_MOVE_CHAT = sa.update(tables.chats).where(tables.chats.c.address == _ADDRESS).values(address=sa.bindparam("new"))
_INVITE = sa.select(*_OF_INVITE).where(
    tables.invites.c.token == sa.bindparam("of_token"),
    tables.invites.c.expires_at > sa.bindparam("now", type_=tables.UtcTime),
)
_REVOKE = sa.delete(tables.invites).where(tables.invites.c.farm == _FARM)
_PRUNE_INVITES = sa.delete(tables.invites).where(
    tables.invites.c.expires_at <= sa.bindparam("now", type_=tables.UtcTime)
)
_USE_UP = sa.delete(tables.invites).where(tables.invites.c.token == sa.bindparam("of_token"))


class SqlPeople:
    """A row a person, a chat, an open invite."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def member(self, address: str) -> Member | None:
        """Find the person who writes from an address."""
        if address in self._session.ahead.members:
            return self._session.ahead.members[address]
        return _first(Member, self._session.execute(_MEMBER, {"of_address": address}))

    def members(self, farm: int) -> list[Member]:
        """Give the people of a farm."""
        return _each(Member, self._session.execute(_MEMBERS, {"of_farm": farm}))

    def members_of(self, farms: Collection[int]) -> dict[int, list[Member]]:
        """Give the people of each farm."""
        return _by_farm(farms, _each(Member, self._session.execute(_MEMBERS_OF, {"farms": list(farms)})))

    def put(self, member: Member) -> None:
        """Add a person or change what is kept of them."""
        put(self._session, tables.members, **msgspec.structs.asdict(member))

    def remove(self, address: str) -> None:
        """Take a person out."""
        self._session.execute(_REMOVE, {"of_address": address})

    def erase(self, address: str, at: dt.datetime) -> None:
        """Take a person out with their own chat, all dialogs that hold their words, and messages from and to them."""
        erasing.erase_person(self._session, address, at)

    def chat(self, address: str) -> Chat | None:
        """Find a chat."""
        if address in self._session.ahead.chats:
            return self._session.ahead.chats[address]
        return _first(Chat, self._session.execute(_CHAT, {"of_address": address}))

    def chats(self, farm: int) -> list[Chat]:
        """Give the chats that a farm's reminders go to."""
        return _each(Chat, self._session.execute(_CHATS, {"of_farm": farm}))

    def chats_of(self, farms: Collection[int]) -> dict[int, list[Chat]]:
        """Give the chats that each farm's reminders go to."""
        return _by_farm(farms, _each(Chat, self._session.execute(_CHATS_OF, {"farms": list(farms)})))

    def put_chat(self, chat: Chat) -> None:
        """Add a chat."""
        put(self._session, tables.chats, **msgspec.structs.asdict(chat))

    def remove_chat(self, address: str) -> None:
        """Take a chat out: it was deleted, or the assistant was blocked there."""
        self._session.execute(_REMOVE_CHAT, {"of_address": address})

    def move_chat(self, old: str, new: str) -> None:
        """Give a chat another address, where it is known; one that is known by both is kept once."""
        if self.chat(new) is None:
            self._session.execute(_MOVE_CHAT, {"of_address": old, "new": new})
        elif old != new:
            self.remove_chat(old)

    def put_invite(self, invite: Invite) -> None:
        """Keep an invite."""
        put(self._session, tables.invites, **msgspec.structs.asdict(invite))

    def take_invite(self, token: str, now: dt.datetime) -> Invite | None:
        """Give an invite that is still good and use it up."""
        invite = _first(Invite, self._session.execute(_INVITE, {"of_token": token, "now": now}))
        if invite is None or self._session.execute(_USE_UP, {"of_token": token}).rowcount == 0:
            return None  # unknown, too late, or another process was faster
        return invite

    def revoke_invites(self, farm: int) -> None:
        """Make all open invites to a farm useless."""
        self._session.execute(_REVOKE, {"of_farm": farm})

    def prune_invites(self, before: dt.datetime) -> int:
        """Forget the invites that were good until a time gone by, and give how many."""
        return self._session.execute(_PRUNE_INVITES, {"now": before}).rowcount


def _by_farm(farms: Iterable[int], kept: Iterable[_OfFarm]) -> dict[int, list[_OfFarm]]:
    found: dict[int, list[_OfFarm]] = {farm: [] for farm in farms}
    for one in kept:
        found[one.farm].append(one)
    return found


def _each(kind: type[_Kept], rows: Iterable[sa.Row[Any]]) -> list[_Kept]:
    return [record(kind, row) for row in rows]


def record(kind: type[_Kept], row: Iterable[Any]) -> _Kept:
    """Read a row that has a record's fields in its order."""
    return msgspec.convert(dict(zip(kind.__struct_fields__, row, strict=True)), kind)


def _first(kind: type[_Kept], rows: Iterable[sa.Row[Any]]) -> _Kept | None:
    return next(iter(_each(kind, rows)), None)
