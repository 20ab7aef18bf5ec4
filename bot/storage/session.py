"""One transaction's connection: writes that nobody waits for are put off and made together, reads may be made ahead.

Putting off is seen by nobody: whatever is put off is made before the next statement that is not, and at the end. A
hundred rows written in one go cost a tenth of a hundred statements, over a network a fiftieth.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import msgspec
import sqlalchemy as sa

from bot.ports.stores import Chat, Member
from core.journal.event import Event

Row = Mapping[str, object]
Make = Callable[[sa.Connection, Sequence[Row]], object]


class Ahead(msgspec.Struct, kw_only=True):
    """What was read for messages that were claimed, by all that may be asked for; None: it is not there."""

    members: dict[str, Member | None] = msgspec.field(default_factory=dict)  # by address
    chats: dict[str, Chat | None] = msgspec.field(default_factory=dict)  # by address
    dialogs: dict[tuple[str, str], bytes | None] = msgspec.field(default_factory=dict)  # by chat and address
    editions: dict[int, int | None] = msgspec.field(default_factory=dict)  # of farms that are locked
    last: dict[int, Event] = msgspec.field(default_factory=dict)  # the newest event of a farm that is locked


class Session:
    """A connection within a transaction."""

    def __init__(self, connection: sa.Connection) -> None:
        self._connection = connection
        self._later: dict[object, tuple[Make, list[Row]]] = {}  # by what is to be made
        self.ahead = Ahead()

    @property
    def dialect(self) -> sa.Dialect:
        """The database's dialect."""
        return self._connection.dialect

    def execute(
        self, statement: sa.Executable, given: Row | Sequence[Row] | None = None
    ) -> sa.CursorResult[*tuple[Any, ...]]:
        """Make a statement, and before it what was put off; one that writes outdates what was read ahead."""
        self.flush()
        if statement.is_dml:
            self.ahead = Ahead()
        return self._connection.execute(statement, given)

    def scalar(self, statement: sa.Executable, given: Row | None = None) -> Any:  # noqa: ANN401 - any column's value
        """Give the first value that a statement gives."""
        self.flush()
        return self._connection.scalar(statement, given)

    def scalars(self, statement: sa.Executable, given: Row | None = None) -> sa.ScalarResult[Any]:
        """Give the first value of each row that a statement gives."""
        self.flush()
        return self._connection.scalars(statement, given)

    def put_off(self, statement: sa.Executable, rows: Sequence[Row]) -> None:
        """Have a statement made with these rows, once something else is asked for or the transaction ends."""
        if rows:
            self.put_off_to(statement, lambda connection, several: connection.execute(statement, several), rows)

    def put_off_to(self, what: object, make: Make, rows: Sequence[Row]) -> None:
        """Have rows handed to `make`, together with all others that are put off to the same."""
        self._later.setdefault(what, (make, []))[1].extend(rows)

    def flush(self) -> None:
        """Make what was put off."""
        while self._later:
            later, self._later = self._later, {}
            for make, rows in later.values():
                make(self._connection, rows)
