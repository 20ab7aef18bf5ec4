"""What is open between the assistant and a person."""

import datetime as dt

import msgspec
import pytest

from bot.assistant.dialog import KEPT, TYPED_WITHIN, Dialog, Question, dump, load
from tests.builders import NOON, after


def a_question(**fields):
    return Question(**({"id": 0, "kind": "tray_in", "slots": {}, "slot": "bin", "said_at": NOON} | fields))


def opened(*questions):
    dialog = Dialog()
    for question in questions:
        dialog, _ = dialog.open(question)
    return dialog


def test_questions_are_numbered_and_found_by_their_number():
    dialog = opened(a_question(slot="bin"), a_question(slot="place"))

    assert [q.id for q in dialog.questions] == [1, 2]
    assert dialog.find(2).slot == "place"
    assert dialog.find(3) is None


def test_a_number_is_never_given_twice():
    dialog = opened(a_question())

    again, _ = dialog.close(dialog.find(1)).open(a_question())

    assert [q.id for q in again.questions] == [2]


def test_beyond_the_most_the_oldest_falls_out_and_comes_back():
    dialog = opened(*[a_question(text=str(n)) for n in range(KEPT)])

    full, dropped = dialog.open(a_question(text="one more"))

    assert dropped.text == "0"
    assert [q.text for q in full.questions] == [*map(str, range(1, KEPT)), "one more"]


def test_questions_of_a_message_that_does_not_hold_any_more_go():
    dialog = opened(a_question(message="a"), a_question(message="b"))

    assert [q.message for q in dialog.without({"a"}).questions] == ["b"]


def test_a_typed_answer_goes_to_the_newest_for_half_a_day():
    dialog = opened(a_question(slot="bin"), a_question(slot="place"))

    assert dialog.newest(NOON + TYPED_WITHIN).slot == "place"
    assert dialog.newest(NOON + TYPED_WITHIN + dt.timedelta(seconds=1)) is None
    assert Dialog().newest(NOON) is None


def test_it_is_the_same_after_it_was_kept():
    slots = {"tubs": ["T1"], "temp_c": 31.1, "on": True}
    dialog = msgspec.structs.replace(opened(a_question(slots=slots, at=after(hours=-1))), setup=("places", "name"))

    assert load(dump(dialog), 0) == dialog
    assert load(None, 0) == Dialog()


def test_what_is_no_dialog_is_not_read():
    with pytest.raises(msgspec.DecodeError):
        load(b"{", 0)
