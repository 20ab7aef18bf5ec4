"""What handling claimed messages asks for, read in a few statements for all of them."""

from collections.abc import Collection
from typing import Any

import sqlalchemy as sa

from bot.ports.messages import Incoming
from bot.ports.stores import Chat, Member
from bot.storage import tables
from bot.storage.session import Ahead, Session
from bot.storage.sql_journal import OF_EVENT, event_of
from bot.storage.sql_people import each

_MEMBERS, _CHATS, _DIALOGS = tables.members.c, tables.chats.c, tables.dialogs.c
_FARMS, _EVENTS = tables.farms.c, tables.events.c
_WANTED: sa.BindParameter[list[Any]] = sa.bindparam("wanted", expanding=True)
_MEMBERS_AT = sa.select(*(_MEMBERS[name] for name in Member.__struct_fields__)).where(_MEMBERS.address.in_(_WANTED))
_CHATS_AT = sa.select(*(_CHATS[name] for name in Chat.__struct_fields__)).where(_CHATS.address.in_(_WANTED))
_DIALOGS_IN = sa.select(_DIALOGS.chat, _DIALOGS.address, _DIALOGS.state).where(_DIALOGS.chat.in_(_WANTED))
# Each takes the farms in the same order, so that no two wait for one another.
_LOCK = sa.select(_FARMS.id, _FARMS.edition).where(_FARMS.id.in_(_WANTED)).order_by(_FARMS.id).with_for_update()
_ANY = tables.events.alias("any_event").c
_NEWEST = sa.select(sa.func.max(_ANY.number)).where(_ANY.farm == _FARMS.id).correlate(tables.farms).scalar_subquery()
_LAST = (
    sa.select(_EVENTS.farm, *OF_EVENT)
    .select_from(tables.farms)
    .join(tables.events, sa.and_(_EVENTS.farm == _FARMS.id, _EVENTS.number == _NEWEST))
    .where(_FARMS.id.in_(_WANTED))
)


def read_ahead(session: Session, claimed: Collection[Incoming]) -> None:
    """Read who speaks, where and in which dialog, and lock their farms."""
    ahead = Ahead()
    senders, places = sorted({one.sender.address for one in claimed}), sorted({one.chat for one in claimed})
    members = each(Member, session.execute(_MEMBERS_AT, {"wanted": senders}))
    ahead.members = dict.fromkeys(senders) | {member.address: member for member in members}
    farms = sorted({member.farm for member in members})
    if farms:
        locked = session.execute(_LOCK, {"wanted": farms})
        ahead.editions = dict.fromkeys(farms) | {row.id: row.edition for row in locked}
        # A statement of its own, which sees what the lock was waiting for.
        ahead.last = {farm: event_of(row) for farm, *row in session.execute(_LAST, {"wanted": farms})}
    chats = each(Chat, session.execute(_CHATS_AT, {"wanted": places}))
    ahead.chats = dict.fromkeys(places) | {chat.address: chat for chat in chats}
    ahead.dialogs = dict.fromkeys((one.chat, one.chat if one.is_group else one.sender.address) for one in claimed)
    for chat, address, state in session.execute(_DIALOGS_IN, {"wanted": places}):
        ahead.dialogs[chat, address] = state
    session.ahead = ahead
