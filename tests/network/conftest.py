"""The whole bot, and a Bot API that can be cut off."""

import datetime as dt

import pytest

from bot import bootstrap
from bot.settings import Settings
from tests.botapi.server import BotApiServer
from tests.served import Bot, GoingClock, Talk

NOON_IN_DENVER = dt.datetime(2026, 6, 1, 18, tzinfo=dt.UTC)


@pytest.fixture
def clock(monkeypatch):
    made = GoingClock(NOON_IN_DENVER)
    monkeypatch.setattr(bootstrap, "SystemClock", lambda: made)
    return made


@pytest.fixture
async def server(clock):
    async with BotApiServer(now=lambda: clock.now().timestamp()) as running:
        yield running


@pytest.fixture
def noor(server):
    return server.person("Noor")


@pytest.fixture
def tomas(server):
    return server.person("Tomas")


@pytest.fixture
def settings(server, noor, tmp_path):
    return Settings(
        telegram_token=server.token,
        telegram_api=server.api,
        db=f"sqlite:///{tmp_path / 'ovipost.db'}",
        owners=str(noor.id),
        send_rate=0,
    )


@pytest.fixture
async def bot(settings):
    made = Bot(settings)
    await made.start()
    yield made
    await made.stop()


@pytest.fixture
def talk(server, bot):
    return Talk(server)
