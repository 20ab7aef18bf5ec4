"""The whole farm on one screen."""

import datetime as dt

import pytest

from bot.ports.messages import plain
from bot.replies.board import board
from bot.replies.voice import Voice
from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Addable, Density, Setting, Trouble
from core.rules.agenda import agenda, coming
from core.rules.forecasts import forecasts
from core.units import SizeGrade
from tests.builders import DENVER, NOON, a_journal, after

WIDTH = 44  # of the longest line; a phone shows about 40 without a break
FOUNDED = (
    (wants.Set(what=Setting.NAME, to="Ocotillo Flats"), after(days=-90)),
    (wants.Set(what=Setting.TIMEZONE, to=DENVER), after(days=-90)),
)
NOW = after(days=2)


def shown(*journal, now=NOW, language="en"):
    farm = fold(a_journal(*FOUNDED, *journal))
    known = forecasts(farm)
    ahead = list(coming(farm, now, now + dt.timedelta(days=7), known))
    return plain(board(Voice(farm, now, language), agenda(farm, now, known), ahead, known)).split("\n")


def a_tub(name="T1", **fields):
    return facts.TrayOut(bin="B1", tub=name, **({"place": "lamp shelf", "density": Density.MANY} | fields))


def add(what, name, **fields):
    return wants.Add(what=what, name=name, **fields)


def test_an_empty_farm_says_how_to_begin():
    assert shown() == ["Nothing on the farm yet. Tell me what you have, for example: bin 1 is chirping."]


def test_a_farm_is_told_place_by_place_and_bin_by_bin():
    journal = (
        add(Addable.PLACE, "lamp shelf", lamp=True),
        add(Addable.BIN, "B6"),
        facts.Reading(place="lamp shelf", temp_c=31.0),
        facts.Stocked(bin="B4", tubs=("T9",), count=2000),
        facts.Adults(bin="B1"),
        a_tub(),
        (facts.TrayIn(bin="B1"), after(hours=40)),
    )

    assert shown(*journal) == [
        "Ocotillo Flats",
        "Lamp shelf: 88°F, Mon May 4 12 pm",
        "  tub 1: 11 days, Sun May 17",
        "Bin 1: adults, tray in",
        "Bin 4: pinheads, about 2,000",
        "Empty: bin 6",
        "Due now: 3 chores",
        "  lamp shelf: water",
        "  bin 4: feeding, drinking water",
    ]


@pytest.mark.parametrize(
    ("journal", "state"),
    [
        pytest.param(((a_tub(), NOON), (facts.Hatch(tub="T1"), after(days=1))), "hatching", id="pinheads seen"),
        pytest.param(((a_tub(), after(days=-60)),), "overdue, look", id="long past its day"),
        pytest.param(((a_tub(), NOON), (facts.Dry(tubs=("T1",)), after(days=1))), "and dry", id="dry"),
        pytest.param(
            ((a_tub(), NOON), (facts.Mold(tubs=("T1",), removed=False), after(days=1))), "and mold", id="moldy"
        ),
        pytest.param(((facts.Placed(tubs=("T1",), place="attic"), NOON),), "no day yet", id="of unknown age"),
    ],
)
def test_a_tub_says_how_far_it_is(journal, state):
    assert any(line.startswith("  tub 1:") and line.endswith(state) for line in shown(*journal))


def test_a_bin_that_is_held_back_is_marked():
    journal = (facts.Stocked(bin="B4", tubs=("T9",), count=900), facts.Problem(what=Trouble.SICK, bin="B4"))

    assert "Bin 4: pinheads, about 880, held back" in shown(*journal)


def test_a_size_that_was_seen_goes_before_the_reckoned():
    journal = (
        (facts.Stocked(bin="B4", tubs=("T9",), count=900), after(days=-20)),
        (facts.Sized(bin="B4", size=SizeGrade.HALF), after(days=1)),
    )

    assert any(line.startswith("Bin 4: 1/2 in, about") for line in shown(*journal))


def test_where_nothing_is_due_what_comes_next_is_told():
    lines = shown(facts.Chirp(bin="B1"))

    assert lines[-2:] == ["Nothing due now.", "Next: bin 1, lay tray, Mon May 11 12 pm"]


def test_the_next_order_is_told():
    order = wants.Order(who="Delgado", count=300, size=SizeGrade.HALF, due=dt.date(2026, 5, 9))

    assert shown(add(Addable.BIN, "B1"), order)[-1] == "Order: Delgado, 300 of 1/2 in, Sat May 9"


def test_a_large_farm_is_folded():
    bins = [facts.Stocked(bin=f"B{n}", tubs=("T99",), count=500) for n in range(1, 16)]
    tubs = [a_tub(f"T{n}") for n in range(1, 16)]

    lines = shown(*bins, *tubs)

    assert "  and 5 more tubs" in lines
    assert "and 3 more bins" in lines
    assert len(lines) <= 35


def test_it_fits_a_phone():
    journal = (facts.Stocked(bin="B14", tubs=("T9",), count=22000), a_tub("T12"))

    assert max(len(line) for lines in (shown(*journal), shown(*journal, language="es")) for line in lines) <= WIDTH
