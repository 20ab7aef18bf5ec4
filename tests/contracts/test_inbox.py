"""What every inbox promises."""

import datetime as dt

import pytest

from bot.ports.messages import Sender
from bot.ports.stores import Chat, Member
from core.journal.kinds import Role
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
        (received,) = work.inbox.claim()
    assert received.incoming == incoming
    assert received.tries == 0


def test_a_key_is_kept_once_even_after_it_was_handled(store):
    with store.begin() as work:
        assert work.inbox.store(an_incoming("k"), NOON)
        assert not work.inbox.store(an_incoming("k", text="another"), after(seconds=1))
        (received,) = work.inbox.claim()
        assert received.incoming.text == "bin 1 chirps"
        work.inbox.mark_handled(received.id, after(seconds=2))

    with store.begin() as work:
        assert not work.inbox.store(an_incoming("k"), after(seconds=3))
        assert work.inbox.claim() == []


def keys(claimed):
    return [received.incoming.key for received in claimed]


def from_(address, key, **fields):
    return an_incoming(key, chat=address, sender=Sender(address=address, name=address), **fields)


def test_of_several_messages_those_with_a_new_key_are_counted(store):
    with store.begin() as work:
        assert work.inbox.store_all([], NOON) == 0
        assert work.inbox.store_all([an_incoming("u:1"), an_incoming("u:2"), an_incoming("u:1")], NOON) == 2
    with store.begin() as work:
        assert work.inbox.store_all([an_incoming("u:2"), an_incoming("u:3", chat="telegram:-7")], NOON) == 1
        assert [received.incoming.key for received in work.inbox.claim()] == ["u:1", "u:3"]


def test_messages_of_a_chat_come_one_at_a_time_in_order_of_arrival(store):
    with store.begin() as work:
        for key in ("c", "a", "b"):
            work.inbox.store(an_incoming(key), NOON)
        came = []
        while claimed := work.inbox.claim():
            came.append(keys(claimed))
            work.inbox.mark_handled(claimed[0].id, NOON)

    assert came == [["c"], ["a"], ["b"]]


def test_messages_of_several_chats_come_at_once(store):
    with store.begin() as work:
        for key, chat in (("a1", "a:1"), ("b1", "b:1"), ("a2", "a:1"), ("c1", "c:1")):
            work.inbox.store(from_(chat, key), NOON)

        assert keys(work.inbox.claim()) == ["a1", "b1", "c1"]
        assert keys(work.inbox.claim(2)) == ["a1", "b1"]


def test_messages_of_a_farm_come_one_at_a_time_whoever_wrote_them(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)
        for address in ("a:1", "b:1"):
            work.people.put(Member(address=address, farm=farm, name=address, role=Role.HAND))
        work.people.put_chat(Chat(address="group:1", farm=farm, is_group=True))
        work.inbox.store(from_("b:1", "first"), NOON)
        work.inbox.store(from_("a:1", "second"), NOON)
        work.inbox.store(from_("new:1", "third", is_group=True), NOON)  # a stranger in a chat of nobody's
        work.inbox.store(an_incoming("fourth", chat="group:1"), NOON)  # a stranger in the farm's group

        (first, third) = work.inbox.claim()
        assert keys([first, third]) == ["first", "third"]
        work.inbox.mark_handled(first.id, NOON)
        assert keys(work.inbox.claim()) == ["second", "third"]
        work.inbox.mark_handled(work.inbox.claim()[0].id, NOON)
        assert keys(work.inbox.claim()) == ["third", "fourth"]


def test_a_failed_message_waits_on_and_its_tries_are_counted_until_it_is_given_up(store):
    with store.begin() as work:
        work.inbox.store(an_incoming("k"), NOON)
        (received,) = work.inbox.claim()
        assert work.inbox.mark_failed(received.id, NOON, "NumberTakenError", give_up=False)
        assert work.inbox.mark_failed(received.id, NOON, "NumberTakenError", give_up=False)
        (again,) = work.inbox.claim()
        assert (again.id, again.incoming, again.tries) == (received.id, received.incoming, 2)

        assert work.inbox.mark_failed(received.id, NOON, "NumberTakenError", give_up=True)
        assert work.inbox.claim() == []


def test_a_message_that_was_handled_meanwhile_cannot_fail(store):
    with store.begin() as work:
        work.inbox.store(an_incoming("k"), NOON)
        (received,) = work.inbox.claim()
        work.inbox.mark_handled(received.id, NOON)

        assert not work.inbox.mark_failed(received.id, NOON, "NumberTakenError", give_up=False)


def test_people_who_are_passed_over_stay_in_the_inbox_and_hold_up_nobody(store):
    with store.begin() as work:
        work.inbox.store(an_incoming(key="a", chat="group:1", sender=Sender(address="p:1", name="Sol")), NOON)
        work.inbox.store(an_incoming(key="b", chat="group:1", sender=Sender(address="p:2", name="Lupe")), NOON)

        assert keys(work.inbox.claim(passing_over={"p:1"})) == ["b"]
        assert keys(work.inbox.claim(passing_over={"p:1", "p:2"})) == []
        assert keys(work.inbox.claim()) == ["a"]


def test_keys_of_what_was_handled_long_ago_are_forgotten_and_nothing_else(store):
    with store.begin() as work:
        for number in range(4):
            work.inbox.store(from_(f"a:{number}", f"k{number}"), NOON)
        old, new, failed, _waiting = work.inbox.claim()
        work.inbox.mark_handled(old.id, NOON)
        work.inbox.mark_handled(new.id, after(days=1))
        work.inbox.mark_failed(failed.id, NOON, "KeyError", give_up=True)

        assert work.inbox.prune(after(days=1)) == 1
        assert [work.inbox.store(from_(f"a:{n}", f"k{n}"), after(days=2)) for n in range(4)] == [True] + [False] * 3
        assert work.inbox.prune(after(days=1)) == 0
