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
