"""What stays in the tables once a message is handled and its answer sent."""

import sqlalchemy as sa

from bot.storage import tables
from bot.storage.engines import open_engine
from bot.storage.migrate import upgrade
from bot.storage.sql_store import SqlStore
from core.journal import facts
from tests.contracts.records import CHAT, NOON, an_event, an_incoming, an_outgoing


def test_a_handled_message_and_a_sent_answer_leave_no_text_behind(tmp_path):
    url = f"sqlite:///{tmp_path / 'farm.db'}"
    upgrade(url)
    store = SqlStore(url)
    with store.begin() as work:
        work.inbox.store(an_incoming(text="tub 3 is dry"), NOON)
        work.inbox.mark_handled(work.inbox.claim()[0].id, NOON)
        work.outbox.post(an_outgoing(key="refusal:1", text="Ask for an invite.", is_kept=False), NOON)
        work.outbox.mark_sent(work.outbox.waiting(NOON)[0].id, NOON, "sent:1")
    store.close()

    engine = open_engine(url)
    with engine.connect() as connection:
        rows = [str(row) for table in (tables.inbox, tables.outbox) for row in connection.execute(sa.select(table))]
    engine.dispose()
    assert len(rows) == 2
    assert not any(CHAT in row or "dry" in row or "invite" in row for row in rows)


def test_of_a_farm_that_is_erased_no_word_is_left_in_the_file(tmp_path):
    file = tmp_path / "farm.db"
    upgrade(f"sqlite:///{file}")
    store = SqlStore(f"sqlite:///{file}")
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.journal.append(
            farm, [an_event(n, facts.Remark(text="zebrafinch " * n), by="Quokka") for n in range(1, 200)]
        )
    assert b"zebrafinch" in _bytes(tmp_path)

    with store.begin() as work:
        work.farms.erase(farm, NOON)
    store.close()

    assert not any(word in _bytes(tmp_path) for word in (b"zebrafinch", b"Quokka"))


def _bytes(folder):
    return b"".join(path.read_bytes() for path in folder.iterdir())
