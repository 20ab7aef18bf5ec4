"""From the wire into the inbox."""

import pytest

from bot.channels.telegram.intake import Intake
from bot.ports.stores import StoreDownError
from tests.bot.channels.telegram.conftest import NOW, MemoryInbox

SENDER = {"id": 7, "is_bot": False, "first_name": "Noor"}
CHAT = {"id": 7, "type": "private"}


@pytest.fixture
async def intake(account, inbox, clock, running):
    await account.sign_in(running.stop)
    return Intake(account, inbox.take, clock)


async def test_a_message_is_stored(intake, inbox):
    message = {"message_id": 1, "date": int(NOW.timestamp()), "chat": CHAT, "from": SENDER, "text": "tub 3"}

    (read,) = intake.store([{"update_id": 5, "message": message}])

    assert inbox.messages == {"telegram:update:5": read.incoming}


async def test_an_update_without_a_message_is_not(intake, inbox):
    assert intake.store([{"update_id": 5}]) == []
    assert inbox.tries == 0


class PickyInbox(MemoryInbox):
    """Stores all but certain texts, all or none."""

    def take(self, *messages):
        """Store messages."""
        if any("never" in incoming.text for incoming in messages):
            raise ValueError("never, ever")
        return super().take(*messages)


def updates(*texts):
    """Make updates of texts."""
    head = {"date": int(NOW.timestamp()), "chat": CHAT, "from": SENDER}
    return [{"update_id": n, "message": head | {"message_id": n, "text": text}} for n, text in enumerate(texts, 1)]


@pytest.fixture
async def picky(account, clock, running):
    await account.sign_in(running.stop)
    inbox = PickyInbox()
    made = Intake(account, inbox.take, clock)
    made.inbox = inbox
    return made


async def test_one_that_cannot_be_stored_does_not_stand_in_the_way_of_the_others(picky, caplog):
    stored = picky.store(updates("tub 1", "never", "tub 2"))

    assert [found.incoming.text for found in stored] == picky.inbox.texts == ["tub 1", "tub 2"]
    assert "passed over" in caplog.text
    assert "never" not in caplog.text


async def test_where_none_can_be_stored_all_are_to_be_brought_again(picky):
    for texts in (["never"], ["never", "never again"]):
        with pytest.raises(ValueError, match="ever"):
            picky.store(updates(*texts))

    assert picky.inbox.texts == []


async def test_while_the_store_is_down_none_is_passed_over(account, clock, running):
    await account.sign_in(running.stop)
    tries = []

    def take(*messages):
        tries.append(len(messages))
        raise StoreDownError

    with pytest.raises(StoreDownError):
        Intake(account, take, clock).store(updates("tub 1", "tub 2"))

    assert tries == [2]
