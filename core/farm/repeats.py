"""What comes again and again: on which days, by how often it does.

Not for the chores of every day: core.rules.hours.
"""

import calendar
import datetime as dt


def nth(first: dt.date, every: str, index: int) -> dt.date:
    """Give the day of one time of several; `every` is day, week, 2 weeks, month. A month ends with its last day.

    What is beyond the last day that a date can hold is that day.
    """
    number, unit = step(every)
    try:
        match unit:
            case "day":
                return first + dt.timedelta(days=number * index)
            case "month":
                return _months_later(first, number * index)
            case _:
                return first + dt.timedelta(weeks=number * index)
    except (OverflowError, ValueError):
        return dt.date.max


def first_from(first: dt.date, every: str, day: dt.date) -> int:
    """Give the index of the first time that is on a day or later."""
    number, unit = step(every)
    if unit == "month":
        index = max((day.year - first.year) * 12 + day.month - first.month, 0) // number
    else:
        index = max((day - first).days, 0) // (number * (1 if unit == "day" else 7))
    return index if nth(first, every, index) >= day else index + 1


def step(every: str) -> tuple[int, str]:
    """Give how often as a number and a unit: 2, week."""
    number, _, unit = every.rpartition(" ")
    return max(int(number), 1) if number.isdecimal() else 1, unit.removesuffix("s")


def _months_later(day: dt.date, months: int) -> dt.date:
    year, month = divmod(day.month - 1 + months, 12)
    last = calendar.monthrange(day.year + year, month + 1)[1]
    return day.replace(year=day.year + year, month=month + 1, day=min(day.day, last))
