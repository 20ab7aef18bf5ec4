"""Records for the contracts, full and with sane defaults."""

import datetime as dt

from bot.ports.messages import Incoming, Outgoing, Sender
from core.journal import facts
from core.journal.event import Event
from tests.fakes import SPRING

NOON = SPRING
CHAT = "telegram:-100"
ADDRESS = "telegram:7"


def after(**span):
    """A time so long after noon."""
    return NOON + dt.timedelta(**span)


def an_event(number, body=None, **fields):
    defaults = {"said_at": NOON, "happened_at": NOON, "by": "Noor", "message": f"{CHAT}:{number}"}
    return Event(number=number, body=body or facts.Chirp(bin="B1"), **(defaults | fields))


def an_incoming(key="telegram:update:1", **fields):
    defaults = {"chat": CHAT, "sender": Sender(address=ADDRESS, name="Noor"), "sent_at": NOON, "text": "bin 1 chirps"}
    return Incoming(key=key, **(defaults | fields))


def an_outgoing(key="reply:1", chat=CHAT, **fields):
    return Outgoing(key=key, chat=chat, **({"text": "Noted."} | fields))
