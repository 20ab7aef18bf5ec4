"""From the wire into the inbox."""

import pytest

from bot.channels.telegram.intake import Intake
from tests.bot.channels.telegram.conftest import NOW

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
