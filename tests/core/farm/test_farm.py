"""The farm as it is known at one moment."""

import pytest

from core.farm.farm import next_name
from core.journal.kinds import Chore
from tests.builders import NOON, a_bin, a_farm, a_tub, after, an_asked


@pytest.mark.parametrize(
    ("taken", "expected"),
    [
        pytest.param([], "T1", id="the first"),
        pytest.param(["T1", "T7"], "T8", id="past the highest"),
        pytest.param(["B9", "T2"], "T3", id="numbers of bins do not count"),
        pytest.param(["nursery", "T", "T²", "Tx1"], "T1", id="nor do names without a number"),
    ],
)
def test_the_next_number_is_one_past_the_highest(taken, expected):
    assert next_name("T", dict.fromkeys(taken)) == expected


def test_a_farm_knows_its_next_tub_and_bin():
    farm = a_farm(a_tub("T4"), a_bin("B2"))

    assert (farm.next_tub, farm.next_bin) == ("T5", "B3")


def test_tubs_that_hatched_out_or_were_thrown_out_are_not_incubating():
    farm = a_farm(
        a_tub("T1"), a_tub("T2", hatch_done_at=NOON), a_tub("T3", emptied_at=NOON), a_tub("T4", hatch_at=NOON)
    )

    assert [tub.name for tub in farm.incubating()] == ["T1", "T4"]


def test_bins_with_a_tray():
    farm = a_farm(a_bin("B1"), a_bin("B2", tray_in_at=NOON))

    assert [house.name for house in farm.bins_with_tray()] == ["B2"]


def test_the_last_reminder_is_the_newest_by_time():
    farm = a_farm(an_asked(number=1, at=after(hours=1)), an_asked(Chore.PULL_TRAY, number=2))

    assert farm.last_asked.number == 1
    assert a_farm().last_asked is None
