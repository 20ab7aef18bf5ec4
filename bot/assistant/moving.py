"""A chat that gets another address: a group that became a supergroup.

Not for finding out that it did: a channel tells, of its own accord or when a message cannot be sent.
"""

import datetime as dt

from msgspec.structs import replace

from bot.assistant import buttons
from bot.ports.messages import Outgoing
from bot.ports.stores import UnitOfWork


def move_chat(uow: UnitOfWork, old: str, new: str, now: dt.datetime) -> None:
    """Take along what a chat has: that it is a farm's, what is open in it, what waits to be sent to it.

    It may be told more than once, and before or after what people say there.
    """
    uow.people.move_chat(old, new)
    uow.dialogs.move_chat(old, new)
    chat = uow.people.chat(new)
    farm = None if chat is None else chat.farm
    uow.outbox.redirect(old, now, lambda outgoing: _readdressed(outgoing, new, farm))


def _readdressed(outgoing: Outgoing, new: str, farm: int | None) -> Outgoing:
    if farm is None:
        return replace(outgoing, chat=new)
    bonds = buttons.bond(farm, outgoing.chat), buttons.bond(farm, new)
    rows = tuple(tuple(replace(b, data=buttons.rebound(b.data, *bonds)) for b in row) for row in outgoing.buttons)
    return replace(outgoing, chat=new, buttons=rows)
