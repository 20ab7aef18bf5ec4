"""Chores are done by people of the farm who may do them."""

import pytest

from core.farm.checks import findings
from core.farm.faults import Fault
from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Role, Weekday
from tests.builders import a_journal, an_event

PEOPLE = (wants.Joined(name="Tomas", role=Role.HAND), wants.Joined(name="Dana", role=Role.LOOKER_ON))


@pytest.mark.parametrize(("name", "fault"), [("Tomas", None), ("Dana", Fault.LOOKS_ON), ("Walt", Fault.NO_SUCH_PERSON)])
@pytest.mark.parametrize(
    "record", [lambda n: wants.Duty(name=n, days=(Weekday.SAT,)), lambda n: wants.Away(name=n)], ids=["duty", "away"]
)
def test_only_who_works_here_has_duties_and_absences(record, name, fault):
    found = findings(fold(a_journal(*PEOPLE)), an_event(record(name), number=9))

    assert [one.fault for one in found] == ([] if fault is None else [fault])


def test_others_are_not_looked_at():
    assert findings(fold(a_journal(*PEOPLE)), an_event(facts.Chirp(bin="B1"), number=9)) == ()
