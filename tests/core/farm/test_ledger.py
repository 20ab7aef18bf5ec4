"""The farm while it is being folded."""

from core.farm.fold import fold
from core.farm.ledger import KEPT_ASKED, Ledger
from core.farm.names import Names
from core.journal import facts, notices, wants
from core.journal.kinds import Chore
from tests.builders import NOON, a_journal, after, an_asked, an_event


def a_ledger():
    return Ledger(Names([]))


def test_things_are_made_once_and_found_again():
    ledger = a_ledger()

    assert ledger.bin("b1") is ledger.bin("B1")
    assert ledger.tub("T1", an_event()) is ledger.tub("t1", an_event())
    assert ledger.place("Garage") is ledger.place("garage")


def test_next_numbers_follow_what_is_there():
    ledger = a_ledger()
    ledger.bin("B4")
    ledger.tub("T11", an_event())

    assert (ledger.next_bin(), ledger.next_tub()) == ("B5", "T12")


def test_tubs_are_meant_by_name_place_or_all_and_each_once():
    ledger = a_ledger()
    for name, place in (("T1", "attic"), ("T2", "attic"), ("T3", "garage")):
        ledger.set_tub(ledger.tub(name, an_event()), place=place)

    meant = ledger.tubs_meant(an_event(), ("T2",), "attic", every=False)

    assert [tub.name for tub in meant] == ["T2", "T1"]
    assert [tub.name for tub in ledger.tubs_meant(an_event(), (), None, every=True)] == ["T1", "T2", "T3"]


def test_a_frozen_farm_does_not_change_with_the_ledger():
    ledger = a_ledger()
    ledger.bin("B1")
    farm = ledger.farm(last_said=(), known_since=None, last_number=0)

    ledger.bin("B2")

    assert list(farm.bins) == ["B1"]


def test_of_many_reminders_the_oldest_are_forgotten():
    ledger = a_ledger()
    for number in range(1, KEPT_ASKED + 31):
        ledger.remember(an_asked(number=number, place="lamp shelf"))

    assert list(ledger.asked) == list(range(31, KEPT_ASKED + 31))


def test_the_newest_reminder_of_each_kind_is_never_forgotten():
    journal = a_journal(
        (facts.TrayIn(bin="B1"), NOON),
        (notices.Asked(chore=Chore.PULL_TRAY, due=after(days=1), bin="B1", step=2), after(days=1)),
        *(
            (notices.Asked(chore=Chore.WATER, due=NOON, place="lamp shelf"), after(days=2))
            for _ in range(KEPT_ASKED + 5)
        ),
    )

    farm = fold(journal)

    assert 2 in farm.asked
    assert len(farm.asked) == KEPT_ASKED


def test_a_reminder_for_a_place_is_known_under_its_new_name():
    journal = a_journal(
        notices.Asked(chore=Chore.WATER, due=NOON, place="garage"), wants.Rename(old="garage", new="cold rack")
    )

    assert fold(journal).asked[1].place == "cold rack"
