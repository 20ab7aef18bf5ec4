"""What a record is missing."""

import msgspec
import pytest

from core.journal import facts, wants
from core.journal.record import Moment, missing


@pytest.mark.parametrize("empty", [None, (), []], ids=repr)
def test_an_empty_slot_is_a_missing_one(empty):
    assert missing(facts.Dry, {"tubs": empty}) == ("tubs",)


def test_zero_and_false_are_answers():
    assert missing(facts.Covered, {"on": False, "tubs": ["T1"]}) == ()
    assert missing(wants.Order, {"count": 0, "size": "adult", "due": "2026-06-01"}) == ()


def test_a_slot_goes_by_its_name_in_the_schema():
    assert missing(facts.Moved, {"from": "B1", "to": "B2"}) == ()


def test_a_moment_without_a_zone_is_not_read():
    with pytest.raises(msgspec.ValidationError):
        msgspec.convert("2026-05-04T12:00", Moment)
