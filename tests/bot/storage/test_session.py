"""Writes that are put off and reads that are made ahead show nowhere but in the number of statements."""

import pytest
import sqlalchemy as sa

from bot.ports.messages import Sender
from bot.ports.stores import Chat, Member, NumberTakenError
from bot.storage.sql_store import SqlStore
from core.journal.kinds import Role
from tests.contracts.records import NOON, after, an_event, an_incoming, an_outgoing

MANY = 8


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.database)])
def store(request):
    """Give a store of farms that have told one thing, and of each of which a message waits."""
    made = SqlStore("sqlite://" if request.param == "sqlite" else request.getfixturevalue("postgres"))
    with made.begin() as work:
        for number in range(1, MANY + 1):
            who = f"telegram:{number}"
            farm = work.farms.found(NOON)
            work.people.put(Member(address=who, farm=farm, name="Noor", role=Role.OWNER))
            work.people.put_chat(Chat(address=who, farm=farm, is_group=False))
            work.journal.append(farm, [an_event(1)])
            work.dialogs.save(who, who, b"before")
            work.inbox.store(an_incoming(f"u:{number}", chat=who, sender=Sender(address=who, name="Noor")), NOON)
    yield made
    made.close()


def answer(work, received):
    """Do what the handling of a message does."""
    who = received.incoming.chat
    farm = work.people.member(who).farm
    assert work.people.chat(who).farm == farm
    assert work.farms.lock(farm) == 0
    assert [event.number for event in work.journal.since(farm, 0)] == [1]
    assert work.journal.since(farm, 1) == []
    assert work.dialogs.load(who, who) == b"before"
    work.journal.append(farm, [an_event(2)])
    work.dialogs.save(who, who, b"after")
    work.outbox.post_all([an_outgoing(chat=who)], NOON)
    work.farms.set_next_due(farm, NOON)
    work.inbox.mark_handled(received.id, NOON)


def test_many_messages_take_hardly_more_statements_than_one(store):
    statements = []
    sa.event.listen(store._engine, "before_cursor_execute", lambda *given: statements.append(given[2]))
    with store.begin() as work:
        (first,) = work.inbox.claim(1)
        answer(work, first)
    for_one = len(statements)
    with store.begin() as work:
        for received in work.inbox.claim():
            answer(work, received)

    assert len(statements) - for_one <= for_one + 1
    with store.begin() as work:
        assert work.inbox.claim() == []
        assert len(work.outbox.waiting(NOON)) == MANY
        assert len(work.farms.claim_due(NOON)) == MANY


def test_within_a_unit_of_work_what_was_put_off_is_seen(store):
    with store.begin() as work:
        received, *_ = work.inbox.claim()
        answer(work, received)
        who = received.incoming.chat

        assert [event.number for event in work.journal.since(1, 1)] == [2]
        assert work.dialogs.load(who, who) == b"after"
        assert (
            work.outbox.claim(NOON, 9, until=after(seconds=1), channels=["telegram"], pushes=False)[0].outgoing.chat
            == who
        )
        assert work.farms.next_due() == NOON
        assert received.id not in [other.id for other in work.inbox.claim()]


def test_what_was_read_ahead_does_not_outlive_a_change(store):
    with store.begin() as work:
        work.inbox.claim()
        work.people.put(Member(address="telegram:1", farm=2, name="Tomas", role=Role.HAND))
        work.people.remove("telegram:2")
        work.journal.rewrite(1, [])
        work.dialogs.move_chat("telegram:3", "telegram:-3")

        assert work.people.member("telegram:1").name == "Tomas"
        assert work.people.member("telegram:2") is None
        assert work.farms.lock(1) == 1
        assert work.dialogs.load("telegram:3", "telegram:3") is None


def test_an_erased_farm_is_not_locked(store):
    with store.begin() as work:
        work.inbox.claim()
        work.farms.erase(1, NOON)

        assert work.farms.lock(1) is None
        assert work.people.member("telegram:1") is None


def test_a_number_that_is_taken_rolls_all_back(store):
    def take_a_number_again():
        with store.begin() as work:
            received, *_ = work.inbox.claim()
            answer(work, received)
            work.journal.append(2, [an_event(1)])

    with pytest.raises(NumberTakenError):
        take_a_number_again()

    with store.begin() as work:
        assert len(work.inbox.claim()) == MANY
        assert work.outbox.waiting(NOON) == []


def test_a_dialog_of_a_chat_that_is_not_known_any_more_is_found(store):
    with store.begin() as work:
        work.people.remove_chat("telegram:1")
    with store.begin() as work:
        work.inbox.claim()

        assert work.people.chat("telegram:1") is None
        assert work.dialogs.load("telegram:1", "telegram:1") == b"before"


def test_of_a_stranger_nothing_is_known(store):
    with store.begin() as work:
        work.inbox.store(
            an_incoming("u:0", chat="telegram:77", sender=Sender(address="telegram:77", name="Ines")), NOON
        )
    with store.begin() as work:
        work.inbox.claim()

        assert work.people.member("telegram:77") is None
        assert work.dialogs.load("telegram:77", "telegram:77") is None
