"""Where a tub stood, and whether it was covered there."""

from core.rules.stays import spans_of
from tests.builders import NOON, a_tub, after


def stays(tub, since=NOON, until=None):
    """Give place, cover, first and last day of each span."""
    spans = spans_of(tub, since, until)
    return [
        (s.place, s.is_covered, *(None if at is None else (at - NOON).days for at in (s.start_at, s.end_at)))
        for s in spans
    ]


def test_a_tub_that_nothing_was_said_of_is_nowhere_and_open():
    assert stays(a_tub()) == [(None, False, 0, None)]


def test_a_move_and_a_cover_each_begin_a_span():
    tub = a_tub(
        place="garage", is_covered=True, placements=((NOON, "attic"), (after(days=3), "garage")),
        covers=((NOON, False), (after(days=5), True)),
    )  # fmt: skip

    assert stays(tub) == [("attic", False, 0, 3), ("garage", False, 3, 5), ("garage", True, 5, None)]


def test_what_is_said_again_begins_no_span():
    tub = a_tub(
        place="attic",
        placements=((NOON, "attic"), (after(days=2), "attic")),
        covers=((NOON, False), (after(days=3), False)),
    )

    assert stays(tub) == [("attic", False, 0, None)]


def test_what_is_first_told_later_was_so_all_along():
    tub = a_tub(
        place="attic", is_covered=True, placements=((after(days=2), "attic"),), covers=((after(days=4), True),)
    )  # fmt: skip

    assert stays(tub) == [("attic", True, 0, None)]


def test_what_was_before_the_start_still_holds_at_it():
    tub = a_tub(
        place="attic", is_covered=True, placements=((after(days=-2), "attic"),),
        covers=((after(days=-2), False), (after(days=-1), True)),
    )  # fmt: skip

    assert stays(tub) == [("attic", True, 0, None)]


def test_of_two_changes_at_one_moment_the_last_counts():
    tub = a_tub(place="attic", placements=((NOON, "attic"), (after(days=1), "garage"), (after(days=1), "attic")))

    assert stays(tub) == [("attic", False, 0, None)]


def test_with_an_end_what_came_after_it_is_left_out():
    tub = a_tub(place="garage", placements=((NOON, "attic"), (after(days=3), "garage"), (after(days=6), "cellar")))

    assert stays(tub, until=after(days=5)) == [("attic", False, 0, 3), ("garage", False, 3, 5)]
    assert stays(tub, until=after(days=3)) == [("attic", False, 0, 3)]
