"""Taking a farm, or one person, out of all tables for good.

Not for the names in a journal that stays: the assistant writes those anew.
"""

import datetime as dt

import sqlalchemy as sa

from bot.storage import tables
from bot.storage.session import Session

_FARM = sa.bindparam("of_farm", type_=sa.Integer)
_ADDRESS = sa.bindparam("of_address", type_=sa.Text)
_AT = sa.bindparam("at", type_=tables.UtcTime)
_MEMBERS, _CHATS, _INBOX = tables.members.c, tables.chats.c, tables.inbox.c
_OUTBOX, _DIALOGS = tables.outbox.c, tables.dialogs.c

_ITS_PEOPLE = sa.select(_MEMBERS.address).where(_MEMBERS.farm == _FARM)
_ITS_CHATS = sa.union(_ITS_PEOPLE, sa.select(_CHATS.address).where(_CHATS.farm == _FARM))
_THEIR_GROUPS = sa.select(_CHATS.address).where(
    _CHATS.is_group,
    _CHATS.farm.in_(sa.select(_MEMBERS.farm).where(_MEMBERS.address == _ADDRESS)),
)


def _emptied(*whose: sa.ColumnElement[bool]) -> sa.Update:
    """Empty messages as handled ones are: the key alone stays, so that one that comes again is known."""
    return (
        sa.update(tables.inbox)
        .where(sa.or_(*whose), _INBOX.body != "")
        .values(done_at=sa.func.coalesce(_INBOX.done_at, _AT), failure=None, body="", chat="", sender="", farm=None)
    )


_OF_FARM = (
    _emptied(_INBOX.farm == _FARM, _INBOX.sender.in_(_ITS_PEOPLE), _INBOX.chat.in_(_ITS_CHATS)),
    sa.delete(tables.outbox).where(_OUTBOX.chat.in_(_ITS_CHATS)),
    sa.delete(tables.dialogs).where(sa.or_(_DIALOGS.chat.in_(_ITS_CHATS), _DIALOGS.address.in_(_ITS_PEOPLE))),
    *(sa.delete(table).where(table.c.farm == _FARM) for table in (tables.invites, tables.chats, tables.members)),
    sa.delete(tables.events).where(tables.events.c.farm == _FARM),
    sa.delete(tables.farms).where(tables.farms.c.id == _FARM),
)
_OF_PERSON = (
    _emptied(_INBOX.sender == _ADDRESS, _INBOX.chat == _ADDRESS),
    sa.delete(tables.outbox).where(_OUTBOX.chat == _ADDRESS),
    sa.delete(tables.dialogs).where(
        sa.or_(_DIALOGS.address == _ADDRESS, _DIALOGS.chat == _ADDRESS, _DIALOGS.chat.in_(_THEIR_GROUPS))
    ),
    sa.delete(tables.chats).where(_CHATS.address == _ADDRESS),
    sa.delete(tables.members).where(_MEMBERS.address == _ADDRESS),
)


def erase_farm(session: Session, farm: int, at: dt.datetime) -> None:
    """Delete all that is kept of a farm."""
    for statement in _OF_FARM:
        session.execute(statement, {"of_farm": farm, "at": at} if statement is _OF_FARM[0] else {"of_farm": farm})


def erase_person(session: Session, address: str, at: dt.datetime) -> None:
    """Delete all that is kept of a person but what the journal of their farm has."""
    for statement in _OF_PERSON:
        given = {"of_address": address, "at": at} if statement is _OF_PERSON[0] else {"of_address": address}
        session.execute(statement, given)
