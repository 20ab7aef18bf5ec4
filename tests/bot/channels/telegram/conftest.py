"""A Bot API server on loopback and the real client of python-telegram-bot in front of it."""

import asyncio
import datetime as dt

import pytest

from bot.channels.telegram.account import TelegramAccount
from bot.ports.messages import Outgoing
from tests.botapi.server import BotApiServer

NOW = dt.datetime(2026, 3, 1, 12, tzinfo=dt.UTC)


class StillClock:
    """A clock that stands."""

    def now(self):
        """Give noon of the first of March."""
        return NOW


class MemoryInbox:
    """Stores messages once; does not while `is_broken`."""

    def __init__(self):
        """Begin empty."""
        self.messages = {}
        self.is_broken = False
        self.tries = 0

    @property
    def texts(self):
        """Give the texts in order of arrival."""
        return [incoming.text for incoming in self.messages.values()]

    def take(self, *messages):
        """Store messages; give how many were not known."""
        self.tries += len(messages)
        if self.is_broken:
            raise OSError("disk full, while writing " + messages[0].text)
        return sum(self.messages.setdefault(incoming.key, incoming) is incoming for incoming in messages)


@pytest.fixture
async def server():
    async with BotApiServer() as running:
        yield running


@pytest.fixture
async def account(server):
    made = TelegramAccount(server.token, api=server.api, send_rate=0)
    yield made
    await made.shutdown()


@pytest.fixture
def inbox():
    return MemoryInbox()


@pytest.fixture
async def running():
    """Run a way in until the end of the test, or until `stop` is set."""
    stop, tasks = asyncio.Event(), []

    def _start(way_in):
        tasks.append(asyncio.create_task(way_in.run(stop)))
        return tasks[-1]

    _start.stop = stop
    yield _start
    stop.set()
    await asyncio.wait_for(asyncio.gather(*tasks, return_exceptions=True), 5)


@pytest.fixture
def clock():
    return StillClock()


def an_outgoing(to, text="Tub 3 is due.", key="k1", **fields):
    """Make a message to a person or group of the server."""
    return Outgoing(key=key, chat=f"telegram:{to.id}", text=text, **fields)
