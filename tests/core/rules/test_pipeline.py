import datetime as dt

import pytest

from core.journal import facts
from core.journal.kinds import Density, Trouble
from core.rules.pipeline import ADULTS, Wanted, eggs_a_bin, eggs_of_tray, pipeline_of
from core.units import SizeGrade
from tests.builders import at
from tests.core.rules.planning_farms import NOW, TODAY, a_laying_farm, a_notebook

DAYS = 80


def wanted(day, count=100, size=SizeGrade.HALF):
    return Wanted(due=TODAY + dt.timedelta(days=day), count=count, size=size)


def found(book, *wants, now=NOW, days=DAYS):
    return pipeline_of(book.farm, wants, now, days)


def test_a_bin_lays_within_its_span_and_the_empty_ones_are_free():
    known = found(a_laying_farm())
    house = known.works.bins[0]
    days = [day for day, eggs in enumerate(house.eggs) if eggs]

    assert known.bins == ("B1",)
    assert (days[0], days[-1]) == (0, 18)  # 22 days from the fifth after the first chirp
    assert house.kept_until == 18
    assert known.works.empty == (5.0,) * DAYS


def test_in_the_afternoon_the_first_tray_is_tomorrows():
    known = found(a_laying_farm(), now=at("05-04 13:00"))

    assert known.works.bins[0].eggs[0] == 0.0
    assert known.works.bins[0].eggs[1] > 0.0


def test_crickets_that_nobody_counted_are_a_usual_number_and_that_is_said():
    known = found(a_laying_farm())

    assert known.adults == (ADULTS,)
    assert known.uncounted == ("B1",)


def test_crickets_that_were_counted_lay_by_their_number():
    book = a_notebook()
    book.write(facts.Stocked(bin="B1", count=1000), at("04-01 08:00"))
    known = found(book)

    assert known.uncounted == ()
    assert 300 < known.adults[0] < 700
    assert max(known.works.bins[0].eggs) == pytest.approx(eggs_of_tray(book.farm, known.adults[0]))


def test_a_bin_with_a_tray_in_it_gets_none_before_that_is_out_and_its_eggs_count():
    book = a_laying_farm()
    book.write(facts.TrayIn(bin="B1"), at("05-03 18:00"))
    known = found(book)

    assert known.works.bins[0].eggs[0] == 0.0
    assert known.works.bins[0].eggs[1] > 0.0
    assert [tub.day for tub in known.works.tubs] == [-1]


def test_a_tub_that_was_pulled_counts_until_its_pinheads_are_in_a_bin():
    book = a_laying_farm()
    book.write(facts.TrayIn(bin="B1"), at("05-01 08:00"))
    book.write(facts.TrayOut(bin="B1", tub="T1", place="lamp shelf", density=Density.MANY), at("05-02 08:00"))
    assert len(found(book).works.tubs) == 1
    book.write(facts.Stocked(bin="B2", tubs=("T1",), count=900), at("05-03 08:00"))

    assert found(book).works.tubs == ()


def test_what_is_in_a_bin_is_there_for_a_demand_on_its_day():
    book = a_notebook()
    book.write(facts.Stocked(bin="B2", count=2000), at("04-05 08:00"))
    smaller, half, far = (found(book, one).works.bins[0].stock[0] for one in (
        wanted(1, size=SizeGrade.THREE_EIGHTHS), wanted(12), wanted(70)
    ))  # fmt: skip

    assert smaller > 100
    assert half > 50
    assert far == 0.0


def test_a_bin_with_a_suspected_disease_gives_nothing_and_is_not_free():
    book = a_laying_farm()
    book.write(facts.Stocked(bin="B2", count=2000), at("04-05 08:00"))
    book.write(facts.Problem(what=Trouble.SICK, bin="B2"), at("05-03 08:00"))
    known = found(book, wanted(12))

    assert known.works.bins[1].stock == (0.0,)
    assert not any(known.works.bins[1].eggs)
    assert known.works.empty[0] == 4.0


def test_breeders_lay_after_they_have_grown():
    breeding = found(a_laying_farm()).works.breeding

    assert 60 < breeding.first_age < breeding.last_age
    assert breeding.eggs_needed > 700
    assert breeding.eggs_a_tray > 5000


def test_a_bin_is_full_of_the_young_of_some_thousand_eggs():
    assert round(eggs_a_bin()) == 5600


def test_in_the_cold_there_is_nothing_to_reckon_with():
    book = a_laying_farm()
    book.write(facts.Reading(place="lamp shelf", temp_c=12.0), at("05-03 08:00"))

    assert found(book) is None
