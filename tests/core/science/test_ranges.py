"""The checks of numbers and their errors."""

import math

import pytest

from core.science.ranges import OutOfRangeError, checked


def test_a_number_inside_its_bounds_comes_back():
    assert checked("humidity [%]", 100, 0, 100) == 100


@pytest.mark.parametrize(
    ("value", "bounds", "message"),
    [
        pytest.param(101, (0, 100), "humidity [%] is 101, must be from 0 to 100", id="above"),
        pytest.param(-1, (0,), "humidity [%] is -1, must be at least 0", id="below, no upper bound"),
        pytest.param(9, (-math.inf, 5), "humidity [%] is 9, must be at most 5", id="above, no lower bound"),
        pytest.param(math.nan, (0, 100), "humidity [%] is nan, must be from 0 to 100", id="not a number"),
        pytest.param(math.inf, (), "humidity [%] is inf, must be a finite number", id="infinite"),
    ],
)
def test_the_error_names_quantity_value_and_range(value, bounds, message):
    with pytest.raises(OutOfRangeError) as caught:
        checked("humidity [%]", value, *bounds)

    assert str(caught.value) == message
    assert caught.value.quantity == "humidity [%]"
