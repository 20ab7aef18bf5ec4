"""Crickets there are by size and time: what was told of a batch, what is taken, what is left."""

import pytest

from core.science.availability import Amount, Batch, Stock, Taking
from core.science.estimates import lognormal
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.units import SizeGrade

HOUSE = species(SpeciesName.HOUSE)
NONE = Amount(least=0, likely=0, most=0)


def pinheads(name="B1", count=2000, **fields):
    given = {"born": 0.0, "gains": (13.0,) * 60, "start": lognormal(float(count), 0.0), "told": ((0.0, count),)}
    return Batch(name=name, kind=HOUSE, **(given | fields))


def grown(count=600, **fields):
    start = lognormal(float(count), 0.0)
    return Batch(name="B9", kind=HOUSE, born=0.0, start=start, **({"told": ((0.0, count),)} | fields))


def test_what_was_put_in_is_there_within_how_well_it_is_counted():
    there = Stock.of([pinheads()], [0.0]).there(0)

    assert there.likely == pytest.approx(2000, rel=0.02)
    assert 1600 < there.least < 1800
    assert 2200 < there.most < 2500


def test_crickets_get_fewer_and_larger():
    stock = Stock.of([pinheads()], [1.0, 20.0, 36.0])

    alive = [stock.there(time).likely for time in range(3)]
    half_inch = [stock.there(time, SizeGrade.HALF).likely for time in range(3)]

    assert alive == sorted(alive, reverse=True)
    assert half_inch[0] == 0
    assert half_inch[2] > half_inch[1]


def test_each_cricket_is_of_one_grade():
    stock = Stock.of([grown(), pinheads(told=((0.0, 2000),), gains=(0.0,) * 60)], [30.0])
    grades = stock.grades(0)

    assert [grade for grade, there in grades.items() if there.likely] == [SizeGrade.PINHEAD, SizeGrade.ADULT]
    assert sum(there.likely for there in grades.values()) == pytest.approx(stock.there(0).likely, rel=0.02)


def test_what_came_later_counts_as_it_was_told():
    moved_in = pinheads(told=((20.0, 500),))

    assert Stock.of([moved_in], [20.0]).there(0).likely == pytest.approx(500, rel=0.02)


def test_what_was_taken_out_is_gone():
    before, after = (Stock.of([batch], [30.0]).there(0).likely for batch in (pinheads(), _less(900)))

    assert after == pytest.approx(before - 900, rel=0.05)


def test_never_less_than_none_is_left():
    assert Stock.of([_less(1999)], [30.0]).there(0) == NONE


def test_no_more_are_alive_than_the_dead_leave():
    assert Stock.of([pinheads(dead=((10.0, 1500),))], [10.0]).there(0).likely == pytest.approx(500, rel=0.02)


def test_as_many_dead_as_are_usual_change_nothing():
    assert Stock.of([pinheads(dead=((10.0, 20),))], [30.0]).there(0) == Stock.of([pinheads()], [30.0]).there(0)


def test_a_tub_is_none_before_it_hatches_and_then_pinheads():
    tub = pinheads("T1", egg_days=10.0, start=lognormal(3000.0, 0.4), told=())
    stock = Stock.of([tub], [2.0, 14.0])

    assert stock.there(0) == NONE
    assert 1600 < stock.there(1, SizeGrade.PINHEAD).likely < 2600


def test_a_batch_that_is_not_there_yet_counts_as_none():
    assert Stock.of([pinheads(born=5.0, told=((5.0, 2000),))], [4.0]).there(0) == NONE


def test_grown_crickets_die_by_their_half_life():
    half_life = HOUSE.adult.half_life_days.value
    stock = Stock.of([grown()], [0.0, half_life])

    assert stock.there(0, SizeGrade.ADULT).likely == pytest.approx(600, rel=0.02)
    assert stock.there(1, SizeGrade.INCH).likely == pytest.approx(300, rel=0.03)
    assert stock.there(1, SizeGrade.HALF) == NONE


def test_bins_are_added_up_and_told_apart():
    stock = Stock.of([pinheads(), pinheads("B2", 1000), pinheads("B2", 500)], [0.0])

    by_name = stock.by_name(0)

    assert stock.names == ("B1", "B2", "B2")
    assert by_name["B2"].likely == pytest.approx(1500, rel=0.03)
    assert stock.there(0).likely == pytest.approx(3500, rel=0.03)


def test_each_taking_is_held_against_what_those_before_it_leave():
    stock = Stock.of([pinheads()], [30.0, 34.0])
    first = Taking(time=0, size=SizeGrade.HALF, count=400)
    second = Taking(time=1, size=SizeGrade.HALF, count=400)

    (one, other), _ = stock.after([first, second])
    (alone,), left = stock.after([second])

    assert one.there == stock.there(0, SizeGrade.HALF)
    assert other.there.likely < alone.there.likely
    assert other.chance < alone.chance
    assert stock.there(1).likely - 400 <= left.there(1).likely < stock.there(1).likely - 250
    assert left.there(0).likely < stock.there(0).likely


def test_no_more_is_taken_than_there_is():
    stock = Stock.of([grown(100)], [0.0])

    (outcome,), left = stock.after([Taking(time=0, size=SizeGrade.ADULT, count=5000)])

    assert outcome.chance == 0
    assert left.there(0) == NONE


def test_no_batches_are_no_crickets():
    stock = Stock.of([], [0.0])

    assert stock.there(0, SizeGrade.HALF) == NONE
    assert stock.chance(0, SizeGrade.HALF, 1) == 0


def test_a_time_that_was_not_projected_is_refused():
    with pytest.raises(OutOfRangeError):
        Stock.of([], [0.0]).there(1)


def _less(count):
    return pinheads(told=((0.0, 2000), (30.0, -count)))
