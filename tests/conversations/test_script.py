"""The scripts' own form: what is written wrong is told, never passed over."""

import datetime as dt

import pytest

from tests.conversations import script
from tests.conversations.test_conversations import Play
from tests.memory import MemoryStore

HEAD = """What it is about: a heading is needed.

zone: America/Denver
start: 2026-03-07 08:00
farm: Ocotillo Flats
people: Noor owner
places: shelf (lamp)
bins: B1

"""


def read(*lines):
    return script.read(HEAD + "\n".join(lines))


def test_a_step_has_its_time_on_the_farms_clocks_and_all_that_is_expected():
    (step,) = read(
        "-- Sun Mar 8",
        '18:00 Noor: "tub\\u00201"',
        "    Tub 1",
        "    not: bin",
        "    [Undo] [Why Sat?]",
        "    records: watered, mold",
    ).steps

    assert step.at == dt.datetime(2026, 3, 9, 0, 0, tzinfo=dt.UTC)
    assert (step.act, step.words["who"], step.words["text"]) == ("say", "Noor", "tub 1")
    assert (step.has, step.has_not, step.labels) == (["Tub 1"], ["bin"], ["Undo", "Why Sat?"])
    assert step.records == ["watered", "mold"]


def test_days_go_on_into_the_next_year():
    steps = read("-- Sat Mar 7", "18:00 restart", "-- Fri Jan 1", "18:00 restart").steps

    assert [step.at.year for step in steps] == [2026, 2027]


@pytest.mark.parametrize(
    "lines",
    [
        ["-- Mon Mar 8"],
        ["-- Sun Mar 8", "18:00 Noor whistles"],
        ["-- Sun Mar 8", "1800 Noor: hi"],
        ["18:00 Noor: hi"],
        ["    Tub 1"],
    ],
)
def test_a_line_that_makes_no_sense_is_named(lines):
    with pytest.raises(script.ScriptError, match="line 1"):
        read(*lines)


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        (["08:00 Noor: chirping in bin 1", "    Bin 2"], "not said: 'Bin 2'"),
        (["08:00 Noor: chirping in bin 1", "    not: Bin 1"], "said: 'Bin 1'"),
        (["08:00 Noor: chirping in bin 1", "    [Nope]"], "no button 'Nope'"),
        (["08:00 Noor: chirping in bin 1", "    records: nothing"], "records"),
        (["08:00 Noor: chirping in bin 1", "    silence"], "an answer"),
        (["08:00 Noor: tray in bin 1", "-- Mon Mar 9", "08:00 Noor: help"], "pushed before"),
        (["08:00 Noor: tray in bin 1", "-- Sun Mar 8", "09:05 push to Noor"], "a push at"),
        (["08:00 push to Noor"], "no push"),
        (["08:00 meanwhile pushes daily at 07:00"], "no push at all"),
    ],
)
def test_a_conversation_that_goes_another_way_fails(reader, lines, told):
    play = Play("it", read("-- Sat Mar 7", *lines), MemoryStore(), reader)

    with pytest.raises(AssertionError, match=told):
        play.run()
