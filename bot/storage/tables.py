"""The tables as they are now.

How a database of an earlier version gets there: migrations. Who reads and writes them: one module a role beside this.
"""

import datetime as dt

import sqlalchemy as sa

_EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
_MICROSECOND = dt.timedelta(microseconds=1)


class UtcTime(sa.TypeDecorator[dt.datetime]):
    """A moment, kept as whole microseconds since 1970: exact, and sorted alike on every database."""

    impl = sa.BigInteger
    cache_ok = True

    def process_bind_param(self, value: dt.datetime | None, dialect: sa.Dialect) -> int | None:
        """Refuse a time without a zone, which could be any of forty moments."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"no time zone: {value.isoformat()}")
        return (value - _EPOCH) // _MICROSECOND

    def process_result_value(self, value: int | None, dialect: sa.Dialect) -> dt.datetime | None:
        """Give an aware time in UTC."""
        return None if value is None else moment(value)


def moment(microseconds: int) -> dt.datetime:
    """Give the moment so long after the beginning of 1970."""
    return _EPOCH + dt.timedelta(microseconds=microseconds)


METADATA = sa.MetaData(
    naming_convention={  # names for all, so that a later migration can speak of each
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# SQLite counts rows by itself only where the type is exactly INTEGER.
_ROW_ID = sa.BigInteger().with_variant(sa.Integer, "sqlite")

farms = sa.Table(
    "farms",
    METADATA,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("founded_at", UtcTime, nullable=False),
    sa.Column("next_due", UtcTime, index=True),  # when its rules next have something to say
    sa.Column("edition", sa.Integer, nullable=False, server_default="0"),  # how often its past was rewritten
    sqlite_autoincrement=True,  # the id of a farm that is gone is never another's
)

events = sa.Table(
    "events",
    METADATA,
    sa.Column("farm", sa.ForeignKey("farms.id"), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("said_at", UtcTime, nullable=False),
    sa.Column("happened_at", UtcTime, nullable=False),
    sa.Column("by", sa.Text, nullable=False),
    sa.Column("message", sa.Text, nullable=False),
    sa.Column("body", sa.Text, nullable=False),  # JSON of core.journal.codec
    sqlite_with_rowid=False,  # a farm's events lie side by side
)

inbox = sa.Table(
    "inbox",
    METADATA,
    sa.Column("id", _ROW_ID, primary_key=True),
    sa.Column("key", sa.Text, nullable=False, unique=True),
    sa.Column("chat", sa.Text, nullable=False),
    sa.Column("sender", sa.Text, nullable=False, server_default=""),  # address of the person
    sa.Column("farm", sa.Integer),  # of the person or the chat when it came in; null where nobody knew them
    sa.Column("body", sa.Text, nullable=False),  # JSON of an Incoming; empty once it is handled
    sa.Column("stored_at", UtcTime, nullable=False),
    sa.Column("tries", sa.Integer, nullable=False),
    sa.Column("done_at", UtcTime),  # handled, or given up where `failure` is set; null while it waits
    sa.Column("failure", sa.Text),  # why the last try failed
)
_UNHANDLED = inbox.c.done_at.is_(None)
for _name, _columns in {
    "ix_inbox_waiting": (inbox.c.id,),
    "ix_inbox_waiting_by_chat": (inbox.c.chat, inbox.c.id),
    "ix_inbox_waiting_by_farm": (inbox.c.farm, inbox.c.id),
}.items():
    sa.Index(_name, *_columns, sqlite_where=_UNHANDLED, postgresql_where=_UNHANDLED)
sa.Index("ix_inbox_done_at", inbox.c.done_at)  # for those that are old enough to be forgotten

outbox = sa.Table(
    "outbox",
    METADATA,
    sa.Column("id", _ROW_ID, primary_key=True),
    sa.Column("key", sa.Text, nullable=False),
    sa.Column("chat", sa.Text, nullable=False),
    sa.Column("body", sa.Text, nullable=False),  # JSON of an Outgoing; empty once it is sent
    sa.Column("post_at", UtcTime, nullable=False),  # when it was meant to leave
    sa.Column("leave_at", UtcTime, nullable=False),  # when it may leave: later than `post_at` once a try failed
    sa.Column("tries", sa.Integer, nullable=False),
    sa.Column("is_kept", sa.Boolean, nullable=False),  # false: the chat goes, too, once it is sent
    sa.Column("is_push", sa.Boolean, nullable=False, server_default=sa.false()),
    sa.Column("done_at", UtcTime),  # sent, or given up where `reference` is null; null while it waits
    sa.Column("reference", sa.Text),  # the service's own name for what was sent
    sa.Column("failure", sa.Text),  # why the last try failed
    sa.UniqueConstraint("chat", "key"),
)
_UNSENT = outbox.c.done_at.is_(None)
for _name, _columns in {
    "ix_outbox_by_chat": (outbox.c.chat, outbox.c.post_at, outbox.c.id),
    "ix_outbox_in_order": (outbox.c.is_push, outbox.c.post_at, outbox.c.id),
    "ix_outbox_by_time": (outbox.c.leave_at,),
}.items():
    sa.Index(_name, *_columns, sqlite_where=_UNSENT, postgresql_where=_UNSENT)
sa.Index("ix_outbox_done_at", outbox.c.done_at)

members = sa.Table(
    "members",
    METADATA,
    sa.Column("address", sa.Text, primary_key=True),
    sa.Column("farm", sa.ForeignKey("farms.id"), nullable=False, index=True),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("role", sa.Text, nullable=False),
    sa.Column("language", sa.Text, nullable=False),
)

chats = sa.Table(
    "chats",
    METADATA,
    sa.Column("address", sa.Text, primary_key=True),
    sa.Column("farm", sa.ForeignKey("farms.id"), nullable=False, index=True),
    sa.Column("is_group", sa.Boolean, nullable=False),
)

invites = sa.Table(
    "invites",
    METADATA,
    sa.Column("token", sa.Text, primary_key=True),
    sa.Column("farm", sa.ForeignKey("farms.id"), nullable=False, index=True),
    sa.Column("role", sa.Text, nullable=False),
    sa.Column("expires_at", UtcTime, nullable=False),
)

dialogs = sa.Table(
    "dialogs",
    METADATA,
    sa.Column("chat", sa.Text, primary_key=True),
    sa.Column("address", sa.Text, primary_key=True),
    sa.Column("state", sa.LargeBinary, nullable=False),
)
