"""A chore that is due, and the reminders that were for the same."""

import pytest

from core.journal.kinds import Chore
from tests.builders import a_chore, an_asked


def test_what_a_chore_is_for_is_its_work_bin_place_and_order():
    assert a_chore(place="attic").subject == (Chore.WATER, None, "attic", None)


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        pytest.param(an_asked(place="attic", tubs=("T1",)), True, id="the same, for other tubs"),
        pytest.param(an_asked(place="garage"), False, id="another place"),
        pytest.param(an_asked(), False, id="no place"),
        pytest.param(an_asked(Chore.MOLD_CHECK, place="attic"), False, id="another chore"),
    ],
)
def test_a_reminder_is_for_the_same_chore_in_the_same_place(asked, expected):
    assert a_chore(place="attic", tubs=("T2",)).is_same_subject(asked) is expected
