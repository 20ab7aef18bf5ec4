"""What every inbox promises."""

import datetime as dt

import pytest

from bot.ports.messages import Sender
from tests.contracts.records import CHAT, NOON, after, an_incoming

DENVER_SUMMER = dt.timezone(dt.timedelta(hours=-6))


@pytest.mark.parametrize(
    "incoming",
    [
        pytest.param(an_incoming(), id="text"),
        pytest.param(an_incoming(text="", press="1:done:12"), id="press"),
        pytest.param(an_incoming(text="", location=(38.54, -106.93)), id="location"),
        pytest.param(
            an_incoming(text="\u202etub 3 \U0001f997 \x00 ½", sent_at=NOON.astimezone(DENVER_SUMMER)), id="odd"
        ),
        pytest.param(
            an_incoming(
                sender=Sender(address="telegram:8", name="Sol", language="es-MX"),
                message=f"{CHAT}:17",
                is_edit=True,
                is_group=True,
                is_addressed=False,
            ),
            id="edit in a group",
        ),
    ],
)
def test_a_message_comes_back_as_it_was(store, incoming):
    with store.begin() as work:
        assert work.inbox.store(incoming, NOON)

    with store.begin() as work:
        (received,) = work.inbox.waiting()
    assert received.incoming == incoming
    assert received.tries == 0


def test_a_key_is_kept_once_even_after_it_was_handled(store):
    with store.begin() as work:
        assert work.inbox.store(an_incoming("k"), NOON)
        assert not work.inbox.store(an_incoming("k", text="another"), after(seconds=1))
        (received,) = work.inbox.waiting()
        assert received.incoming.text == "bin 1 chirps"
        work.inbox.mark_handled(received.id, after(seconds=2))

    with store.begin() as work:
        assert not work.inbox.store(an_incoming("k"), after(seconds=3))
        assert work.inbox.waiting() == []


def test_messages_wait_in_order_of_arrival_until_they_are_handled(store):
    with store.begin() as work:
        for key in ("c", "a", "b"):
            work.inbox.store(an_incoming(key), NOON)
        waiting = work.inbox.waiting()
        assert [received.incoming.key for received in waiting] == ["c", "a", "b"]
        assert work.inbox.waiting(limit=2) == waiting[:2]

        work.inbox.mark_handled(waiting[0].id, NOON)
        assert work.inbox.waiting() == waiting[1:]


def test_a_failed_message_waits_on_and_its_tries_are_counted_until_it_is_given_up(store):
    with store.begin() as work:
        work.inbox.store(an_incoming("k"), NOON)
        (received,) = work.inbox.waiting()
        work.inbox.mark_failed(received.id, NOON, "NumberTakenError", give_up=False)
        work.inbox.mark_failed(received.id, NOON, "NumberTakenError", give_up=False)
        (again,) = work.inbox.waiting()
        assert (again.id, again.incoming, again.tries) == (received.id, received.incoming, 2)

        work.inbox.mark_failed(received.id, NOON, "NumberTakenError", give_up=True)
        assert work.inbox.waiting() == []


def test_chats_that_are_passed_over_stay_in_the_inbox(store):
    with store.begin() as work:
        work.inbox.store(an_incoming(key="a", chat="telegram:1"), NOON)
        work.inbox.store(an_incoming(key="b", chat="telegram:2"), NOON)

        assert [r.incoming.key for r in work.inbox.waiting(passing_over={"telegram:1"})] == ["b"]
        assert [r.incoming.key for r in work.inbox.waiting()] == ["a", "b"]
