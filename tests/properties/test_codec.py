"""What the journal writes it reads again, whatever was said."""

import pytest
from hypothesis import given

from core.farm.corrections import fixed
from core.journal import codec, wants
from core.journal.record import missing
from tests.builders import an_event
from tests.properties.strategies import bodies


@given(bodies)
def test_a_body_of_any_kind_comes_back_as_it_was_written(body):
    assert codec.decode(codec.encode(body)) == body


@given(bodies)
def test_a_body_of_any_kind_can_be_made_from_its_slots_unless_it_lacks_one(body):
    kind, slots = codec.kind_of(body), codec.slots_of(body)
    if missing(type(body), slots):
        with pytest.raises(codec.Incomplete):
            codec.body_of(kind, slots)
    else:
        assert codec.body_of(kind, slots) == body


@given(bodies)
def test_a_fix_of_nothing_changes_nothing(body):
    entry = an_event(body)

    assert missing(type(body), codec.slots_of(body)) or fixed(entry, wants.Fix(of=1)) == entry
