"""Undo, put back, put right, and edited messages."""

import datetime as dt

import pytest

from bot.ports.intents import Intent
from core.journal import facts
from core.journal.wants import Fix, Undo
from tests.builders import after


@pytest.fixture
def with_tray(talk):
    talk.tells("Noor", "tray_in", bin="B1")
    return talk


def test_undo_takes_back_the_persons_own_last_message(with_tray):
    with_tray.tells("Tomas", "chirp", bin="B2")

    told = with_tray.tells("Noor", "undo")

    assert told.text == "Taken back: Bin 1: lay tray in."
    assert told.labels == ("Put it back",)
    assert with_tray.farm.bins["B1"].tray is None
    assert with_tray.farm.bins["B2"].chirped_at is not None


def test_undo_goes_further_back_each_time_and_then_says_so(with_tray):
    with_tray.tells("Noor", "chirp", bin="B3")

    told = [with_tray.tells("Noor", "undo").text for _ in range(3)]

    assert told == [
        "Taken back: Bin 3: first chirp.",
        "Taken back: Bin 1: lay tray in.",
        "There is nothing of yours to take back.",
    ]


def test_the_button_takes_back_its_own_message_and_once(with_tray):
    data = with_tray.button("Noor", "Undo")
    with_tray.tells("Noor", "chirp", bin="B3")

    first, second = (with_tray.presses_data("Noor", data)[0] for _ in range(2))

    assert first.text == "Taken back: Bin 1: lay tray in."
    assert second.text == "That was taken back already."


def test_what_is_put_back_holds_again_and_can_go_again(with_tray):
    with_tray.press("Noor", "Undo")

    assert with_tray.press("Noor", "Put it back").text == "Put back: Bin 1: lay tray in."
    assert with_tray.farm.bins["B1"].tray is not None
    assert with_tray.press("Noor", "Put it back").text == "That was taken back already."
    assert with_tray.tells("Noor", "undo").text == "Taken back: Bin 1: lay tray in."


def test_a_question_that_came_of_what_is_taken_back_goes_with_it(with_tray):
    with_tray.tells("Noor", "tray_out", bin="B1")
    shelf = with_tray.button("Noor", "Lamp shelf")
    with_tray.press("Noor", "Undo")

    (told,) = with_tray.presses_data("Noor", shelf)

    assert told.text.startswith("That question is answered or too old.")
    assert with_tray.farm.tubs == {}


def test_taking_a_tub_back_leaves_none_of_its_reminders(talk):
    talk.pull()
    talk.pass_until(talk.clock.now() + (after(hours=6) - after()))
    talk.press("Noor", "Watered")

    talk.press("Noor", "Undo", at=next(t.at for t in talk.told if t.lines[0].startswith("Tub 1: pulled")))

    assert talk.farm.tubs == {}
    assert [t.text for t in talk.pass_until(talk.clock.now() + (after(days=2) - after())) if "tub" in t.text] == []


@pytest.mark.parametrize(
    ("kind", "slots", "change", "told"),
    [
        ("chirp", {"bin": "B1"}, {"bin": "B3"}, "Put right. Bin 3: first chirp."),
        ("watered", {"tubs": ["T1"]}, {"tub": "T2"}, "Put right. Tub 2: watered."),
        ("watered", {"tubs": ["T1"]}, {"place": "rack"}, "Put right. Tubs on the rack: watered."),
        ("watered", {"place": "rack"}, {"tubs": ["T1"]}, "Put right. Tub 1: watered."),
        ("hatch", {"tub": "T1"}, {"tubs": ["T2"]}, "Put right. Tub 2: pinheads seen."),
        ("fed", {"bins": ["B1"]}, {"bin": "B2"}, "Put right. Bin 2: fed."),
        ("reading", {"place": "rack", "temp_c": 30.0}, {"temp_c": 31.1}, "Put right. Rack: 88°F."),
        ("reading", {"place": "rack", "temp_c": 30.0}, {"place": "attic"}, "Put right. Attic: 86°F."),
    ],
)
def test_a_fix_takes_the_slots_by_the_name_that_the_record_has_for_them(talk, kind, slots, change, told):
    talk.pull("B1")
    talk.pull("B2")
    talk.tells("Noor", kind, slots)

    answer = talk.tells("Noor", "fix", change)

    assert answer.lines[0] == told
    assert answer.outgoing.about.events == [{"kind": "fix", **change}]
    assert "Undo" in answer.labels


def test_a_fix_can_be_taken_back(with_tray):
    with_tray.tells("Noor", "fix", bin="B3")

    with_tray.press("Noor", "Undo")

    assert with_tray.farm.bins["B1"].tray is not None
    assert with_tray.farm.bins["B3"].tray is None


def test_a_fix_of_the_time_moves_the_whole_message(talk):
    talk.means("two", *(Intent(kind="chirp", slots={"bin": name}) for name in ("B1", "B2")))
    talk.says("Noor", "two")

    talk.tells("Noor", "fix", at=after(days=-1))

    assert [talk.farm.bins[name].chirped_at for name in ("B1", "B2")] == [after(days=-1)] * 2


def test_a_tray_that_was_pulled_by_button_can_be_moved_in_time(with_tray):
    with_tray.pass_until(after(days=1))
    with_tray.clock.forward(hours=1)
    with_tray.press("Noor", "Pulled")

    told = with_tray.tells("Noor", "fix", at=after(days=1, minutes=10))

    assert told.lines == ["Put right. Tub 1: pulled from bin 1 after 24 h, 12:10 pm."]
    assert with_tray.farm.tubs["T1"].pulled_at == after(days=1, minutes=10)


def test_a_tray_that_was_pulled_by_button_in_another_bin_leaves_the_first_one_to_be_pulled(with_tray):
    with_tray.tells("Noor", "tray_in", bin="B3")
    with_tray.pass_until(after(days=1))
    with_tray.press("Noor", "Pulled")
    pulled = with_tray.farm.tubs["T1"].bin

    with_tray.tells("Noor", "fix", bin={"B1": "B3", "B3": "B1"}[pulled])

    assert with_tray.farm.bins[pulled].tray is not None
    assert list(with_tray.farm.tubs) == ["T1"]
    assert with_tray.press("Noor", "Pulled").lines[0].startswith("Tub 2: pulled from")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"bin": "B2"}, "Bin 2 has no tray in it, so I wrote nothing down."),
        ({"temp_c": 30.0}, "I could not put that right in: Tub 1: pulled from bin 1, on the lamp shelf."),
        ({"density": "heaps"}, "I could not put that right in: Tub 1: pulled from bin 1, on the lamp shelf."),
        ({}, "I could not put that right in: Tub 1: pulled from bin 1, on the lamp shelf."),
    ],
    ids=str,
)
def test_a_fix_that_cannot_be_is_refused(talk, change, told):
    talk.pull()
    before = talk.last_number

    answer = talk.tells("Noor", "fix", change)

    assert answer.lines[0].startswith(told)
    assert talk.last_number == before


def test_there_is_nothing_to_put_right_of_anybody_else(with_tray):
    assert with_tray.tells("Tomas", "fix", bin="B3").text.startswith("There is nothing of yours to put right.")
    assert with_tray.farm.bins["B1"].tray is not None


def test_an_edited_message_takes_the_place_of_the_old(talk):
    talk.means("bin 1 chirps", Intent(kind="chirp", slots={"bin": "B1"}))
    talk.means("bin 2 chirps", Intent(kind="chirp", slots={"bin": "B2"}))
    talk.says("Noor", "bin 1 chirps")

    (told,) = talk.edits("Noor", "bin 2 chirps")

    assert told.lines[0] == "Bin 2: first chirp."
    assert [talk.farm.bins[name].chirped_at is None for name in ("B1", "B2")] == [True, False]


def test_an_edit_to_nothing_says_what_was_taken_back(talk):
    talk.means("bin 1 chirps", Intent(kind="chirp", slots={"bin": "B1"}))
    talk.says("Noor", "bin 1 chirps")

    (told,) = talk.edits("Noor", "nothing of note")

    assert told.text == "Taken back: Bin 1: first chirp."


def test_an_edit_closes_the_question_of_the_old_text(talk):
    talk.means("tray", Intent(kind="tray_in", slots={}, needs=("bin",)))
    talk.means("tray in bin 2", Intent(kind="tray_in", slots={"bin": "B2"}))
    talk.says("Noor", "tray")
    old = talk.button("Noor", "Bin 1")

    talk.edits("Noor", "tray in bin 2")
    (told,) = talk.presses_data("Noor", old)

    assert told.text.startswith("That question is answered or too old.")
    assert [b.name for b in talk.farm.bins_with_tray()] == ["B2"]


def test_nothing_is_ever_deleted(with_tray):
    before = list(with_tray.fold.events)
    with_tray.tells("Noor", "fix", bin="B3")
    with_tray.tells("Noor", "undo")

    after_all = with_tray.fold.events

    assert after_all[: len(before)] == before
    assert {type(e.body) for e in after_all[len(before) :]} == {Fix, Undo}
    assert [e.body for e in with_tray.fold.in_force if isinstance(e.body, facts.TrayIn)] == [facts.TrayIn(bin="B1")]


def test_an_edit_that_comes_before_its_message_stands_and_the_message_adds_nothing(talk):
    talk.means("bin 1 chirps", Intent(kind="chirp", slots={"bin": "B1"}))
    talk.means("bin 2 chirps", Intent(kind="chirp", slots={"bin": "B2"}))

    (edited,) = talk.says("Noor", "bin 2 chirps", is_edit=True, message="chat:message:out of order")
    behind = talk.says("Noor", "bin 1 chirps", message="chat:message:out of order")

    assert edited.lines[0] == "Bin 2: first chirp."
    assert behind == []
    assert [talk.farm.bins[name].chirped_at is None for name in ("B1", "B2")] == [True, False]


def test_a_message_adds_nothing_to_the_question_that_its_edit_has_asked(talk):
    talk.means("tray", Intent(kind="tray_in", slots={}, needs=("bin",)))
    talk.means("tray in bin 2", Intent(kind="tray_in", slots={"bin": "B2"}))

    talk.says("Noor", "tray", is_edit=True, message="chat:message:out of order")
    behind = talk.says("Noor", "tray in bin 2", message="chat:message:out of order")
    talk.press("Noor", "Bin 1")

    assert behind == []
    assert [b.name for b in talk.farm.bins_with_tray()] == ["B1"]


def test_an_edit_of_a_message_that_is_not_known_counts_from_when_that_was_written(talk):
    talk.means("bin 1 chirps", Intent(kind="chirp", slots={"bin": "B1"}))
    written_at = talk.clock.now() - dt.timedelta(days=3)

    (told,) = talk.says("Noor", "bin 1 chirps", is_edit=True, message="chat:message:long ago", sent_at=written_at)

    assert told.lines[0] == "Bin 1: first chirp."
    assert talk.farm.bins["B1"].chirped_at == written_at
