"""What handling claimed messages asks for, read in a few statements for all of them."""

from collections.abc import Collection
from typing import Any

import sqlalchemy as sa

from bot.ports.messages import Incoming
from bot.ports.stores import Chat, Member
from bot.storage import tables
from bot.storage.session import Ahead, Session
from bot.storage.sql_journal import OF_EVENT, event_of
from bot.storage.sql_people import record

_MEMBERS, _CHATS, _DIALOGS = tables.members.c, tables.chats.c, tables.dialogs.c
_FARMS, _EVENTS = tables.farms.c, tables.events.c
_WANTED: sa.BindParameter[list[Any]] = sa.bindparam("wanted", expanding=True)
# Each takes the farms in the same order, so that no two wait for one another.
_LOCK = (
    sa.select(*(_MEMBERS[name] for name in Member.__struct_fields__), _FARMS.edition)
    .join(tables.farms, _FARMS.id == _MEMBERS.farm)
    .where(_MEMBERS.address.in_(_WANTED))
    .order_by(_FARMS.id)
    .with_for_update(of=tables.farms)
)
_PLACES = (
    sa.select(*(_CHATS[name] for name in Chat.__struct_fields__), _DIALOGS.address.label("keeper"), _DIALOGS.state)
    .join(tables.dialogs, _DIALOGS.chat == _CHATS.address, isouter=True)
    .where(_CHATS.address.in_(_WANTED))
)
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
    ahead.members, ahead.chats = dict.fromkeys(senders), dict.fromkeys(places)
    for *row, edition in session.execute(_LOCK, {"wanted": senders}):
        member = record(Member, row)
        ahead.members[member.address] = member
        ahead.editions[member.farm] = edition
    if ahead.editions:
        # A statement of its own, which sees what the lock was waiting for.
        last = session.execute(_LAST, {"wanted": sorted(ahead.editions)})
        ahead.last = {farm: event_of(row) for farm, *row in last}
    for *row, keeper, state in session.execute(_PLACES, {"wanted": places}):
        chat = record(Chat, row)
        ahead.chats[chat.address] = chat
        if keeper is not None:
            ahead.dialogs[chat.address, keeper] = state
    for one in claimed:  # of a chat that is not known a dialog may be kept all the same
        if ahead.chats[one.chat] is not None:
            ahead.dialogs.setdefault((one.chat, one.chat if one.is_group else one.sender.address), None)
    session.ahead = ahead
