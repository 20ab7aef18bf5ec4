"""An erasure that somebody asked for, within the unit of work of their message.

The journal is only ever added to but for this: a person may be forgotten, and a farm. Not for asking: own_data.
"""

import datetime as dt
from collections.abc import Sequence

from bot.ports.stores import UnitOfWork
from core.journal.erasure import without
from core.journal.event import Event


def take_out(uow: UnitOfWork, farm: int, events: Sequence[Event], name: str, former: str, now: dt.datetime) -> None:
    """Forget a person of a farm; who keeps what these events have made has to make it anew.

    Invites that are still open go, too: they may be in that person's hands.
    """
    member = next((m for m in uow.people.members(farm) if m.name == name), None)
    anew = (without(entry, name, former, member.address if member is not None else "") for entry in events)
    uow.journal.rewrite(farm, [new for new, old in zip(anew, events, strict=True) if new != old])
    if member is not None:
        uow.people.erase(member.address, now)
    uow.people.revoke_invites(farm)
