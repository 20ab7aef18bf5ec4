"""Open dialogs in a database."""

import sqlalchemy as sa

from bot.storage import tables
from bot.storage.inserts import put

_DIALOGS = tables.dialogs.c
_LOAD = sa.select(_DIALOGS.state).where(
    _DIALOGS.chat == sa.bindparam("in_chat"), _DIALOGS.address == sa.bindparam("of_address")
)


class SqlDialogs:
    """A row a chat and person."""

    def __init__(self, connection: sa.Connection) -> None:
        self._connection = connection

    def load(self, chat: str, address: str) -> bytes | None:
        """Give what was saved last."""
        return self._connection.scalar(_LOAD, {"in_chat": chat, "of_address": address})

    def save(self, chat: str, address: str, state: bytes) -> None:
        """Keep it in place of what was saved before."""
        put(self._connection, tables.dialogs, chat=chat, address=address, state=state)
