"""What "fed", "watered" and "cleaned" are about where no name is said."""

import datetime as dt

import pytest
from msgspec.structs import replace

from bot.reader.reader import Reader
from core.farm.cohorts import Cohort
from core.journal.kinds import Chore
from tests.builders import NOON, a_bin, a_farm, a_place, a_tub, after, an_asked

READER = Reader()
ROUND = (
    an_asked(Chore.FEED, 7, bins=("B1", "B2")),
    an_asked(Chore.BIN_WATER, 8, bins=("B1", "B2")),
    an_asked(Chore.CLEAN, 5, bins=("B2",)),
)
TUB = a_tub(place="lamp shelf")


def bins():
    held = (Cohort(hatched_at=NOON),)
    return (a_bin("B1", cohorts=held), a_bin("B2", cohorts=held), a_bin("B3"))


def slots(text, *asked, tubs=(TUB,), later=dt.timedelta(minutes=10), language="en"):
    farm = a_farm(*bins(), *tubs, a_place(), *asked)
    (intent,) = READER.read(text, at=NOON + later, farm=farm, language=language).intents
    return intent.slots


@pytest.mark.parametrize(
    ("text", "named"),
    [("fed", ["B1", "B2"]), ("fed the crickets", ["B1", "B2"]), ("watered", ["B1", "B2"]), ("cleaned", ["B2"])],
)
def test_it_is_of_the_bins_that_were_asked_for(text, named):
    assert slots(text, *ROUND) == {"bins": named}


@pytest.mark.parametrize("text", ["fed bin 3", "fed bin 3 carrots"])
def test_a_bin_that_is_named_is_meant(text):
    assert slots(text, *ROUND)["bins"] == ["B3"]


def test_a_round_that_is_ended_or_long_ago_is_not_meant():
    ended = replace(ROUND[0], ended_at=after(minutes=5))

    assert "bins" not in slots("fed", ended)
    assert "bins" not in slots("fed", ROUND[0], later=dt.timedelta(hours=13))
    assert "bins" not in slots("fed")


def test_watered_is_of_the_tubs_where_those_were_asked_for_last():
    tubs = an_asked(Chore.WATER, 9, place="lamp shelf", tubs=("T1",))

    assert slots("watered", *ROUND, tubs) == {"place": "lamp shelf"}


@pytest.mark.parametrize("text", ["watered all bins", "watered the bins", "gave all the bins water"])
def test_all_bins_are_not_all_tubs(text):
    assert slots(text) == {"bins": ["B1", "B2"]}


def test_all_are_the_tubs_where_there_are_some_else_the_bins():
    assert slots("watered everything") == {"all": True}
    assert slots("watered everything", tubs=()) == {"bins": ["B1", "B2"]}
    assert slots("watered all the tubs") == {"all": True}


@pytest.mark.parametrize(
    ("text", "chore"),
    [
        ("pause the cleaning reminders", "clean"),
        ("no more size reminders", "size_check"),
        ("pause the water reminders for the bins", "bin_water"),
        ("pause the water reminders", "water"),
    ],
)
def test_each_chore_can_be_paused(text, chore):
    assert slots(text)["what"] == chore


def test_in_spanish():
    assert slots("regué todas las cajas", language="es") == {"bins": ["B1", "B2"]}
