"""The next generation: the chain does not break, breeders are replaced, enough are kept back."""

import pytest

from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Chore, Setting
from core.rules import breeders
from core.rules.agenda import agenda
from core.rules.space import ROOM
from tests.builders import DENVER, NOON, a_journal, after, at

MONDAY = at("05-11 07:00")
ZONE = (wants.Set(what=Setting.TIMEZONE, to=DENVER), after(days=-90))
GROWING = facts.Stocked(bin="B4", tubs=("T1",), count=800)
OLD = ((facts.Stocked(bin="B1", count=300), after(days=-70)), (facts.Adults(bin="B1"), after(days=-20)))


def a_farm(*entries):
    return fold(a_journal(ZONE, *entries))


def asked(farm, now, *chores):
    return [c.chore for c in agenda(farm, now).to_ask if c.chore in chores]


@pytest.mark.parametrize(
    ("hatched", "breaks"),
    [
        pytest.param(after(days=-20), False, id="nymphs of four weeks lay in six"),
        pytest.param(after(days=5), True, id="pinheads of two days do not yet"),
        pytest.param(after(days=-60), True, id="adults of today do no more"),
    ],
)
def test_on_monday_the_chain_is_looked_at(hatched, breaks):
    farm = a_farm(*OLD, (GROWING, hatched))

    assert asked(farm, MONDAY, Chore.BREEDERS) == [Chore.BREEDERS] * breaks


def test_on_other_days_it_is_not_asked_again():
    assert asked(a_farm(*OLD), after(MONDAY, days=2), Chore.BREEDERS) == []


def test_a_chain_that_holds_today_is_looked_at_on_the_monday_on_which_it_breaks():
    work = agenda(a_farm(*OLD, (GROWING, after(days=-20))), MONDAY)
    waiting = [c.due for c in work.waiting if c.chore is Chore.BREEDERS]

    assert len(waiting) == 2
    assert waiting[0] > MONDAY
    assert waiting[1] - waiting[0] == breeders.WEEK
    assert asked(a_farm(*OLD, (GROWING, after(days=-20))), waiting[0], Chore.BREEDERS) == [Chore.BREEDERS]


def test_a_farm_that_told_of_its_bins_this_morning_is_asked_a_week_later():
    work = agenda(a_farm((facts.Stocked(bin="B4", count=800), after(MONDAY, minutes=5))), after(MONDAY, minutes=6))

    assert next(c.due for c in work.waiting if c.chore is Chore.BREEDERS) == after(MONDAY, days=7)


def test_a_farm_that_never_told_what_its_bins_hold_is_not_asked():
    assert asked(a_farm((facts.Chirp(bin="B1"), NOON)), MONDAY, Chore.BREEDERS, Chore.AGE_OUT) == []


def test_a_bin_is_to_be_replaced_after_three_weeks_of_laying():
    # First eggs 8 days after the last moult, good laying until day 30: common practice, no source.
    farm = a_farm(*OLD)

    assert asked(farm, after(days=9), Chore.AGE_OUT) == []
    assert asked(farm, after(days=10, hours=1), Chore.AGE_OUT) == [Chore.AGE_OUT]


def test_those_kept_back_fill_a_bin_with_their_young():
    females = breeders.to_keep_back() / 2
    eggs = females * 40.0  # a day and female; 20 to 90 are told of: core.science.adult_figures

    assert eggs * 0.80 * 0.75 * 0.80 == pytest.approx(ROOM, rel=0.02)


def test_breeders_that_all_come_from_one_bin_are_known():
    pulled = (facts.TrayOut(bin="B1", tub="T1"), after(days=-60)), (facts.TrayOut(bin="B1", tub="T2"), after(days=-50))
    other = (facts.TrayOut(bin="B9", tub="T2"), after(days=-50))
    stocked = (
        (facts.Stocked(bin="B4", tubs=("T1",), count=9), after(days=-40)),
        (facts.Stocked(bin="B5", tubs=("T2",), count=9), after(days=-30)),
        (facts.Adults(bin="B4"), NOON),
    )

    same = a_farm(*pulled, *stocked)
    mixed = a_farm(pulled[0], other, *stocked)

    assert breeders.same_line(same, same.bins["B5"]) == "B1"
    assert breeders.same_line(mixed, mixed.bins["B5"]) is None
