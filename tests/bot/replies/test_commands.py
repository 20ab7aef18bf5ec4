"""Commands for the thumb."""

import re

import pytest

from bot.replies import commands
from bot.replies.languages import languages
from tests.builders import NOON, a_farm


@pytest.mark.parametrize("language", languages())
def test_each_command_has_a_name_and_a_use_that_a_service_takes(language):
    listed = commands.by_language()[language]

    assert [name for name, _ in listed] == list(commands.SHORT_FOR)
    assert all(re.fullmatch("[a-z]{2,12}", name) and 3 < len(use) < 40 for name, use in listed)


def test_a_command_is_short_for_a_sentence_that_is_understood(reader):
    short = {name: commands.phrase(f"/{name}") for name in commands.SHORT_FOR}

    unread = [name for name, text in short.items() if text and not reader.read(text, at=NOON, farm=a_farm()).intents]

    assert unread == []
    assert short["due"] == "what's due"


def test_what_is_no_command_is_short_for_nothing():
    assert [commands.phrase(text) for text in ("due", "/nope", "/", "", "/invite", "/DUE")] == [None] * 6
