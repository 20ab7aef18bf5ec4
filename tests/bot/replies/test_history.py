"""What was done last, and who did it."""

import datetime as dt

import pytest
from msgspec.structs import replace

from bot.ports.messages import plain
from bot.replies import history
from bot.replies.voice import Voice
from core.farm.fold import FarmFold
from core.journal import facts, wants
from core.journal.kinds import Chore
from tests.bot.replies.records import the_farm
from tests.builders import NOON, an_event, at

JOURNAL = [
    an_event(facts.Watered(tubs=("T1",)), 1, at("05-02 07:00"), by="Noor"),
    an_event(facts.Watered(place="garage"), 2, at("05-03 07:00"), by="Tomas"),
    an_event(wants.Done(chore=Chore.WATER, of=(1,)), 3, at("05-04 07:10"), by="Tomas"),
    an_event(facts.Chirp(bin="B2"), 4, at("05-04 08:00"), by="Noor"),
    an_event(facts.Watered(all=True), 5, at("05-01 07:00"), by=""),
]


def voice():
    return Voice(the_farm(), NOON)


@pytest.mark.parametrize(
    ("slots", "told"),
    [
        ({"of": "watered", "tub": "T1"}, "Tub 1: watered, by Noor, Sat May 2 7 am."),
        ({"of": "watered", "tub": "T2"}, "Tubs in the garage: watered, by Tomas, Sun May 3 7 am."),
        ({"of": "watered"}, "Lamp shelf: watered, by Tomas, 7:10 am."),
        ({"of": "chirp", "bin": "B2"}, "Bin 2: first chirp, by Noor, 8 am."),
        ({"of": "chirp", "bin": "B1"}, "I have no note of that."),
        ({"of": "mold"}, "I have no note of that."),
    ],
)
def test_the_last_time_is_told_with_who_it_was(slots, told):
    assert plain(history.last_time(voice(), FarmFold(JOURNAL), slots)) == told


def test_who_did_it_on_a_day_or_at_the_last():
    on_sunday = {"of": "watered", "day": dt.date(2026, 5, 3)}

    assert (
        plain(history.who(voice(), FarmFold(JOURNAL), on_sunday))
        == "Tubs in the garage: watered, by Tomas, Sun May 3 7 am."
    )
    assert plain(history.who(voice(), FarmFold(JOURNAL), {"of": "chirp"})) == "Bin 2: first chirp, by Noor, 8 am."
    assert (
        history.who(voice(), FarmFold(JOURNAL), {"of": "mold", "day": dt.date(2026, 5, 3)}) == "I have no note of that."
    )


def test_the_time_of_what_was_told_later_stands_once():
    late = replace(JOURNAL[3], said_at=at("05-04 11:00"))

    assert plain(history.who(voice(), FarmFold([late]), {"of": "chirp"})) == "Bin 2: first chirp, by Noor, 8 am."


def test_of_a_busy_day_the_last_things_are_told_in_their_order():
    journal = [an_event(facts.Chirp(bin=f"B{n}"), n, at(f"05-03 1{n}:00"), by="Noor") for n in range(8)]
    journal.append(an_event(facts.Chirp(bin="B9"), 9, at("05-04 00:00"), by="Noor"))

    told = history.who(voice(), FarmFold(journal), {"of": "chirp", "day": dt.date(2026, 5, 3)}).splitlines()

    assert len(told) == history.MOST_ROWS + 1
    assert told.pop(0) == "3 records before these."
    assert ("Bin 3" in told[0], "Bin 7" in told[-1]) == (True, True)
