"""Checks of the numbers that go into science, and the error that says what was wrong.

Not for what a person typed wrong: that is answered in words before it gets here.
"""

import math


class OutOfRangeError(ValueError):
    """A number that no formula here may be given."""

    def __init__(self, quantity: str, value: float, allowed: str) -> None:
        super().__init__(f"{quantity} is {value:g}, must be {allowed}")
        self.quantity = quantity
        self.value = value
        self.allowed = allowed


def checked(quantity: str, value: float, least: float = -math.inf, most: float = math.inf) -> float:
    """Give `value` back if it is a finite number from `least` to `most`.

    Parameters
    ----------
    quantity : str
        What the number is, with its unit in brackets; for the error.
    value : float
        The number to check. [any unit]
    least, most : float
        Bounds, both allowed. [unit of `value`]

    Returns
    -------
    float
        `value`, unchanged. [unit of `value`]

    Raises
    ------
    OutOfRangeError
        If `value` is not finite or lies outside the bounds.

    Examples
    --------
    >>> checked("humidity [%]", 70.0, 0.0, 100.0)
    70.0
    >>> checked("humidity [%]", 170.0, 0.0, 100.0)
    Traceback (most recent call last):
    core.science.ranges.OutOfRangeError: humidity [%] is 170, must be from 0 to 100
    """
    if math.isfinite(value) and least <= value <= most:
        return value
    raise OutOfRangeError(quantity, value, _range_in_words(least, most))


def _range_in_words(least: float, most: float) -> str:
    if math.isinf(least) and math.isinf(most):
        return "a finite number"
    if math.isinf(most):
        return f"at least {least:g}"
    if math.isinf(least):
        return f"at most {most:g}"
    return f"from {least:g} to {most:g}"
