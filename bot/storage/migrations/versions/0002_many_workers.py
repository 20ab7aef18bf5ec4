"""What several workers at once need: whose message waits, and the edition of a farm.

What waits while this runs keeps its place: its sender and farm are filled in.
"""

import json

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_UNDONE = sa.text("done_at IS NULL")
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
    _fill_in()
    for name, table, columns, where in _INDEXES:
        op.create_index(name, table, columns, sqlite_where=where, postgresql_where=where)


def downgrade() -> None:
    """Take them away."""
    for name, table, _, _ in reversed(_INDEXES):
        op.drop_index(name, table)
    op.drop_column("inbox", "farm")
    op.drop_column("inbox", "sender")
    op.drop_column("farms", "edition")


def _fill_in() -> None:
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
