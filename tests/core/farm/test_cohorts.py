"""Batches of crickets: parted, joined, written off, with no cricket too many or too few."""

from hypothesis import given
from hypothesis import strategies as st

from core.farm import cohorts
from core.farm.cohorts import Cohort
from tests.builders import NOON, after


def a_cohort(count=100, tubs=("T1",), hatched_at=NOON):
    return Cohort(tubs=tubs, hatched_at=hatched_at, told=((hatched_at, count),), is_counted=True)


@given(st.lists(st.integers(1, 5000), min_size=1, max_size=4), st.integers(0, 20_000))
def test_what_is_parted_adds_up(counts, taken):
    known = [a_cohort(count, (f"T{n}",)) for n, count in enumerate(counts)]

    staying, going = cohorts.parted(known, taken, after(days=3))

    assert (cohorts.total(going) or 0) == min(taken, sum(counts))
    assert (cohorts.total(staying) or 0) + (cohorts.total(going) or 0) == sum(counts)
    assert all(cohort.count > 0 for cohort in (*staying, *going))


def test_each_batch_gives_by_its_share():
    _, going = cohorts.parted([a_cohort(900), a_cohort(300, ("T2",))], 400, after(days=3))

    assert [(cohort.tubs, cohort.count) for cohort in going] == [(("T1",), 300), (("T2",), 100)]


def test_of_a_batch_that_nobody_counted_any_number_goes():
    uncounted = Cohort(tubs=("T1",), hatched_at=NOON)

    assert cohorts.parted([uncounted], 400, after(days=3)) == (
        (uncounted,),
        (Cohort(tubs=("T1",), hatched_at=NOON, told=((after(days=3), 400),), is_counted=True),),
    )


def test_the_dead_are_written_off_and_no_more_than_lived():
    left = cohorts.buried([a_cohort(90), a_cohort(10, ("T2",))], 50, after(days=1))

    assert [cohort.count for cohort in left] == [45, 5]
    assert cohorts.buried(left, 500, after(days=2)) == ()


def test_the_same_batch_comes_together_again_and_another_stays_apart():
    staying, going = cohorts.parted([a_cohort(100)], 40, after(days=3))

    assert [c.count for c in cohorts.joined(staying, going)] == [100]
    assert [c.count for c in cohorts.joined(staying, [a_cohort(7, ("T9",))])] == [60, 7]


def test_of_several_batches_the_tubs_are_named_once_and_the_first_hatch_counts():
    known = [a_cohort(hatched_at=after(days=4)), a_cohort(tubs=("T1", "T2"))]

    assert cohorts.tubs_of(known) == ("T1", "T2")
    assert cohorts.oldest(known) == NOON
    assert cohorts.total([*known, Cohort()]) is None
