"""What seen hatches teach. How well it serves on farms is in tests/outside."""

import datetime as dt
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from core.science.calibration import SHARED, untaught
from core.science.learning import Sight, learned
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.science.warmth import Gauge, HistoryError, Ramp, Swing

HOUSE = species(SpeciesName.HOUSE)
EGG = HOUSE.egg
START = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
SHELF, GARAGE, ATTIC = Gauge("shelf"), Gauge("garage"), Gauge("attic")
WARM_C = 30.0
USUAL_DAYS = 162 / (WARM_C - 14.8)
temps = st.floats(20, 34)


def seen(late, *, temp_c=WARM_C, gauge=SHELF, drop_c=0.0, number=0, **more):
    """A hatch that was seen some days later than is usual at a constant temperature."""
    usual = 162 / (temp_c - 0.39 * drop_c - 14.8)
    since = START + dt.timedelta(days=7 * number)
    end = since + dt.timedelta(days=usual + late)
    warmth = Swing(start_at=since, end_at=end, low_c=temp_c, high_c=temp_c, drop_c=drop_c, gauge=gauge)
    return Sight(history=[warmth], since=since, seen_at=end, **more)


def days_at(held, *, temp_c=WARM_C, gauge=SHELF, drop_c=0.0):
    """How long the next tub is expected to take at a constant temperature."""
    return held.constant / (temp_c + held.offset_c(gauge) - held.cooling_share * drop_c - held.base_c)


def late_by(held, **more):
    return days_at(held, **more) - days_at(untaught(EGG), **more)


def test_nothing_seen_teaches_nothing():
    assert learned(EGG, []) == untaught(EGG)


def test_hatches_as_usual_only_make_surer():
    held = learned(EGG, [seen(0, number=number) for number in range(3)])

    assert held.values == pytest.approx((*untaught(EGG).values, 0), abs=1e-6)
    assert held.seen == 3
    assert days_at(held) == pytest.approx(USUAL_DAYS)


@pytest.mark.parametrize("late", [-1.5, 1.5])
def test_the_more_hatches_the_nearer_to_what_was_seen_and_the_surer(late):
    taught = [learned(EGG, [seen(late, number=number) for number in range(count)]) for count in (1, 3, 10)]

    nearness = [abs(late_by(held) - late) for held in taught]
    doubts = [np.diag(held.covariance)[SHARED] for held in taught]
    assert abs(late) > nearness[0] > nearness[1] > nearness[2]
    assert GARAGE.sd_c**2 > doubts[0] > doubts[1] > doubts[2]
    assert nearness[2] < 0.2


@given(st.lists(st.tuples(st.floats(-3, 3), temps, st.sampled_from([SHELF, GARAGE])), min_size=1, max_size=6))
def test_what_is_seen_never_makes_less_sure(hatches):
    held = learned(EGG, [seen(late, temp_c=temp_c, gauge=gauge) for late, temp_c, gauge in hatches])

    covariance = np.array(held.covariance)
    before = np.diag(untaught(EGG).for_gauges(held.gauges))
    assert covariance == pytest.approx(covariance.T)
    assert (np.linalg.eigvalsh(covariance) > 0).all()
    assert (np.diag(covariance) <= before + 1e-6).all()


@given(st.permutations(range(4)))
def test_the_order_of_sights_does_not_matter(order):
    sights = [seen(0.5), seen(2, gauge=GARAGE), seen(-1, temp_c=26), seen(1, drop_c=5, gauge=GARAGE)]

    held, shuffled = learned(EGG, sights), learned(EGG, [sights[i] for i in order])

    assert shuffled.constant == pytest.approx(held.constant, rel=1e-4)
    for gauge in (SHELF, GARAGE):
        assert shuffled.offset_c(gauge) == pytest.approx(held.offset_c(gauge), abs=1e-3)


def test_a_late_shelf_beside_one_on_time_is_its_thermometer():
    late = [seen(1.5, number=number) for number in range(4)]
    on_time = [seen(0, gauge=GARAGE, number=number) for number in range(4)]

    held = learned(EGG, late + on_time)

    assert late_by(held) > 1
    assert abs(late_by(held, gauge=GARAGE)) < 0.4
    assert held.offset_c(SHELF) < held.offset_c(GARAGE) - 1


def test_places_that_are_all_late_make_a_new_place_late_too():
    one = learned(EGG, [seen(1.5, number=number) for number in range(4)])
    two = learned(EGG, [seen(1.5, gauge=gauge, number=number) for gauge in (SHELF, GARAGE) for number in range(4)])

    assert 0 < late_by(one, gauge=ATTIC) < late_by(two, gauge=ATTIC) < 1.5


def test_open_tubs_that_are_late_beside_covered_ones_on_time_cool_more():
    open_tubs = [seen(1.5, drop_c=8, number=number) for number in range(6)]
    covered = [seen(0, drop_c=8 / 7, number=number) for number in range(6)]

    held = learned(EGG, open_tubs + covered)

    assert held.cooling_share > 0.45
    assert late_by(held, drop_c=8) > late_by(held, drop_c=8 / 7) + 0.5


def test_cool_and_warm_hatches_tell_the_base():
    exact = Gauge("exact", 0.0)
    days = [(temp_c, 162 * math.exp(-0.063 * 1.2) / (temp_c - 16.0)) for temp_c in (21, 24, 28, 32)]
    sights = [
        seen(took - 162 / (temp_c - 14.8), temp_c=temp_c, gauge=exact, start_sd_days=0.0, seen_sd_days=0.1)
        for temp_c, took in days
    ] * 10

    held = learned(EGG, sights)

    assert held.base_c == pytest.approx(16.0, abs=0.4)
    assert np.diag(held.covariance)[0] < 0.5**2


def test_a_hatch_noticed_a_week_late_hardly_counts():
    good = [seen(0.3, number=number) for number in range(4)]

    without, with_one = learned(EGG, good), learned(EGG, [*good, seen(7, number=4)])

    assert abs(days_at(with_one) - days_at(without)) < 0.4
    assert days_at(learned(EGG, [*good, seen(14, number=4)])) < days_at(with_one) + 0.1  # worse counts no more


def test_a_sight_in_doubt_counts_less():
    sure, dated_badly, seen_badly = (
        learned(EGG, [seen(1.5, **doubt)]) for doubt in ({}, {"start_sd_days": 2.0}, {"seen_sd_days": 2.0})
    )

    assert late_by(sure) > 1.5 * late_by(dated_badly)
    assert late_by(dated_badly) == pytest.approx(late_by(seen_badly), rel=0.05)


def test_a_part_of_the_way_teaches_like_the_whole():
    nymph = HOUSE.nymph
    end = START + dt.timedelta(days=30)
    warmth = [Swing(start_at=START, end_at=end, low_c=30.0, high_c=30.0)]
    slow = Sight(history=warmth, since=START, seen_at=end, part=0.5)  # 22 is usual

    held = learned(nymph, [slow])

    gauge = held.gauges[0]
    assert 22.1 < 0.5 * held.constant / (30 + held.offset_c(gauge) - held.base_c) < 30


def test_a_tub_that_moved_teaches_of_both_thermometers():
    move, end = START + dt.timedelta(days=5), START + dt.timedelta(days=USUAL_DAYS + 2)
    history = [
        Ramp(start_at=START, end_at=move, from_c=WARM_C, to_c=WARM_C, gauge=SHELF),
        Ramp(start_at=move, end_at=end, from_c=WARM_C, to_c=WARM_C, gauge=GARAGE),
    ]

    held = learned(EGG, [Sight(history=history, since=START, seen_at=end)])

    shelf, garage = (held.values[SHARED + held.gauges.index(gauge)] for gauge in (SHELF, GARAGE))
    assert garage < shelf < 0
    assert garage / shelf == pytest.approx((USUAL_DAYS + 2 - 5) / 5, rel=0.01)  # by the days in each


def test_one_thermometer_in_two_places_is_learned_once():
    whole = seen(1.0)
    middle = START + (whole.seen_at - START) / 2
    (part,) = whole.history
    cut = replace(whole, history=[replace(part, end_at=middle), replace(part, start_at=middle)])

    held, same = learned(EGG, [whole]), learned(EGG, [cut])

    assert same.gauges == held.gauges
    assert same.values == pytest.approx(held.values, abs=1e-6)


def test_a_hatch_in_the_cold_that_no_warmth_explains_teaches_nothing():
    end = START + dt.timedelta(days=20)
    cold = Sight(
        history=[Swing(start_at=START, end_at=end, low_c=5.0, high_c=5.0, gauge=SHELF)], since=START, seen_at=end
    )

    assert learned(EGG, [cold]).values == pytest.approx((*untaught(EGG).values, 0))


def test_a_hatch_before_the_lay_is_refused():
    with pytest.raises(
        HistoryError, match=r"time of the sight is 2026-04-30T00.*, must be after its start, 2026-05-01T00"
    ):
        Sight(history=[], since=START, seen_at=START - dt.timedelta(days=1))


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"part": 0.0}, r"share of the thermal constant \[1\] is 0, must be from 0.001 to 1"),
        ({"part": 1.5}, r"share of the thermal constant \[1\] is 1.5"),
        ({"part": math.nan}, r"share of the thermal constant \[1\] is nan"),
        ({"start_sd_days": -1.0}, r"doubt of the start \[days\] is -1, must be from 0 to 30"),
        ({"seen_sd_days": math.nan}, r"doubt of the sight \[days\] is nan, must be from 0 to 30"),
    ],
)
def test_a_sight_that_cannot_be_is_refused(wrong, message):
    with pytest.raises(OutOfRangeError, match=message):
        seen(0, **wrong)


@pytest.mark.parametrize("days", [-1, 1])
def test_a_sight_whose_history_does_not_fit_is_refused(days):
    sight = seen(0)

    with pytest.raises(HistoryError, match="history of a sight must reach from its start to its end"):
        learned(EGG, [replace(sight, seen_at=sight.seen_at + dt.timedelta(days=days))])
    with pytest.raises(HistoryError, match="history of a sight must reach from its start to its end"):
        learned(EGG, [replace(sight, since=sight.since + dt.timedelta(days=days))])


def test_a_sight_with_a_history_that_goes_on_is_refused():
    sight = seen(0)

    with pytest.raises(HistoryError, match="must reach from its start to its end"):
        learned(EGG, [replace(sight, history=[Swing(start_at=START, low_c=30.0, high_c=30.0)])])
