"""A chat that gets another address: a group that became a supergroup.

Not for finding out that it did: a channel tells, of its own accord or when a message cannot be sent.
"""

import datetime as dt

from msgspec.structs import replace

from bot.ports.messages import Outgoing
from bot.ports.stores import UnitOfWork


def move_chat(uow: UnitOfWork, old: str, new: str, now: dt.datetime) -> None:
    """Take along what a chat has: that it is a farm's, what is open in it, what waits to be sent to it.

    It may be told more than once and in any order with what people say there; so it is done where it is told.
    """

    def readdressed(outgoing: Outgoing) -> Outgoing:
        return replace(outgoing, chat=new)

    uow.people.move_chat(old, new)
    uow.dialogs.move_chat(old, new)
    uow.outbox.redirect(old, now, readdressed)
