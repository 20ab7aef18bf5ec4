"""What is due now, on a day, and in the days to come."""

import datetime as dt

from bot.ports.messages import plain
from bot.replies import worklist
from bot.replies.voice import Voice
from core.journal.kinds import Chore
from core.rules.forecasts import forecasts
from tests.builders import NOON, a_chore, a_farm, a_place, a_tub, at

WATER = a_chore(due=at("05-04 07:00"), place="lamp shelf", tubs=("T1", "T2"))
PULL = a_chore(Chore.PULL_TRAY, due=at("05-05 08:00"), bin="B1")


def said(text):
    return plain(text).split("\n")


def voice():
    return Voice(a_farm(), NOON)


def test_what_is_due_is_told_soonest_first():
    look = a_chore(Chore.TRAY_IN, due=at("05-03 08:00"), bin="B2")

    assert said(worklist.due_now(voice(), [WATER, look], [])) == [
        "Due now:",
        "Bin 2: lay tray, Sun May 3 8 am.",
        "Lamp shelf: water tubs 1 and 2, 7 am.",
    ]


def test_where_nothing_is_due_the_next_is_named():
    assert said(worklist.due_now(voice(), [], [PULL])) == [
        "Nothing due now.",
        "Next: bin 1, pull the tray, Tue May 5 8 am.",
    ]
    assert said(worklist.due_now(voice(), [], [])) == ["Nothing due now."]


def test_a_day_has_its_own_list():
    work = [WATER, PULL]

    assert said(worklist.due_on(voice(), dt.date(2026, 5, 5), work)) == [
        "Tue May 5:",
        "Bin 1: pull the tray, 8 am.",
    ]
    assert said(worklist.due_on(voice(), dt.date(2026, 5, 6), work)) == ["Nothing due Wed May 6."]


def test_a_long_list_is_cut_and_says_so():
    work = [a_chore(due=NOON + dt.timedelta(minutes=n), bin=f"B{n}", chore=Chore.TRAY_IN) for n in range(1, 21)]

    lines = said(worklist.due_now(voice(), work, []))

    assert len(lines) == 1 + worklist.MOST_ROWS + 1
    assert lines[-1] == "And 5 more."


def test_an_agenda_tells_daily_rounds_once_and_the_hatches():
    farm = a_farm(a_place(lamp=True), a_tub("T1", NOON - dt.timedelta(days=8), place="lamp shelf"))
    rounds = [a_chore(due=NOON + dt.timedelta(days=d), place="lamp shelf", tubs=("T1",)) for d in range(1, 8)]

    lines = said(worklist.agenda_of(Voice(farm, NOON), 7, [*rounds, PULL], forecasts(farm)))

    assert lines[0] == "Next 7 days:"
    assert [line.split(":")[0] for line in lines[1:]] == ["Bin 1", "Lamp shelf", "Tub 1"]


def test_an_agenda_of_nothing():
    assert said(worklist.agenda_of(voice(), 3, [], {})) == ["Nothing comes up in the next 3 days."]
