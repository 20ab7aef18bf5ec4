"""Walking a database from revision to revision, and what is in it."""

from pathlib import Path

import sqlalchemy as sa
from alembic import command, config, script

from bot.storage import migrate
from bot.storage.engines import open_engine


def settings_for(connection):
    settings = config.Config()
    settings.set_main_option("script_location", str(Path(migrate.__file__).parent / "migrations"))
    settings.attributes["connection"] = connection
    return settings


def revisions():
    """All revisions, the first one first."""
    scripts = script.ScriptDirectory.from_config(settings_for(None))
    return [one.revision for one in scripts.walk_revisions()][::-1]


def go_to(url, revision):
    """Bring a database up or down to a revision by way of the migrations."""
    known = ["base", *revisions()]
    is_down = known.index(revision) < known.index(migrate.current(url) or "base")
    go = command.downgrade if is_down else command.upgrade
    engine = open_engine(url)
    with engine.begin() as connection:
        go(settings_for(connection), revision)
    engine.dispose()


def fill(url, rows):
    """Put rows into tables as they are at this revision."""
    engine = open_engine(url)
    with engine.begin() as connection:
        for name, of_table in rows.items():
            connection.execute(sa.insert(_table(connection, name)), of_table)
            if connection.dialect.name == "postgresql" and "id" in of_table[0]:  # its counter has not seen these
                last = max(row["id"] for row in of_table)
                connection.execute(sa.select(sa.func.setval(sa.func.pg_get_serial_sequence(name, "id"), last)))
    engine.dispose()


def rows_of(url):
    """Everything that a database holds: the rows of each table, sorted, each a dict of its columns."""
    engine = open_engine(url)
    with engine.begin() as connection:
        names = set(sa.inspect(connection).get_table_names()) - {"alembic_version"}
        found = {}
        for name in names:
            rows = connection.execute(sa.select(_table(connection, name))).mappings()
            found[name] = sorted((dict(row) for row in rows), key=repr)
    engine.dispose()
    return found


def only(rows, like):
    """What rows say in the tables and columns that others have."""
    return {
        name: sorted(({column: row[column] for column in of_table[0]} for row in rows[name]), key=repr)
        for name, of_table in like.items()
    }


def shape(url):
    """The tables, columns and keys as the database itself tells them, in a form that can be compared."""
    engine = open_engine(url)
    with engine.begin() as connection:
        inspector = sa.inspect(connection)
        found = {
            name: {
                "columns": {
                    column["name"]: (str(column["type"]), column["nullable"], column["default"])
                    for column in inspector.get_columns(name)
                },
                "primary key": inspector.get_pk_constraint(name),
                "foreign keys": sorted(inspector.get_foreign_keys(name), key=repr),
                "unique": sorted(inspector.get_unique_constraints(name), key=repr),
                "indexes": sorted(_index(one) for one in inspector.get_indexes(name)),
            }
            for name in inspector.get_table_names()
        }
    engine.dispose()
    return found


def _index(found):
    options = {key: str(value) for key, value in found.get("dialect_options", {}).items()}
    return repr({**found, "dialect_options": options})


def _table(connection, name):
    return sa.Table(name, sa.MetaData(), autoload_with=connection)


INCOMING = (
    '{"key":"%s","chat":"%s","sender":{"address":"%s","name":"Noor"},"sent_at":"2026-05-01T12:00:00Z","text":"%s"}'
)
OUTGOING = '{"key":"%s","chat":"%s","text":"Chirp in bin 1 noted \U0001f997."}'
NOON = 1_777_636_800_000_000

# What the first version of the program could have left behind, with something in every column of every table.
FIRST = {
    "farms": [
        {"id": 1, "founded_at": NOON, "next_due": NOON + 1},
        {"id": 2, "founded_at": NOON + 7, "next_due": None},
    ],
    "events": [
        {
            "farm": farm,
            "number": number,
            "said_at": NOON + number,
            "happened_at": NOON - number,
            "by": "Noor",
            "message": f"telegram:-100:{number}",
            "body": '{"type":"chirp","bin":"B\u00bd 1"}',
        }
        for farm in (1, 2)
        for number in range(1, 4)
    ],
    "inbox": [
        {
            "id": number,
            "key": f"telegram:update:{number}",
            "chat": "" if done else chat,
            "body": "" if done else INCOMING % (f"telegram:update:{number}", chat, sender, "tub 3 is dry \u202e"),
            "stored_at": NOON + number,
            "tries": tries,
            "done_at": NOON + 60 if done else None,
            "failure": failure,
        }
        for number, chat, sender, tries, done, failure in (
            (1, "telegram:7", "telegram:7", 0, True, None),
            (2, "telegram:7", "telegram:7", 0, False, None),
            (3, "telegram:-100", "telegram:9", 2, False, "ValueError"),
            (4, "telegram:8", "telegram:8", 0, False, None),
        )
    ],
    "outbox": [
        {
            "id": number,
            "key": f"reply:{number}",
            "chat": "telegram:7",
            "body": "" if done else OUTGOING % (f"reply:{number}", "telegram:7"),
            "post_at": NOON,
            "leave_at": NOON + 30,
            "tries": tries,
            "is_kept": number != 2,
            "done_at": NOON + 31 if done or failure else None,
            "reference": f"sent:{number}" if done else None,
            "failure": failure,
        }
        for number, tries, done, failure in ((1, 0, True, None), (2, 1, False, None), (3, 9, False, "the chat is gone"))
    ],
    "members": [
        {"address": "telegram:7", "farm": 1, "name": "Noor", "role": "owner", "language": "en"},
        {"address": "telegram:9", "farm": 2, "name": "In\u00e9s", "role": "hand", "language": "es"},
    ],
    "chats": [
        {"address": "telegram:7", "farm": 1, "is_group": False},
        {"address": "telegram:-100", "farm": 2, "is_group": True},
    ],
    "invites": [{"token": "abc", "farm": 1, "role": "hand", "expires_at": NOON + 99}],
    "dialogs": [{"chat": "telegram:7", "address": "telegram:7", "state": b"\x00\xffopen"}],
}
