"""A farm to talk to."""

import pytest

from tests.bot.assistant.talk import Talk


@pytest.fixture
def talk():
    return Talk()
