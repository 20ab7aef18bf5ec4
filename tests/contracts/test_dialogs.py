"""What every keeper of dialogs promises."""

from tests.contracts.records import ADDRESS, CHAT


def test_what_was_saved_last_is_loaded(store):
    with store.begin() as work:
        assert work.dialogs.load(CHAT, ADDRESS) is None
        work.dialogs.save(CHAT, ADDRESS, b'{"asks":"bin"}')
        work.dialogs.save(CHAT, ADDRESS, b"\x00\xff")

    with store.begin() as work:
        assert work.dialogs.load(CHAT, ADDRESS) == b"\x00\xff"


def test_people_in_one_chat_and_chats_of_one_person_are_apart(store):
    with store.begin() as work:
        work.dialogs.save(CHAT, "telegram:1", b"one")
        work.dialogs.save(CHAT, "telegram:2", b"two")
        work.dialogs.save("telegram:1", "telegram:1", b"alone")

        assert work.dialogs.load(CHAT, "telegram:1") == b"one"
        assert work.dialogs.load(CHAT, "telegram:2") == b"two"
        assert work.dialogs.load("telegram:1", "telegram:1") == b"alone"


def test_a_chat_that_moves_takes_its_dialogs_along(store):
    with store.begin() as work:
        work.dialogs.save("telegram:-5", "telegram:-5", b"of the group")
        work.dialogs.save("telegram:-5", ADDRESS, b"of a person")
        work.dialogs.save(ADDRESS, ADDRESS, b"elsewhere")
        work.dialogs.move_chat("telegram:-5", CHAT)
        work.dialogs.move_chat("telegram:-5", CHAT)

    with store.begin() as work:
        assert work.dialogs.load("telegram:-5", "telegram:-5") is None
        assert work.dialogs.load(CHAT, CHAT) == b"of the group"
        assert work.dialogs.load(CHAT, ADDRESS) == b"of a person"
        assert work.dialogs.load(ADDRESS, ADDRESS) == b"elsewhere"


def test_what_is_open_at_the_new_address_stays(store):
    with store.begin() as work:
        work.dialogs.save("telegram:-5", "telegram:-5", b"old")
        work.dialogs.save(CHAT, CHAT, b"new")
        work.dialogs.move_chat("telegram:-5", CHAT)
        work.dialogs.move_chat(CHAT, CHAT)

        assert work.dialogs.load(CHAT, CHAT) == b"new"
        assert work.dialogs.load("telegram:-5", "telegram:-5") is None
