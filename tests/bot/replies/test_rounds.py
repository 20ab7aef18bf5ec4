"""Reminders about bins of growing crickets."""

import pytest

from bot.ports.messages import plain
from bot.replies import notices
from bot.replies.voice import Voice
from core.farm.cohorts import Cohort
from core.journal.kinds import Chore
from core.units import SizeGrade
from tests.builders import NOON, a_bin, a_chore, a_climate, a_farm, after

EIGHTH = list(SizeGrade).index(SizeGrade.EIGHTH)


def stocked(name, days_old=20, count=2000, **fields):
    came = after(days=-days_old)
    cohort = Cohort(hatched_at=came, told=((came, count),), is_counted=True)
    return a_bin(name, cohorts=(cohort,), count=count, hatched_at=came, **fields)


def told(*chores, houses=(), language="en"):
    return plain(notices.notice(Voice(a_farm(*houses), NOON, language), chores, {})).split("\n")


def feed(*names):
    return a_chore(Chore.FEED, bins=names)


def water(*names):
    return a_chore(Chore.BIN_WATER, bins=names)


def test_feed_and_water_are_one_message_and_cleaning_another():
    clean, size = a_chore(Chore.CLEAN, bins=("B1",)), a_chore(Chore.SIZE_CHECK, bin="B1")

    assert notices.groups([feed("B1"), clean, water("B1", "B2"), size]) == [
        [feed("B1"), water("B1", "B2")], [clean], [size],
    ]  # fmt: skip


def test_bins_that_want_both_are_told_in_one_line():
    assert told(feed("B1", "B2"), water("B1", "B2")) == ["Bins 1 and 2: feed and give water."]
    assert told(feed("B1", "B2"), water("B2", "B3")) == [
        "Bin 2: feed and give water.", "Bin 1: feed.", "Bin 3: give water.",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("names", "second"),
    [
        (("B1",), "Damp sponge or gel only: pinheads drown in open water."),
        (("B1", "B2"), "Bin 1: damp sponge or gel only, pinheads drown in open water."),
    ],
)
def test_pinheads_get_no_open_water(names, second):
    houses = (stocked("B1", days_old=5), stocked("B2"))

    assert told(water(*names), houses=houses)[1:] == [second]


def test_bins_without_pinheads_need_no_such_word():
    assert told(feed("B1"), water("B2"), houses=(stocked("B1", days_old=5), stocked("B2"))) == [
        "Bin 1: feed.", "Bin 2: give water.",
    ]  # fmt: skip


def test_the_first_size_says_what_warmth_is_assumed():
    chore = a_chore(Chore.SIZE_CHECK, bin="B1", step=EIGHTH)
    read = stocked("B1", readings=(a_climate(),))

    assert told(chore, houses=(stocked("B1"),)) == [
        "Bin 1: should be about 1/8 in by now. Look at a few.",
        "I go by 82°F in there: send me what a thermometer says.",
    ]
    assert len(told(chore, houses=(read,))) == 1
    assert len(told(a_chore(Chore.SIZE_CHECK, bin="B1", step=EIGHTH + 1), houses=(stocked("B1"),))) == 1


def test_a_split_says_how_many_and_what_is_assumed():
    assert told(a_chore(Chore.SPLIT, bin="B1"), houses=(stocked("B1", count=5000),)) == [
        "Bin 1: split it before it is crowded.",
        "About 5,000 grow up in it, and over 3,400 fewer live. I assume a tote with 8 cartons.",
    ]
    assert len(told(a_chore(Chore.SPLIT, bin="B1"))) == 1


def test_cleaning_names_its_practice_and_its_dust():
    practice, dust = told(a_chore(Chore.CLEAN, bins=("B1", "B2")))

    assert practice.startswith("Bins 1 and 2: ")
    assert "common practice" in practice
    assert "ammonia" in dust
    assert "Mask" in dust


def test_the_first_chirp_is_told_in_two_steps():
    assert told(a_chore(Chore.FIRST_CHIRP, bin="B1")) == ["Bin 1: the first may have wings now. Listen for a chirp."]
    assert told(a_chore(Chore.FIRST_CHIRP, bin="B1", step=1))[0].startswith("Bin 1: the males should chirp by now.")


def test_in_spanish():
    houses = (stocked("B1", days_old=5),)

    assert told(feed("B1"), water("B1"), houses=houses, language="es") == [
        "Caja 1: da de comer y agua.",
        "Solo esponja húmeda o gel: las crías se ahogan en agua abierta.",
    ]
