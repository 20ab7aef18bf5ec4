"""What Alembic runs: the migrations, on the connection that bot.storage.migrate hands it."""

from alembic import context

from bot.storage import tables

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=tables.METADATA,
    render_as_batch=True,  # SQLite changes a table by copying it
)
with context.begin_transaction():
    context.run_migrations()
