"""Undo and fix: which events hold, and in what form."""

import msgspec
import pytest

from core.farm.corrections import Standing, fixed
from core.farm.fold import FarmFold, fold
from core.journal import facts, notices, wants
from core.journal.codec import Incomplete
from core.journal.kinds import Chore
from tests.builders import NOON, a_journal, after, an_event

CHIRP = facts.Chirp(bin="B1")


def standing(journal):
    found = Standing()
    found.take(journal)
    return found


def in_force(journal):
    return FarmFold(journal).in_force


def undone(journal):
    known = standing(journal)
    return {e.number for e in journal if known.is_gone(e.number)}


class TestUndo:
    def test_an_event_taken_back_is_gone(self):
        assert undone(a_journal(CHIRP, wants.Undo(of=(1,)))) == {1}

    def test_an_undo_taken_back_takes_nothing_back(self):
        journal = a_journal(CHIRP, wants.Undo(of=(1,)), wants.Undo(of=(2,)))

        assert undone(journal) == {2}
        assert [e.body for e in in_force(journal)] == [CHIRP]

    def test_an_undo_of_the_undo_of_an_undo_takes_it_back_again(self):
        journal = a_journal(CHIRP, wants.Undo(of=(1,)), wants.Undo(of=(2,)), wants.Undo(of=(3,)))

        assert in_force(journal) == []

    def test_all_events_of_a_message_can_be_taken_back_at_once(self):
        assert in_force(a_journal(CHIRP, facts.Adults(bin="B1"), wants.Undo(of=(1, 2)))) == []

    def test_an_undo_reaches_only_what_was_there_before_it(self):
        journal = a_journal(wants.Undo(of=(1, 2)), CHIRP)

        assert [e.body for e in in_force(journal)] == [CHIRP]

    def test_a_fix_can_be_taken_back(self):
        journal = a_journal(CHIRP, wants.Fix(of=1, slots={"bin": "B3"}), wants.Undo(of=(2,)))

        assert [e.body for e in in_force(journal)] == [CHIRP]


class TestFix:
    def test_slots_are_put_right_and_the_others_stay(self):
        journal = a_journal(
            facts.Reading(place="attic", temp_c=30.0, rh=70.0), wants.Fix(of=1, slots={"place": "garage", "rh": None})
        )

        assert [e.body for e in in_force(journal)] == [facts.Reading(place="garage", temp_c=30.0)]

    def test_the_time_is_put_right(self):
        journal = a_journal((facts.TrayIn(bin="B1"), NOON), (wants.Fix(of=1, at=after(hours=-19)), after(minutes=2)))

        assert fold(journal).bins["B1"].tray.put_in_at == after(hours=-19)

    def test_a_later_fix_goes_on_top_of_an_earlier_one(self):
        journal = a_journal(
            facts.TrayOut(bin="B1"),
            wants.Fix(of=1, slots={"bin": "B2", "place": "attic"}),
            wants.Fix(of=1, slots={"bin": "B3"}),
        )

        assert [e.body for e in in_force(journal)] == [facts.TrayOut(bin="B3", place="attic")]

    def test_a_fix_moves_the_event_in_the_order_of_the_fold(self):
        journal = a_journal(
            (facts.Placed(tubs=("T1",), place="attic"), NOON),
            (facts.Placed(tubs=("T1",), place="garage"), after(hours=1)),
            (wants.Fix(of=1, at=after(hours=2)), after(hours=3)),
        )

        assert fold(journal).tubs["T1"].place == "attic"

    @pytest.mark.parametrize(
        ("slots", "error"),
        [({"bin": None}, Incomplete), ({"bin": 3}, msgspec.ValidationError), ({"tub": "T1"}, msgspec.ValidationError)],
        ids=["a slot that it needs", "a value of the wrong form", "a slot of another kind"],
    )
    def test_a_fix_that_leaves_no_record_is_refused_before_it_is_recorded(self, slots, error):
        with pytest.raises(error):
            fixed(an_event(CHIRP), wants.Fix(of=1, slots=slots))

    def test_a_fix_that_fits_no_more_is_left_out(self):
        journal = a_journal(
            facts.Reading(place="attic", temp_c=30.0),
            wants.Fix(of=1, slots={"tub": "T1"}),
            wants.Fix(of=1, slots={"place": None}),
            wants.Undo(of=(2,)),
        )

        assert [e.body for e in in_force(journal)] == [facts.Reading(place="attic", temp_c=30.0)]

    def test_a_fix_of_an_event_that_is_not_there_changes_nothing(self):
        journal = a_journal(wants.Fix(of=2, slots={"bin": "B2"}), CHIRP, wants.Fix(of=9, slots={"bin": "B4"}))

        assert [e.body for e in in_force(journal)] == [CHIRP]


class TestLastMessage:
    def test_all_events_of_the_newest_message_of_a_person(self):
        journal = [
            an_event(CHIRP, 1, message="a"),
            an_event(facts.TrayIn(bin="B1"), 2, message="b"),
            an_event(facts.Watered(all=True), 3, after(hours=-1), message="b"),
            an_event(notices.Asked(chore=Chore.WATER, due=NOON), 4, by="", message=""),
        ]

        assert [e.number for e in standing(journal).last_said()] == [2, 3]

    def test_that_of_one_person_with_what_it_put_right(self):
        journal = [
            an_event(CHIRP, 1, by="Ines", message="a"),
            an_event(wants.Fix(of=1, slots={"bin": "B2"}), 2, by="Ines", message="a"),
            an_event(CHIRP, 3, by="Walt", message="b"),
            an_event(wants.Undo(of=(3,)), 4, by="Ines", message="c"),
        ]

        known = standing(journal)

        assert [e.number for e in known.last_recorded("Ines")] == [1, 2]
        assert known.last_recorded("Walt") == known.last_recorded("Dana") == ()
        assert [e.body.bin for e in known.of_message("a")] == ["B2"]
        assert known.of_message("c") == known.of_message("d") == []

    def test_what_was_taken_back_makes_room_for_what_was_said_before(self):
        journal = a_journal(CHIRP, facts.Adults(bin="B1"), wants.Undo(of=(2,)))

        assert [e.number for e in standing(journal).last_said()] == [1]

    def test_an_event_without_a_message_stands_alone(self):
        journal = [an_event(CHIRP, 1, message=""), an_event(CHIRP, 2, message="")]

        assert [e.number for e in standing(journal).last_said()] == [2]

    def test_nobody_said_anything(self):
        assert standing([]).last_said() == ()


class TestNews:
    """What news change is told with the form that it had."""

    def test_a_fact_was_nothing_before(self):
        assert standing([]).take([an_event(CHIRP)]) == {1: None}

    def test_an_undo_and_a_fix_change_what_they_name(self):
        journal = a_journal(CHIRP, facts.Adults(bin="B1"))
        known = standing(journal)

        assert known.take([an_event(wants.Fix(of=1, slots={"bin": "B2"}), 3)]) == {1: journal[0]}
        assert known.in_force(1).body == facts.Chirp(bin="B2")
        assert known.take([an_event(wants.Undo(of=(2, 3)), 4)]) == {2: journal[1], 1: an_event(facts.Chirp(bin="B2"))}
        assert (known.in_force(1), known.in_force(2)) == (journal[0], None)

    def test_an_undo_of_what_is_gone_already_changes_nothing(self):
        known = standing(a_journal(CHIRP, wants.Undo(of=(1,))))

        assert known.take([an_event(wants.Undo(of=(1,)), 3)]) == {}
        assert known.take([an_event(wants.Undo(of=(2,)), 4)]) == {}
        assert known.take([an_event(wants.Undo(of=(3,)), 5)]) == {1: None}

    def test_it_is_known_what_an_undo_ever_named(self):
        known = standing(a_journal(CHIRP, wants.Undo(of=(1,)), wants.Undo(of=(2,))))

        assert [known.was_named_by_an_undo(number) for number in (1, 2, 3)] == [True, True, False]

    def test_events_are_found_by_number_where_some_are_missing(self):
        journal = [an_event(CHIRP, number) for number in (2, 5, 6)]
        known = standing(journal)

        assert [known.event(number) for number in (1, 2, 3, 5, 6, 7)] == [
            None, journal[0], None, journal[1], journal[2], None,
        ]  # fmt: skip
        assert known.last_number == 6
