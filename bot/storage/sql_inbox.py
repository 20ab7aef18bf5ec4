"""The inbox in a database."""

import datetime as dt
from collections.abc import Collection, Sequence

import msgspec
import sqlalchemy as sa

from bot.ports.messages import Incoming
from bot.ports.stores import Received
from bot.storage import tables
from bot.storage.inserts import insert_once
from bot.storage.reading_ahead import read_ahead
from bot.storage.session import Session

_INBOX = tables.inbox.c
_EARLIER = tables.inbox.alias("earlier").c
_PASSED_OVER: sa.BindParameter[list[str]] = sa.bindparam("passed_over", expanding=True)
_AT = sa.bindparam("at", type_=tables.UtcTime)

# The farm of the person who wrote, else of the chat; nobody knows the farm of a stranger before they are let in.
_FARM = sa.func.coalesce(
    sa.select(tables.members.c.farm).where(tables.members.c.address == sa.bindparam("from_address")).scalar_subquery(),
    sa.select(tables.chats.c.farm).where(tables.chats.c.address == sa.bindparam("in_chat")).scalar_subquery(),
)
_COMPUTED = (("farm", _FARM),)
_THIS = sa.update(tables.inbox).where(_INBOX.id == sa.bindparam("received"), _INBOX.done_at.is_(None))
# The key alone is kept, so that the message is known should it come again; who wrote what is not.
_HANDLED = _THIS.values(done_at=_AT, failure=None, body="", chat="", sender="", farm=None)
_FAILED = _THIS.values(done_at=_AT, tries=_INBOX.tries + 1, failure=sa.bindparam("reason"))
_PRUNE = sa.delete(tables.inbox).where(_INBOX.done_at < _AT, _INBOX.failure.is_(None))

_ENCODER = msgspec.json.Encoder()
_DECODER = msgspec.json.Decoder(Incoming)


def _claim(
    *more: sa.ColumnElement[bool], of_earlier: tuple[sa.ColumnElement[bool], ...] = ()
) -> sa.Select[int, str, int]:
    """Select what waits and is first in line; an earlier one that is claimed by another worker still counts as waiting.

    Locked rows are skipped, never waited for. One that was handled since this statement began fails its conditions
    when it is looked at again to be locked, and comes out neither.
    """
    earlier = (_EARLIER.done_at.is_(None), _EARLIER.id < _INBOX.id, *of_earlier)
    return (
        sa.select(_INBOX.id, _INBOX.body, _INBOX.tries)
        .where(_INBOX.done_at.is_(None), *more)
        .where(~sa.exists().where(_EARLIER.chat == _INBOX.chat, *earlier))
        .where(~sa.exists().where(_EARLIER.farm == _INBOX.farm, *earlier))
        .order_by(_INBOX.id)
        .limit(sa.bindparam("most"))
        .with_for_update(of=tables.inbox, skip_locked=True)
    )


_CLAIM = _claim()
_CLAIM_PASSING_OVER = _claim(
    _INBOX.sender.not_in(_PASSED_OVER), of_earlier=(_EARLIER.sender.not_in(_PASSED_OVER),)
)  # fmt: skip


def _row(incoming: Incoming, at: dt.datetime) -> dict[str, object]:
    sender = incoming.sender.address
    return {
        "key": incoming.key,
        "chat": incoming.chat,
        "sender": sender,
        "body": _ENCODER.encode(incoming).decode(),
        "stored_at": at,
        "tries": 0,
        "from_address": sender,
        "in_chat": incoming.chat,
    }


class SqlInbox:
    """A row a message, its key unique."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def store(self, incoming: Incoming, at: dt.datetime) -> bool:
        """Keep a message; False where its key is known already."""
        return self.store_all([incoming], at) == 1

    def store_all(self, messages: Sequence[Incoming], at: dt.datetime) -> int:
        """Keep messages, and give how many had keys that were not known already."""
        return insert_once(self._session, tables.inbox, ("key",), [_row(one, at) for one in messages], _COMPUTED)

    def claim(self, limit: int = 16, *, passing_over: Collection[str] = ()) -> list[Received]:
        """Give what waits, in order of arrival, of each chat and of each farm the first, and keep others from it."""
        given: dict[str, object] = {"most": limit}
        if passing_over:
            given["passed_over"] = list(passing_over)
        rows = self._session.execute(_CLAIM_PASSING_OVER if passing_over else _CLAIM, given)
        claimed = [Received(id=id_, incoming=_DECODER.decode(body), tries=tries) for id_, body, tries in rows]
        if claimed:
            read_ahead(self._session, [one.incoming for one in claimed])
        return claimed

    def mark_handled(self, received: int, at: dt.datetime) -> None:
        """Take one off the list of those that wait."""
        self._session.put_off(_HANDLED, [{"received": received, "at": at}])

    def mark_failed(self, received: int, at: dt.datetime, reason: str, *, give_up: bool) -> bool:
        """Count a failed try; `give_up` takes it off the list, kept for the owner to see. False: it waits no more."""
        given = {"received": received, "at": at if give_up else None, "reason": reason}
        return self._session.execute(_FAILED, given).rowcount == 1

    def prune(self, before: dt.datetime) -> int:
        """Forget the keys of what was handled before a time, and give how many."""
        return self._session.execute(_PRUNE, {"at": before}).rowcount
