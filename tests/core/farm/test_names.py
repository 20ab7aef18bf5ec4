"""Names old and new stand for the same thing."""

import pytest

from core.farm.fold import fold
from core.farm.names import Names, is_number
from core.journal import facts, wants
from core.journal.kinds import Addable
from tests.builders import NOON, a_journal, after


def renamed(*pairs):
    return Names(wants.Rename(old=old, new=new) for old, new in pairs)


def test_a_place_has_its_newest_name_under_all_its_names():
    names = renamed(("garage", "cold rack"), ("Cold Rack", "north rack"))

    assert {names.place(name) for name in ("garage", "COLD RACK", "north rack")} == {"north rack"}


def test_a_place_is_written_as_it_was_first():
    names = renamed()

    assert [names.place("Lamp Shelf"), names.place("lamp shelf")] == ["Lamp Shelf", "Lamp Shelf"]


def test_a_bin_keeps_its_number_and_gets_a_nickname():
    names = renamed(("B6", "nursery"), ("nursery", "nest"))

    assert {names.bin(name) for name in ("b6", "Nursery", "nest")} == {("B6", "nest")}


def test_a_bin_that_never_had_a_number_goes_by_its_newest_name():
    names = renamed(("nursery", "nest"))

    assert names.bin("Nursery") == names.bin("nest") == ("nest", None)


@pytest.mark.parametrize(
    ("name", "expected"), [("B1", True), ("t12", True), ("T", False), ("B1x", False), ("lamp", False)]
)
def test_numbers_are_told_from_words(name, expected):
    assert is_number(name) is expected


def test_what_was_told_before_a_rename_is_still_there_after_it():
    journal = a_journal(
        (wants.Add(what=Addable.PLACE, name="garage", lamp=True), NOON),
        (facts.Reading(place="garage", temp_c=22.0), after(hours=1)),
        (wants.Rename(old="garage", new="cold rack"), after(hours=2)),
        (facts.Reading(place="garage", temp_c=23.0), after(hours=3)),
    )

    farm = fold(journal)

    assert list(farm.places) == ["cold rack"]
    assert farm.places["cold rack"].lamp
    assert [r.temp_c for r in farm.places["cold rack"].readings] == [22.0, 23.0]


def test_a_rename_taken_back_leaves_the_old_name():
    journal = a_journal(
        facts.Placed(tubs=("T1",), place="garage"), wants.Rename(old="garage", new="attic"), wants.Undo(of=(2,))
    )

    assert fold(journal).tubs["T1"].place == "garage"


def test_a_nickname_shows_on_the_bin():
    journal = a_journal(facts.Chirp(bin="B6"), wants.Rename(old="B6", new="nursery"), facts.TrayIn(bin="nursery"))

    farm = fold(journal)

    assert list(farm.bins) == ["B6"]
    assert (farm.bins["B6"].nickname, farm.bins["B6"].tray_in_at) == ("nursery", NOON)


def test_every_name_that_something_ever_had_leads_to_what_it_is_called_now():
    renames = [("lamp shelf", "top"), ("B6", "nursery"), ("nursery", "breeders"), ("top", "the warm one")]

    farm = fold(
        a_journal(facts.Placed(tubs=("T1",), place="lamp shelf"), *(wants.Rename(old=o, new=n) for o, n in renames))
    )

    assert farm.aliases == {"lamp shelf": "the warm one", "top": "the warm one", "nursery": "B6", "breeders": "B6"}
