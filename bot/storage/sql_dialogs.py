"""Open dialogs in a database."""

import sqlalchemy as sa

from bot.storage import tables
from bot.storage.inserts import put_later
from bot.storage.session import Session

_DIALOGS = tables.dialogs.c
_THIS = sa.and_(_DIALOGS.chat == sa.bindparam("in_chat"), _DIALOGS.address == sa.bindparam("of_address"))
_LOAD = sa.select(_DIALOGS.state).where(_THIS)
_OF_CHAT = sa.select(_DIALOGS.address).where(_DIALOGS.chat == sa.bindparam("in_chat"))
_MOVE = (
    sa.update(tables.dialogs).where(_THIS).values(chat=sa.bindparam("new_chat"), address=sa.bindparam("new_address"))
)
_REMOVE = sa.delete(tables.dialogs).where(_THIS)


class SqlDialogs:
    """A row a chat and person."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def load(self, chat: str, address: str) -> bytes | None:
        """Give what was saved last."""
        if (chat, address) in self._session.ahead.dialogs:
            return self._session.ahead.dialogs[chat, address]
        state: bytes | None = self._session.scalar(_LOAD, {"in_chat": chat, "of_address": address})
        return state

    def save(self, chat: str, address: str, state: bytes) -> None:
        """Keep it in place of what was saved before."""
        known = self._session.ahead.dialogs
        if known.get((chat, address)) == state:
            return
        if (chat, address) in known:
            known[chat, address] = state
        put_later(self._session, tables.dialogs, chat=chat, address=address, state=state)

    def move_chat(self, old: str, new: str) -> None:
        """Give a chat another address; where something is open under the new one, that stays."""
        if old == new:
            return
        for address in self._session.scalars(_OF_CHAT, {"in_chat": old}).all():
            this = {"in_chat": old, "of_address": address}
            keeper = new if address == old else address  # in a group the dialog is the chat's own
            if self.load(new, keeper) is None:
                self._session.execute(_MOVE, this | {"new_chat": new, "new_address": keeper})
            else:
                self._session.execute(_REMOVE, this)
