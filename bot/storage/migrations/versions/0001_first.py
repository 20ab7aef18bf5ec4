"""The first tables.

Moments are whole microseconds since 1970 in UTC.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_ROW_ID = sa.BigInteger().with_variant(sa.Integer, "sqlite")
_UNSENT = sa.text("done_at IS NULL")


def upgrade() -> None:
    """Make all tables."""
    _farms_and_events()
    _inbox()
    _outbox()
    _people()
    op.create_table(
        "dialogs",
        sa.Column("chat", sa.Text, nullable=False),
        sa.Column("address", sa.Text, nullable=False),
        sa.Column("state", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("chat", "address", name="pk_dialogs"),
    )


def downgrade() -> None:
    """Drop all tables, those that refer to others first."""
    for table in ("dialogs", "invites", "chats", "members", "outbox", "inbox", "events", "farms"):
        op.drop_table(table)


def _farms_and_events() -> None:
    op.create_table(
        "farms",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("founded_at", sa.BigInteger, nullable=False),
        sa.Column("next_due", sa.BigInteger),
        sa.PrimaryKeyConstraint("id", name="pk_farms"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_farms_next_due", "farms", ["next_due"])
    op.create_table(
        "events",
        sa.Column("farm", sa.Integer, nullable=False),
        sa.Column("number", sa.Integer, autoincrement=False, nullable=False),
        sa.Column("said_at", sa.BigInteger, nullable=False),
        sa.Column("happened_at", sa.BigInteger, nullable=False),
        sa.Column("by", sa.Text, nullable=False),
        sa.Column("message", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("farm", "number", name="pk_events"),
        sa.ForeignKeyConstraint(["farm"], ["farms.id"], name="fk_events_farm"),
        sqlite_with_rowid=False,
    )


def _inbox() -> None:
    op.create_table(
        "inbox",
        sa.Column("id", _ROW_ID, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("chat", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("stored_at", sa.BigInteger, nullable=False),
        sa.Column("tries", sa.Integer, nullable=False),
        sa.Column("done_at", sa.BigInteger),
        sa.Column("failure", sa.Text),
        sa.PrimaryKeyConstraint("id", name="pk_inbox"),
        sa.UniqueConstraint("key", name="uq_inbox_key"),
    )
    op.create_index("ix_inbox_waiting", "inbox", ["id"], sqlite_where=_UNSENT, postgresql_where=_UNSENT)


def _outbox() -> None:
    op.create_table(
        "outbox",
        sa.Column("id", _ROW_ID, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("chat", sa.Text, nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.Column("post_at", sa.BigInteger, nullable=False),
        sa.Column("leave_at", sa.BigInteger, nullable=False),
        sa.Column("tries", sa.Integer, nullable=False),
        sa.Column("is_kept", sa.Boolean, nullable=False),
        sa.Column("done_at", sa.BigInteger),
        sa.Column("reference", sa.Text),
        sa.Column("failure", sa.Text),
        sa.PrimaryKeyConstraint("id", name="pk_outbox"),
        sa.UniqueConstraint("chat", "key", name="uq_outbox_chat_key"),
    )
    for name, columns in (
        ("ix_outbox_by_chat", ["chat", "post_at", "id"]),
        ("ix_outbox_in_order", ["post_at", "id"]),
        ("ix_outbox_by_time", ["leave_at"]),
    ):
        op.create_index(name, "outbox", columns, sqlite_where=_UNSENT, postgresql_where=_UNSENT)


def _people() -> None:
    op.create_table(
        "members",
        sa.Column("address", sa.Text, nullable=False),
        sa.Column("farm", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("language", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("address", name="pk_members"),
        sa.ForeignKeyConstraint(["farm"], ["farms.id"], name="fk_members_farm"),
    )
    op.create_index("ix_members_farm", "members", ["farm"])
    op.create_table(
        "chats",
        sa.Column("address", sa.Text, nullable=False),
        sa.Column("farm", sa.Integer, nullable=False),
        sa.Column("is_group", sa.Boolean, nullable=False),
        sa.PrimaryKeyConstraint("address", name="pk_chats"),
        sa.ForeignKeyConstraint(["farm"], ["farms.id"], name="fk_chats_farm"),
    )
    op.create_index("ix_chats_farm", "chats", ["farm"])
    op.create_table(
        "invites",
        sa.Column("token", sa.Text, nullable=False),
        sa.Column("farm", sa.Integer, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("expires_at", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("token", name="pk_invites"),
        sa.ForeignKeyConstraint(["farm"], ["farms.id"], name="fk_invites_farm"),
    )
    op.create_index("ix_invites_farm", "invites", ["farm"])
