"""While a disease is suspected in a bin, nothing moves into it or out of it."""

import pytest

from core.farm.checks import findings
from core.farm.faults import Fault
from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Trouble
from tests.builders import NOON, a_journal, after, an_event

SICK = (facts.Problem(what=Trouble.SICK, bin="B4"), NOON)
CLEAR = (facts.Cleared(bin="B4"), after(days=3))
OUT, IN = facts.Moved(from_="B4", to="B5", count=5), facts.Moved(from_="B5", to="B4", count=5)


def faults(body, *entries, happened_at):
    found = findings(fold(a_journal(*entries)), an_event(body, number=99, happened_at=happened_at))
    return [(one.fault, one.subject, one.at) for one in found]


@pytest.mark.parametrize("body", [OUT, IN], ids=["out", "in"])
@pytest.mark.parametrize("what", [Trouble.SICK, Trouble.DIE_OFF])
def test_a_move_is_held_back_until_all_is_clear(body, what):
    trouble = (facts.Problem(what=what, bin="B4"), NOON)

    assert faults(body, trouble, happened_at=after(days=1)) == [(Fault.HELD, "B4", NOON)]
    assert faults(body, trouble, CLEAR, happened_at=after(days=4)) == []


def test_a_move_before_it_that_is_told_late_stands():
    assert faults(OUT, SICK, happened_at=after(days=-1)) == []


@pytest.mark.parametrize("body", [facts.Moved(from_="B5", to="B6", count=5), facts.Harvested(bin="B4", count=5)])
def test_other_bins_and_other_work_go_on(body):
    assert faults(body, SICK, happened_at=after(days=1)) == []


@pytest.mark.parametrize("what", [what for what in Trouble if what not in {Trouble.SICK, Trouble.DIE_OFF}])
def test_other_trouble_holds_nothing_back(what):
    assert faults(OUT, (facts.Problem(what=what, bin="B4"), NOON), happened_at=after(days=1)) == []


def test_it_is_held_since_the_first_word_of_it_and_not_if_that_is_taken_back():
    again = (facts.Problem(what=Trouble.DIE_OFF, bin="B4"), after(days=1))

    assert fold(a_journal(SICK, again)).bins["B4"].held_since == NOON
    assert fold(a_journal(SICK, (wants.Undo(of=(1,)), NOON))).bins.get("B4") is None
