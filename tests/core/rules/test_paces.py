import pytest

from core.journal import facts
from core.rules.paces import pace_of, place_for_tubs, shares_of
from core.units import SizeGrade
from tests.builders import a_farm, a_place, a_tub, at
from tests.core.rules.planning_farms import NOW, a_laying_farm


def test_eggs_hatch_as_fast_as_a_tub_on_the_shelf_would():
    warm = a_laying_farm()
    warm.write(facts.Reading(place="lamp shelf", temp_c=33.0), at("05-03 08:00"))
    cool = a_laying_farm()
    cool.write(facts.Reading(place="lamp shelf", temp_c=26.0), at("05-03 08:00"))

    assert pace_of(warm.farm, NOW).egg_days + 3 < pace_of(cool.farm, NOW).egg_days


def test_crickets_grow_as_fast_as_in_the_bin_that_was_read_last():
    book = a_laying_farm()
    assert pace_of(book.farm, NOW).is_assumed
    book.write(facts.Stocked(bin="B2", count=900), at("04-27 08:00"))
    book.write(facts.Reading(bin="B2", temp_c=32.0), at("05-03 08:00"))
    found = pace_of(book.farm, NOW)

    assert not found.is_assumed
    assert 30 < found.adult_days < 45


def test_sizes_that_were_seen_make_the_pace_surer():
    book = a_laying_farm()
    book.write(facts.Stocked(bin="B2", count=900), at("04-02 08:00"))
    before = pace_of(book.farm, NOW).growth_sd
    for day in ("04-18", "04-24", "04-30"):
        book.write(
            facts.Sized(bin="B2", size=SizeGrade.EIGHTH if day == "04-18" else SizeGrade.QUARTER), at(f"{day} 08:00")
        )

    assert pace_of(book.farm, NOW).growth_sd < before


def test_where_it_is_too_cold_there_is_no_pace():
    book = a_laying_farm()
    book.write(facts.Reading(place="lamp shelf", temp_c=12.0), at("05-03 08:00"))

    assert pace_of(book.farm, NOW) is None


def test_the_next_tub_stands_where_the_last_one_does():
    shelf, rack = a_place("lamp shelf", lamp=True), a_place("rack")

    assert place_for_tubs(a_farm(rack, shelf)) == "lamp shelf"
    assert place_for_tubs(a_farm(rack, shelf, a_tub(place="rack"))) == "rack"
    assert place_for_tubs(a_farm()) is None


def test_an_egg_is_a_pinhead_then_grows_and_fewer_are_left():
    shares = shares_of(pace_of(a_laying_farm().farm, NOW), 1.0)
    best = [max(shares[size]) for size in (SizeGrade.PINHEAD, SizeGrade.QUARTER, SizeGrade.ADULT)]
    days = [shares[size].index(most) for size, most in zip((SizeGrade.PINHEAD, SizeGrade.QUARTER), best, strict=False)]

    assert 0.8 > best[0] > best[1] > 0.1
    assert best[2] == pytest.approx(0.25, abs=0.12)
    assert days[0] + 10 < days[1]
