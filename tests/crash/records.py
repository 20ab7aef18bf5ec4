"""What the processes have left in the database."""

from dataclasses import dataclass

import sqlalchemy as sa

from bot.delivery import OVERTAKEN
from bot.storage import tables
from core.journal import codec
from core.journal.kinds import Chore
from core.journal.notices import Asked, Notice
from core.journal.wants import Done

PREFIX = "telegram:"


@dataclass(frozen=True, kw_only=True)
class Entry:
    """An event: which message it is of, what it is, and the text that is stored of it."""

    number: int
    message: str
    body: object
    text: str

    @property
    def is_told(self):
        """Whether it is what a person told, and not what the assistant adds to that."""
        return not isinstance(self.body, Notice | Done)

    @property
    def asks_for(self):
        """Name the bin whose tray was asked for the first time; None for anything else."""
        body = self.body
        is_first = isinstance(body, Asked) and body.chore is Chore.PULL_TRAY and body.step == 0
        return body.bin if is_first else None


@dataclass(frozen=True, kw_only=True)
class Post:
    """A message in the outbox."""

    chat: int
    key: str
    is_sent: bool
    is_overtaken: bool = False  # a reminder that came to nothing before it could leave

    @property
    def asked(self):
        """Give the number of the event that the reminder is of; None for an answer."""
        kind, *_, number = self.key.split(":")
        return int(number) if kind == "push" else None


@dataclass(frozen=True, kw_only=True)
class Records:
    """The journals, the outbox, and what the inbox still holds."""

    journals: dict[int, list[Entry]]  # by a chat of the farm; events in the order of their numbers
    posts: list[Post]
    waiting: int  # messages that are not handled
    failed: int  # messages that were given up

    def since(self, earlier):
        """Leave out the events and posts that were there earlier."""
        journals = {chat: entries[len(earlier.journals.get(chat, ())) :] for chat, entries in self.journals.items()}
        known = {(post.chat, post.key) for post in earlier.posts}
        posts = [post for post in self.posts if (post.chat, post.key) not in known]
        return Records(journals=journals, posts=posts, waiting=self.waiting, failed=self.failed)


def read(url):
    """Read a database as it is."""
    engine = sa.create_engine(url, poolclass=sa.pool.NullPool)
    with engine.connect() as connection:
        journals = {}
        for farm, address in connection.execute(sa.select(tables.members.c.farm, tables.members.c.address)):
            journals[_number(address)] = _journal(connection, farm)
        box = tables.outbox.c
        posts = [
            Post(chat=_number(chat), key=key, is_sent=reference is not None, is_overtaken=failure == OVERTAKEN)
            for chat, key, reference, failure in connection.execute(
                sa.select(box.chat, box.key, box.reference, box.failure)
            )
        ]
        inbox = tables.inbox.c
        waiting = _count(connection, tables.inbox, inbox.done_at.is_(None))
        failed = _count(connection, tables.inbox, inbox.done_at.is_not(None) & inbox.failure.is_not(None))
    return Records(journals=journals, posts=posts, waiting=waiting, failed=failed)


def is_idle(url):
    """Say whether nothing waits in the inbox or the outbox."""
    engine = sa.create_engine(url, poolclass=sa.pool.NullPool)
    with engine.connect() as connection:
        return not any(_count(connection, box, box.c.done_at.is_(None)) for box in (tables.inbox, tables.outbox))


def _journal(connection, farm):
    events = tables.events.c
    rows = connection.execute(
        sa.select(events.number, events.message, events.body).where(events.farm == farm).order_by(events.number)
    )
    return [Entry(number=number, message=message, body=codec.decode(body), text=body) for number, message, body in rows]


def _count(connection, table, condition):
    return connection.scalar(sa.select(sa.func.count()).select_from(table).where(condition))


def _number(address):
    return int(address.removeprefix(PREFIX))
