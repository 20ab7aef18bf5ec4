"""Normal numbers without chance."""

from statistics import NormalDist

import numpy as np
import pytest

from core.science.ranges import OutOfRangeError
from core.science.scenarios import normal_share, normals


def test_each_row_holds_the_same_normal_numbers_in_an_order_of_its_own():
    rows = normals(50, 301)

    assert rows.shape == (50, 301)
    assert len({tuple(row) for row in rows.tolist()}) == 50
    assert np.allclose(np.sort(rows, axis=1), np.sort(rows[0]))
    assert rows[0].mean() == pytest.approx(0.0, abs=1e-9)
    assert rows[0].std() == pytest.approx(1.0, abs=0.01)


def test_they_are_the_same_each_time():
    assert np.array_equal(normals(9, 101), normals(9, 101))


def test_no_two_rows_go_together():
    rows = normals(700, 301)

    between = np.abs(np.corrcoef(rows)[np.triu_indices(700, 1)])
    # by chance 1 / sqrt(301) = 0.058 at the mean of squares, and five times that for the worst of 245,000 pairs
    assert np.sqrt((between**2).mean()) == pytest.approx(0.058, abs=0.003)
    assert between.max() < 0.3


def test_the_share_below_is_that_of_the_normal_distribution():
    deviates = np.linspace(-5.99, 5.99, 997)

    assert normal_share(deviates) == pytest.approx([NormalDist().cdf(deviate) for deviate in deviates], abs=1e-5)


def test_far_out_there_is_none_or_all():
    assert normal_share(np.array([-1e9, -np.inf, np.inf])).tolist() == [0.0, 0.0, 1.0]


@pytest.mark.parametrize(("dimensions", "count"), [(0, 301), (30_000, 301), (5, 1), (5, 20_000)])
def test_none_or_far_too_many_are_refused(dimensions, count):
    with pytest.raises(OutOfRangeError):
        normals(dimensions, count)
