"""The outbox in a database."""

import datetime as dt
import functools
from collections.abc import Callable, Collection, Iterable

import msgspec
import sqlalchemy as sa

from bot.ports.messages import Outgoing
from bot.ports.outbox import Waiting
from bot.storage import tables
from bot.storage.inserts import insert_once, insert_once_later
from bot.storage.session import Session

_OUTBOX = tables.outbox.c
_EARLIER = tables.outbox.alias("earlier").c
_NOW = sa.bindparam("now", type_=tables.UtcTime)

# Messages of the same chat that stand before this one in line. A chat's line is by the time that each was meant to
# leave, so that one posted for tonight does not hold back an answer given now.
_BEFORE = sa.and_(
    _EARLIER.chat == _OUTBOX.chat,
    _EARLIER.done_at.is_(None),
    sa.tuple_(_EARLIER.post_at, _EARLIER.id) < sa.tuple_(_OUTBOX.post_at, _OUTBOX.id),
)
_WAITING = (
    sa.select(_OUTBOX.id, _OUTBOX.body, _OUTBOX.post_at, _OUTBOX.tries)
    .where(_OUTBOX.done_at.is_(None), _OUTBOX.leave_at <= _NOW)
    .where(~sa.exists().where(_BEFORE, _EARLIER.leave_at > _NOW))
    .order_by(_OUTBOX.post_at, _OUTBOX.id)
    .limit(sa.bindparam("most"))
)
_THIS = sa.update(tables.outbox).where(_OUTBOX.id == sa.bindparam("waiting"), _OUTBOX.done_at.is_(None))
_AT = sa.bindparam("at", type_=tables.UtcTime)
_KEEP = sa.update(tables.outbox).where(_OUTBOX.id.in_(sa.bindparam("ids", expanding=True))).values(leave_at=_AT)
# What was said stays in the chat and what was recorded in the journal; here it is needed no longer.
_SENT = _THIS.values(
    done_at=_AT,
    reference=sa.bindparam("name"),
    failure=None,
    body="",
    chat=sa.case((_OUTBOX.is_kept, _OUTBOX.chat), else_=""),
)
_RETRY = _THIS.values(leave_at=_AT, tries=_OUTBOX.tries + 1, failure=sa.bindparam("reason"))
_PRUNE_SENT = sa.delete(tables.outbox).where(_OUTBOX.done_at < _AT, _OUTBOX.reference.is_not(None))
_PRUNE_GIVEN_UP = sa.delete(tables.outbox).where(_OUTBOX.done_at < _AT, _OUTBOX.reference.is_(None))
_GIVE_UP = _THIS.values(done_at=_AT, tries=_OUTBOX.tries + 1, failure=sa.bindparam("reason"))
_OF_CHAT = (
    sa.select(_OUTBOX.id, _OUTBOX.body, _OUTBOX.post_at, _OUTBOX.tries)
    .where(_OUTBOX.chat == sa.bindparam("of_chat"), _OUTBOX.done_at.is_(None))
    .order_by(_OUTBOX.post_at, _OUTBOX.id)
)
_POSTED = sa.select(_OUTBOX.id).where(_OUTBOX.chat == sa.bindparam("to_chat"), _OUTBOX.key == sa.bindparam("of_key"))
_CHANGE = _THIS.values(
    chat=sa.bindparam("new_chat"), key=sa.bindparam("new_key"), body=sa.bindparam("new_body"), leave_at=_AT
)
_DROP = sa.delete(tables.outbox).where(_OUTBOX.id == sa.bindparam("waiting"))

_ENCODER = msgspec.json.Encoder()
_DECODER = msgspec.json.Decoder(Outgoing)
_KEYS = ("chat", "key")


@functools.cache
def _first_in_line(channels: tuple[str, ...]) -> sa.ColumnElement[bool]:
    """Hold for the first message of each chat of these channels, of any channel where none is named."""
    is_first = sa.and_(_OUTBOX.done_at.is_(None), ~sa.exists().where(_BEFORE))
    if not channels:
        return is_first
    return sa.and_(is_first, sa.or_(*(_OUTBOX.chat.startswith(f"{name}:", autoescape=True) for name in channels)))


@functools.cache
def _claim(channels: tuple[str, ...], *, pushes: bool) -> sa.Select[int, str, dt.datetime, int]:
    # Only the first in line is ever claimed, so that nobody can get hold of the second meanwhile.
    return (
        sa.select(_OUTBOX.id, _OUTBOX.body, _OUTBOX.post_at, _OUTBOX.tries)
        .where(_first_in_line(channels), _OUTBOX.leave_at <= _NOW, _OUTBOX.is_push if pushes else ~_OUTBOX.is_push)
        .order_by(_OUTBOX.post_at, _OUTBOX.id)
        .limit(sa.bindparam("most"))
        .with_for_update(of=tables.outbox, skip_locked=True)
    )


@functools.cache
def _next_at(channels: tuple[str, ...]) -> sa.Select[dt.datetime]:
    """Select when the first chat goes on."""
    return sa.select(_OUTBOX.leave_at).where(_first_in_line(channels)).order_by(_OUTBOX.leave_at).limit(1)


class SqlOutbox:
    """A row a message, its key unique within the chat."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def post(self, outgoing: Outgoing, at: dt.datetime) -> bool:
        """Put a message out; False where its key was posted to that chat before."""
        return insert_once(self._session, tables.outbox, _KEYS, [_row(outgoing, at)]) == 1

    def post_all(self, messages: Iterable[Outgoing], at: dt.datetime) -> None:
        """Put messages out, each unless its key was posted to that chat before."""
        insert_once_later(self._session, tables.outbox, _KEYS, [_row(outgoing, at) for outgoing in messages])

    def claim(
        self, now: dt.datetime, limit: int, *, until: dt.datetime, channels: Collection[str], pushes: bool
    ) -> list[Waiting]:
        """Give of each chat the first message, if it may leave now, and keep it from others until a time."""
        claim = _claim(tuple(sorted(channels)), pushes=pushes)
        claimed = [_waiting(row) for row in self._session.execute(claim, {"now": now, "most": limit})]
        if claimed:
            self._session.execute(_KEEP, {"ids": [one.id for one in claimed], "at": until})
        return claimed

    def waiting(self, now: dt.datetime, limit: int = 100) -> list[Waiting]:
        """Give what may leave now, in order; of a chat only as far as nothing before it is held back."""
        return [_waiting(row) for row in self._session.execute(_WAITING, {"now": now, "most": limit})]

    def next_at(self, channels: Collection[str] = ()) -> dt.datetime | None:
        """Give the earliest time that a message of these channels, of any where none is named, may leave."""
        at: dt.datetime | None = self._session.scalar(_next_at(tuple(sorted(channels))))
        return at

    def mark_sent(self, waiting: int, at: dt.datetime, reference: str) -> None:
        """Say that a message left; `reference` is the service's own name for it."""
        self._session.put_off(_SENT, [{"waiting": waiting, "at": at, "name": reference}])

    def retry(self, waiting: int, at: dt.datetime, reason: str) -> None:
        """Try again at a later time."""
        self._session.execute(_RETRY, {"waiting": waiting, "at": at, "reason": reason})

    def give_up(self, waiting: int, at: dt.datetime, reason: str) -> None:
        """Stop trying; kept for the owner to see."""
        self._session.execute(_GIVE_UP, {"waiting": waiting, "at": at, "reason": reason})

    def redirect(self, chat: str, at: dt.datetime, changed: Callable[[Outgoing], Outgoing]) -> None:
        """Let what waits for a chat leave from a time on as it is changed, to whatever chat it then names."""
        for waiting in [_waiting(row) for row in self._session.execute(_OF_CHAT, {"of_chat": chat})]:
            outgoing = changed(waiting.outgoing)
            posted = self._session.scalar(_POSTED, {"to_chat": outgoing.chat, "of_key": outgoing.key})
            if posted not in (None, waiting.id):
                self._session.execute(_DROP, {"waiting": waiting.id})
                continue
            row = {
                f"new_{name}": value for name, value in _row(outgoing, at).items() if name in ("chat", "key", "body")
            }
            self._session.execute(_CHANGE, row | {"waiting": waiting.id, "at": at})

    def prune(self, sent_before: dt.datetime, given_up_before: dt.datetime) -> int:
        """Forget what was sent, and what was given up, before a time, and give how many."""
        sent = self._session.execute(_PRUNE_SENT, {"at": sent_before}).rowcount
        return sent + self._session.execute(_PRUNE_GIVEN_UP, {"at": given_up_before}).rowcount


def _row(outgoing: Outgoing, at: dt.datetime) -> dict[str, object]:
    return {
        "key": outgoing.key,
        "chat": outgoing.chat,
        "body": _ENCODER.encode(outgoing).decode(),
        "post_at": at,
        "leave_at": at,
        "tries": 0,
        "is_kept": outgoing.is_kept,
        "is_push": outgoing.is_push,
    }


def _waiting(row: sa.Row[int, str, dt.datetime, int]) -> Waiting:
    id_, body, post_at, tries = row
    return Waiting(id=id_, outgoing=_DECODER.decode(body), post_at=post_at, tries=tries)
