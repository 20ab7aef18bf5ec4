"""What facts about bins, sales and stock make of the farm."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import facts, wants
from core.journal.kinds import Addable, Holds, Trouble
from core.units import SizeGrade
from tests.builders import NOON, a_journal, after


def test_the_first_chirp_of_a_bin_tells_that_it_holds_adults():
    house = fold(a_journal(facts.Chirp(bin="B2"))).bins["B2"]

    assert (house.chirped_at, house.holds) == (NOON, Holds.ADULTS)


def test_a_chirp_told_again_days_later_moves_nothing():
    journal = a_journal((facts.Chirp(bin="B2"), NOON), (facts.Chirp(bin="B2"), after(days=4)))

    assert fold(journal).bins["B2"].chirped_at == NOON


def test_a_chirp_of_the_next_generation_counts_anew():
    journal = a_journal((facts.Chirp(bin="B2"), NOON), (facts.Chirp(bin="B2"), after(days=60)))

    assert fold(journal).bins["B2"].chirped_at == after(days=60)


def test_a_tray_is_in_its_bin_from_then_on():
    house = fold(a_journal(facts.TrayIn(bin="B1", container="salad tub", substrate="coir"))).bins["B1"]

    assert (house.tray.put_in_at, house.tray.container, house.tray.substrate) == (NOON, "salad tub", "coir")
    assert house.tray_in_at == NOON


def test_pinheads_add_up_in_the_bin_that_they_are_put_into():
    journal = a_journal(
        (facts.Stocked(bin="B4", tubs=("T1",), count=800), NOON),
        (facts.Stocked(bin="B4", tubs=("T1", "T2"), count=200), after(days=1)),
    )

    house = fold(journal).bins["B4"]

    assert (house.holds, house.count, house.from_tubs) == (Holds.PINHEADS, 1000, ("T1", "T2"))
    assert house.hatched_at == NOON


def test_pinheads_among_adults_leave_it_a_bin_of_adults():
    journal = a_journal((facts.Adults(bin="B1"), NOON), (facts.Stocked(bin="B1"), after(days=1)))

    assert fold(journal).bins["B1"].holds is Holds.ADULTS


@pytest.mark.parametrize(
    ("fact", "field"),
    [
        pytest.param(facts.Fed(bins=("B1",), feed="carrots"), "fed_at", id="fed"),
        pytest.param(facts.Fed(all=True), "fed_at", id="all fed"),
        pytest.param(facts.Cleaned(bins=("B1",)), "cleaned_at", id="cleaned"),
        pytest.param(facts.Cleaned(all=True), "cleaned_at", id="all cleaned"),
        pytest.param(facts.Watered(bins=("B1",)), "watered_at", id="watered"),
    ],
)
def test_care_of_a_bin_keeps_its_time(fact, field):
    journal = a_journal((wants.Add(what=Addable.BIN, name="B1"), NOON), (fact, after(hours=1)))

    assert getattr(fold(journal).bins["B1"], field) == after(hours=1)


def test_a_size_is_that_of_the_bin():
    assert fold(a_journal(facts.Sized(bin="B3", size=SizeGrade.QUARTER))).bins["B3"].size is SizeGrade.QUARTER


@pytest.mark.parametrize(
    "fact",
    [facts.Dead(bin="B5", count=4), facts.Harvested(bin="B5", count=100), facts.Moved(from_="B5", to="B6")],
    ids=lambda f: type(f).__name__,
)
def test_a_bin_is_known_once_it_is_spoken_of(fact):
    assert "B5" in fold(a_journal(fact)).bins


def test_an_item_that_was_bought_is_known_once():
    journal = a_journal(facts.Bought(item="coir", count=3), facts.Bought(item="coir"), facts.Bought(item="lime"))

    assert fold(journal).stock == ("coir", "lime")


@pytest.mark.parametrize(
    "fact",
    [facts.Sold(who="Pet shop", count=500), facts.Problem(what=Trouble.MITES, bin="B1"), facts.Remark(text="rain")],
    ids=lambda f: type(f).__name__,
)
def test_what_is_only_kept_changes_no_bin(fact):
    assert fold(a_journal(fact)).bins == {}


def test_a_bin_thrown_out_holds_nothing_and_waits_for_nothing():
    journal = a_journal(
        (facts.Chirp(bin="B1"), NOON),
        (facts.TrayIn(bin="B1"), after(days=14)),
        (facts.Discarded(bin="B1", reason="mites"), after(days=15)),
    )

    house = fold(journal).bins["B1"]

    assert (house.holds, house.chirped_at, house.tray) == (Holds.NOTHING, None, None)


def test_the_lay_is_as_long_as_the_tray_was_in_on_the_day_the_clocks_go_back():
    evening, next_evening = dt.datetime(2026, 11, 1, 0, tzinfo=dt.UTC), dt.datetime(2026, 11, 2, 1, tzinfo=dt.UTC)
    journal = a_journal((facts.TrayIn(bin="B1"), evening), (facts.TrayOut(bin="B1", tub="T1"), next_evening))

    assert fold(journal).tubs["T1"].laid_for == dt.timedelta(hours=25)


def test_a_count_goes_before_the_book():
    journal = [
        (facts.Stocked(bin="B4", tubs=("T1",), count=2000), NOON),
        (facts.Dead(bin="B4", count=50), after(days=1)),
    ]

    house = fold(a_journal(*journal, (facts.Counted(bin="B4", count=1400), after(days=2)))).bins["B4"]

    assert (house.count, house.from_tubs, house.hatched_at) == (1400, ("T1",), NOON)


def test_more_may_be_counted_than_the_book_has():
    journal = [(facts.Stocked(bin="B4", count=100), NOON), (facts.Counted(bin="B4", count=700), after(days=2))]

    assert fold(a_journal(*journal)).bins["B4"].count == 700


def test_two_batches_keep_their_shares_of_a_count():
    journal = [
        (facts.Stocked(bin="B4", tubs=("T1",), count=300), NOON),
        (facts.Stocked(bin="B4", tubs=("T2",), count=100), after(days=1)),
        (facts.Counted(bin="B4", count=200), after(days=2)),
    ]

    assert [cohort.count for cohort in fold(a_journal(*journal)).bins["B4"].cohorts] == [150, 50]


def test_adults_that_were_counted_live_in_the_bin():
    house = fold(a_journal(facts.Counted(bin="B1", count=600, size=SizeGrade.ADULT))).bins["B1"]

    assert (house.holds, house.count) == (Holds.ADULTS, 600)
