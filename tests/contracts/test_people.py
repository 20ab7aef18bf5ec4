"""What every register of people promises."""

import datetime as dt
import threading

import msgspec
import pytest

from bot.ports.stores import Chat, Invite, Member
from core.journal.kinds import Role
from tests.contracts.records import ADDRESS, CHAT, NOON, after


@pytest.fixture
def farm(store):
    with store.begin() as work:
        return work.farms.found(NOON)


def a_member(farm, address=ADDRESS, **fields):
    return Member(address=address, farm=farm, **({"name": "Noor", "role": Role.OWNER} | fields))


def an_invite(farm, expires_at):
    return Invite(token="t", farm=farm, role=Role.HAND, expires_at=expires_at)  # noqa: S106 - no secret of anyone's


def test_a_person_is_found_by_address(store, farm):
    member = a_member(farm, language="es")
    with store.begin() as work:
        work.people.put(member)

    with store.begin() as work:
        found = work.people.member(ADDRESS)
        assert work.people.member("telegram:8") is None
    assert found == member
    assert isinstance(found.role, Role)


def test_putting_a_person_again_changes_what_is_kept(store, farm):
    with store.begin() as work:
        work.people.put(a_member(farm))
        changed = msgspec.structs.replace(a_member(farm), name="Noor B", role=Role.HAND)
        work.people.put(changed)

        assert work.people.members(farm) == [changed]


def test_people_are_kept_by_farm_until_they_are_taken_out(store, farm):
    with store.begin() as work:
        other = work.farms.found(NOON)
        noor, sol, ada = (a_member(f, f"telegram:{n}") for f, n in ((farm, 1), (farm, 2), (other, 3)))
        for member in (noor, sol, ada):
            work.people.put(member)
        assert work.people.members(farm) == [noor, sol]
        assert work.people.members(other) == [ada]

        work.people.remove(noor.address)
        work.people.remove("telegram:unknown")
        assert work.people.members(farm) == [sol]
        assert work.people.member(noor.address) is None


def test_chats_are_kept_by_farm_until_they_are_taken_out(store, farm):
    with store.begin() as work:
        other = work.farms.found(NOON)
        group = Chat(address=CHAT, farm=farm, is_group=True)
        alone = Chat(address="telegram:9", farm=farm, is_group=False)
        elsewhere = Chat(address="telegram:1", farm=other, is_group=False)
        for chat in (group, alone, elsewhere):
            work.people.put_chat(chat)
        assert work.people.chat(CHAT) == group
        assert work.people.chats(farm) == [group, alone]

        work.people.remove_chat(CHAT)
        work.people.remove_chat(CHAT)
        assert work.people.chat(CHAT) is None
        assert work.people.chats(farm) == [alone]
        assert work.people.chats(other) == [elsewhere]


def test_a_chat_can_go_over_to_another_farm(store, farm):
    with store.begin() as work:
        other = work.farms.found(NOON)
        work.people.put_chat(Chat(address=CHAT, farm=farm, is_group=False))
        work.people.put_chat(Chat(address=CHAT, farm=other, is_group=True))

        assert work.people.chats(farm) == []
        assert work.people.chats(other) == [Chat(address=CHAT, farm=other, is_group=True)]


def test_an_invite_is_good_once(store, farm):
    invite = an_invite(farm, after(days=1))
    with store.begin() as work:
        work.people.put_invite(invite)

    with store.begin() as work:
        assert work.people.take_invite("other", NOON) is None
        assert work.people.take_invite("t", NOON) == invite
        assert work.people.take_invite("t", NOON) is None


def test_of_two_who_open_an_invite_at_once_one_gets_in(store, farm):
    with store.begin() as work:
        work.people.put_invite(an_invite(farm, after(days=1)))
    taken, ready = [], threading.Barrier(2)

    def take():
        ready.wait()
        with store.begin() as work:
            taken.append(work.people.take_invite("t", NOON))

    threads = [threading.Thread(target=take) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(invite is not None for invite in taken) == [False, True]


@pytest.mark.parametrize(("seconds", "is_good"), [(-1, True), (0, False), (1, False)])
def test_an_invite_is_good_until_it_expires(store, farm, seconds, is_good):
    at = after(hours=1)
    with store.begin() as work:
        work.people.put_invite(an_invite(farm, at))

        taken = work.people.take_invite("t", at + dt.timedelta(seconds=seconds))
    assert (taken is not None) == is_good


def test_a_chat_that_moves_is_known_by_its_new_address_alone(store, farm):
    with store.begin() as work:
        work.people.put_chat(Chat(address="telegram:-5", farm=farm, is_group=True))
        work.people.move_chat("telegram:-5", CHAT)
        work.people.move_chat("telegram:-5", CHAT)  # it is told more than once

    with store.begin() as work:
        assert work.people.chats(farm) == [Chat(address=CHAT, farm=farm, is_group=True)]


def test_a_chat_that_is_known_by_both_addresses_is_kept_once(store, farm):
    with store.begin() as work:
        for address in ("telegram:-5", CHAT):
            work.people.put_chat(Chat(address=address, farm=farm, is_group=True))
        work.people.move_chat("telegram:-5", CHAT)
        work.people.move_chat(CHAT, CHAT)

        assert [chat.address for chat in work.people.chats(farm)] == [CHAT]


def test_a_chat_that_is_not_known_does_not_become_so_by_moving(store, farm):
    with store.begin() as work:
        work.people.move_chat("telegram:-5", CHAT)

        assert work.people.chat(CHAT) is None
        assert work.people.chats(farm) == []


def test_invites_that_were_good_until_a_time_gone_by_are_forgotten(store, farm):
    with store.begin() as work:
        work.people.put_invite(an_invite(farm, after(days=1)))

        assert work.people.prune_invites(after(hours=23)) == 0
        assert work.people.prune_invites(after(days=1)) == 1
        assert work.people.prune_invites(after(days=2)) == 0
