"""What several workers at once need: whose message waits, what leaves by itself, and the edition of a farm.

What waits while this runs keeps its place: the new columns are filled in.
"""

import json

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_UNDONE = sa.text("done_at IS NULL")
_IN_ORDER = "ix_outbox_in_order"
_INDEXES = (
    ("ix_inbox_waiting_by_chat", "inbox", ["chat", "id"], _UNDONE),
    ("ix_inbox_waiting_by_farm", "inbox", ["farm", "id"], _UNDONE),
    ("ix_inbox_done_at", "inbox", ["done_at"], None),
    ("ix_outbox_done_at", "outbox", ["done_at"], None),
)


def upgrade() -> None:
    """Add the columns and their indexes, and fill them in for what waits."""
    op.add_column("farms", sa.Column("edition", sa.Integer, nullable=False, server_default="0"))
    op.add_column("inbox", sa.Column("sender", sa.Text, nullable=False, server_default=""))
    op.add_column("inbox", sa.Column("farm", sa.Integer))
    op.add_column("outbox", sa.Column("is_push", sa.Boolean, nullable=False, server_default=sa.false()))
    _fill_in_inbox()
    _fill_in_outbox()
    op.drop_index(_IN_ORDER, "outbox")
    op.create_index(
        _IN_ORDER, "outbox", ["is_push", "post_at", "id"], sqlite_where=_UNDONE, postgresql_where=_UNDONE
    )  # fmt: skip
    for name, table, columns, where in _INDEXES:
        op.create_index(name, table, columns, sqlite_where=where, postgresql_where=where)


def downgrade() -> None:
    """Take them away."""
    for name, table, _, _ in reversed(_INDEXES):
        op.drop_index(name, table)
    op.drop_index(_IN_ORDER, "outbox")
    op.create_index(_IN_ORDER, "outbox", ["post_at", "id"], sqlite_where=_UNDONE, postgresql_where=_UNDONE)
    op.drop_column("outbox", "is_push")
    op.drop_column("inbox", "farm")
    op.drop_column("inbox", "sender")
    op.drop_column("farms", "edition")


def _fill_in_inbox() -> None:
    inbox = sa.table("inbox", *(sa.column(name) for name in ("id", "body", "chat", "sender", "farm", "done_at")))
    owners = [
        sa.table(name, sa.column("address"), sa.column("farm")) for name in ("members", "chats")
    ]  # the farm of the person, else of the chat
    connection = op.get_bind()
    waiting = sa.select(inbox.c.id, inbox.c.body, inbox.c.chat).where(inbox.c.done_at.is_(None))
    for id_, body, chat in connection.execute(waiting).all():
        sender = json.loads(body)["sender"]["address"]
        found = [
            connection.scalar(sa.select(table.c.farm).where(table.c.address == address))
            for table, address in zip(owners, (sender, chat), strict=True)
        ]
        farm = next((one for one in found if one is not None), None)
        connection.execute(sa.update(inbox).where(inbox.c.id == id_).values(sender=sender, farm=farm))


def _fill_in_outbox() -> None:
    outbox = sa.table("outbox", *(sa.column(name) for name in ("id", "body", "is_push", "done_at")))
    connection = op.get_bind()
    waiting = sa.select(outbox.c.id, outbox.c.body).where(outbox.c.done_at.is_(None))
    pushes = [id_ for id_, body in connection.execute(waiting).all() if json.loads(body).get("is_push")]
    for id_ in pushes:
        connection.execute(sa.update(outbox).where(outbox.c.id == id_).values(is_push=sa.true()))
