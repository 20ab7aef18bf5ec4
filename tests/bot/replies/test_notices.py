"""Reminders: where to walk, what to take, why now."""

import datetime as dt

import pytest

from bot.ports.messages import Outgoing, plain
from bot.replies import notices
from bot.replies.voice import Voice
from core.journal.kinds import Chore
from core.rules.forecasts import forecasts
from tests.builders import NOON, a_bin, a_chore, a_farm, a_place, a_tub, at

SHELF = {"place": "lamp shelf", "tubs": ("T1", "T2")}


@pytest.fixture
def farm():
    return a_farm(
        a_place(lamp=True),
        a_bin("B1", tray_in_at=at("05-03 07:45")),
        a_bin("B2", chirped_at=at("04-20 08:00")),
        a_tub("T1", NOON - dt.timedelta(days=4), place="lamp shelf"),
        a_tub("T2", NOON - dt.timedelta(days=1), place="lamp shelf"),
    )


def told(farm, *chores, now=NOON):
    return plain(notices.notice(Voice(farm, now), chores, forecasts(farm))).split("\n")


def test_chores_of_one_place_or_bin_go_together():
    water, mold, tray = a_chore(**SHELF), a_chore(Chore.MOLD_CHECK, **SHELF), a_chore(Chore.TRAY_IN, bin="B2")

    assert notices.groups([water, tray, mold]) == [[water, mold], [tray]]


def test_water_names_the_place_its_tubs_and_the_closest(farm):
    assert told(farm, a_chore(**SHELF)) == [
        "Lamp shelf: water tubs 1 and 2.",
        "Tub 1 is closest, pinheads from Sat May 9.",
    ]


def test_a_place_that_nobody_named_is_told_apart(farm):
    assert told(farm, a_chore(tubs=("T1",)))[0] == "Tubs without a place: water tub 1."


def test_a_look_for_pinheads_says_when_they_are_expected(farm):
    first, second = told(farm, a_chore(Chore.HATCH_CHECK, place="lamp shelf", tubs=("T1",)))

    assert first == "Lamp shelf: look for pinheads in tub 1."
    assert second.startswith("Tub 1: pinheads about ")


@pytest.mark.parametrize(
    ("step", "first"),
    [
        (0, "Bin 2: look in. It has been a week since the first chirp."),
        (1, "Bin 2: time for a lay tray, two weeks since the first chirp."),
        (2, "Bin 2: last call for a lay tray, three weeks since the first chirp."),
    ],
)
def test_each_step_to_the_tray_has_its_words(farm, step, first):
    lines = told(farm, a_chore(Chore.TRAY_IN, bin="B2", step=step))

    assert lines[0] == first
    assert len(lines) == 2


@pytest.mark.parametrize(
    ("step", "last"),
    [
        (0, "Bin 1: pull the tray. In since Sun May 3 7:45 am."),
        (1, "Bin 1: the tray is still in, since Sun May 3 7:45 am. Pull it."),
        (2, "A long lay spreads the hatch, and older pinheads eat younger ones."),
    ],
)
def test_each_step_to_the_pull_has_its_words(farm, step, last):
    assert told(farm, a_chore(Chore.PULL_TRAY, bin="B1", step=step))[-1] == last


def test_a_tray_that_comes_due_in_the_quiet_hours_is_asked_for_before(farm):
    early = a_chore(Chore.PULL_TRAY, bin="B1", due=at("05-04 22:00"), ask_at=NOON)

    assert told(farm, early) == ["Bin 1: pull the tray now. Its 24 h end at 10 pm, in your quiet hours."]


def test_what_was_held_back_says_when_it_was_due(farm):
    held = a_chore(due=at("05-04 07:00"), **SHELF)

    assert told(farm, held)[-1] == "This was due Mon May 4 at 7 am."
    assert "due" not in " ".join(told(farm, held, now=at("05-04 07:20")))


def test_what_leaves_late_says_so_once():
    out = Outgoing(key="push:1", chat="c", text="Lamp shelf: water tub 1.", if_late="This was due Mon May 4 at 7 am.")

    once = notices.late_text(out)

    assert once.split("\n")[1:] == ["This was due Mon May 4 at 7 am."]
    assert notices.late_text(Outgoing(key="push:1", chat="c", text=once, if_late=out.if_late)) == once
    assert notices.late_text(Outgoing(key="reply:1", chat="c", text="Noted.")) == "Noted."
