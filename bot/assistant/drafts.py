"""What the messages of one unit of work leave to be written, written in one go at its end.

Not for what a later one of them has to see: each is of another farm, and its records are in the journal at once.
"""

import datetime as dt

from bot.ports.messages import Outgoing
from bot.ports.stores import UnitOfWork


class Drafts:
    """Answers, open dialogs, the farms' next times, and what is handled."""

    def __init__(self) -> None:
        self.answers: list[Outgoing] = []
        self.dialogs: list[tuple[str, str, bytes]] = []  # chat, address, state
        self.next_dues: dict[int, dt.datetime | None] = {}
        self.handled: list[int] = []  # messages, by their ids in the inbox

    def write(self, uow: UnitOfWork, now: dt.datetime) -> None:
        """Put all of it into the stores."""
        uow.dialogs.save_all(self.dialogs)
        uow.farms.set_next_dues(self.next_dues)
        uow.outbox.post_all(self.answers, now)
        uow.inbox.mark_all_handled(self.handled, now)
