"""What has nothing to do with a farm is left alone, however much of it comes."""

import time

import pytest

from bot.ports.intents import ASK, HELP
from tests.bot.reader import junk
from tests.bot.reader.farms import NOW, juniper_hollow

LANGUAGES = ("en", "es")  # those with a phrasebook
MOST_RECORDED = 0.005  # one line in 200
MOST_SECONDS_A_LINE = 0.01  # what grows with the square would take longer


def recorded(reader, said, language):
    """Give the lines of which something would be recorded, and what."""
    farm = juniper_hollow()
    out = []
    for text in said:
        intents = reader.read(text, at=NOW, farm=farm, language=language).intents
        kinds = [i.kind for i in intents if i.kind not in (ASK, HELP) and not i.needs]
        if kinds:
            out.append(f"{'+'.join(kinds)}: {text}")
    return out


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("count", [1500, pytest.param(10_000, marks=pytest.mark.soak)])
def test_nearly_nothing_is_recorded_of_what_has_nothing_to_do_with_a_farm(reader, count, language):
    said = junk.lines(count)
    started = time.perf_counter()

    found = recorded(reader, said, language)

    assert time.perf_counter() - started < count * MOST_SECONDS_A_LINE
    assert len(said) == count
    assert len(found) <= MOST_RECORDED * count, "\n".join(found)


def test_the_lines_are_the_same_each_time_and_of_many_sorts():
    said = junk.lines(1500)

    assert said == junk.lines(1500)
    assert said != junk.lines(1500, seed=1)
    assert len(set(said)) > 1000


def test_what_is_said_on_a_farm_is_recorded(reader):
    assert recorded(reader, ["watered T10", "nice evening", "what's due"], "en") == ["watered: watered T10"]
