"""What every store promises when a farm, or a person, is to be forgotten."""

import pytest
from msgspec.structs import replace

from bot.ports.messages import Sender
from bot.ports.stores import Chat, Invite, Member, NumberTakenError
from core.journal import facts
from core.journal.kinds import Role
from tests.contracts.records import NOON, after, an_event, an_incoming, an_outgoing

ADDRESSES = ("telegram:1", "telegram:2")
GROUPS = ("telegram:-1", "telegram:-2")


def a_farm(work, number):
    """Make a farm of two people and a group, with something of everything."""
    farm = work.farms.found(NOON)
    work.farms.set_next_due(farm, NOON)
    work.journal.append(farm, [an_event(n, by=name) for n, name in ((1, "Noor"), (2, "Tomas"), (3, "Noor"))])
    for address, name in zip(people_of(number), ("Noor", "Tomas"), strict=True):
        work.people.put(Member(address=address, farm=farm, name=name, role=Role.HAND))
        work.people.put_chat(Chat(address=address, farm=farm, is_group=False))
        work.dialogs.save(address, address, b"words")
        work.dialogs.save(group_of(number), address, b"words")
        sender = Sender(address=address, name=name)
        work.inbox.store(an_incoming(f"update:{address}", chat=address, sender=sender), NOON)
        work.outbox.post(an_outgoing(f"reply:{address}", chat=address), NOON)
    work.people.put_chat(Chat(address=group_of(number), farm=farm, is_group=True))
    work.dialogs.save(group_of(number), group_of(number), b"words")
    work.outbox.post(an_outgoing("push:1", chat=group_of(number)), NOON)
    work.people.put_invite(Invite(token=f"token{number}", farm=farm, role=Role.HAND, expires_at=after(days=1)))
    return farm


def people_of(number):
    return [f"telegram:{number}1", f"telegram:{number}2"]


def group_of(number):
    return f"telegram:-{number}"


def all_of(work, farm, number):
    """Give all that is kept of a farm."""
    chats = [*people_of(number), group_of(number)]
    return {
        "journal": work.journal.since(farm),
        "members": work.people.members(farm),
        "chats": work.people.chats(farm),
        "dialogs": [work.dialogs.load(chat, who) for chat in chats for who in chats],
        "in": [r.incoming for r in work.inbox.claim() if r.incoming.chat in chats],
        "out": [w.outgoing for w in work.outbox.waiting(NOON) if w.outgoing.chat in chats],
    }


@pytest.fixture
def farms(store):
    with store.begin() as work:
        return a_farm(work, 1), a_farm(work, 2)


def test_nothing_stays_of_a_farm_that_is_erased_and_all_of_the_others(store, farms):
    one, other = farms
    with store.begin() as work:
        before = all_of(work, other, 2)
        work.farms.erase(one, NOON)

    with store.begin() as work:
        gone = all_of(work, one, 1)
        assert {name: [x for x in found if x is not None] for name, found in gone.items()} == {
            name: [] for name in gone
        }
        assert work.farms.ids() == [other]
        assert work.farms.lock(one) is None
        assert work.farms.claim_due(NOON) == {other: 0}
        assert work.people.take_invite("token1", NOON) is None
        assert all_of(work, other, 2) == before
        assert work.people.take_invite("token2", NOON) is not None


def test_the_id_of_a_farm_that_is_gone_is_not_given_again(store, farms):
    with store.begin() as work:
        work.farms.erase(farms[1], NOON)

        assert work.farms.found(NOON) not in farms


def test_what_came_in_before_an_erasure_is_known_when_it_comes_again(store, farms):
    sender = Sender(address="telegram:11", name="Noor")
    with store.begin() as work:
        work.farms.erase(farms[0], NOON)

        assert not work.inbox.store(an_incoming("update:telegram:11", chat="telegram:11", sender=sender), NOON)
        assert work.inbox.prune(after(days=1)) == 2


def test_a_message_that_is_under_way_while_its_farm_is_erased_is_marked_without_harm(store, farms):
    with store.begin() as work:
        received = next(r for r in work.inbox.claim() if r.incoming.chat == "telegram:11")
        sent = next(w for w in work.outbox.waiting(NOON) if w.outgoing.chat == "telegram:11")
        work.farms.erase(farms[0], NOON)
        work.inbox.mark_handled(received.id, NOON)
        work.outbox.mark_sent(sent.id, NOON, "sent:1")

        assert [r.incoming.chat for r in work.inbox.claim()] == ["telegram:21"]


def test_of_a_person_who_is_erased_the_journal_alone_tells(store, farms):
    one, other = farms
    with store.begin() as work:
        before, of_other = all_of(work, one, 1), all_of(work, other, 2)
        work.people.erase("telegram:11", NOON)
        work.people.erase("telegram:unknown", NOON)

    with store.begin() as work:
        left = all_of(work, one, 1)
        assert left["journal"] == before["journal"]
        assert [m.name for m in left["members"]] == ["Tomas"]
        assert sorted(c.address for c in left["chats"]) == ["telegram:-1", "telegram:12"]
        assert {o.chat for o in left["out"]} == {"telegram:-1", "telegram:12"}
        assert [i.chat for i in left["in"]] == ["telegram:12"]
        assert work.dialogs.load("telegram:12", "telegram:12") == b"words"
        assert {work.dialogs.load(c, "telegram:11") for c in ("telegram:11", "telegram:-1")} == {None}
        assert work.dialogs.load("telegram:-1", "telegram:-1") is None
        assert all_of(work, other, 2) == of_other


def test_events_are_rewritten_by_number_and_the_edition_says_so(store, farms):
    one, other = farms
    with store.begin() as work:
        before = work.journal.since(one)
        anew = replace(before[1], by="a former hand", message="", body=facts.Chirp(bin="B9"))
        work.journal.rewrite(one, [anew])

    with store.begin() as work:
        assert work.journal.since(one) == [before[0], anew, before[2]]
        assert (work.farms.lock(one), work.farms.lock(other)) == (1, 0)
        assert [e.by for e in work.journal.since(other)] == ["Noor", "Tomas", "Noor"]
    with pytest.raises(NumberTakenError), store.begin() as work:
        work.journal.append(one, [an_event(2)])


def test_open_invites_are_revoked_by_farm(store, farms):
    with store.begin() as work:
        work.people.revoke_invites(farms[0])

        assert work.people.take_invite("token1", NOON) is None
        assert work.people.take_invite("token2", NOON) is not None
