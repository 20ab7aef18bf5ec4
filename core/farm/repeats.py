"""What comes again and again: on which days, by how often it does.

Not for the chores of every day: core.rules.hours.
"""

import calendar
import datetime as dt


def nth(first: dt.date, every: str, index: int) -> dt.date:
    """Give the day of one time of several; `every` is day, week, 2 weeks, month. A month ends with its last day."""
    number, unit = step(every)
    match unit:
        case "day":
            return first + dt.timedelta(days=number * index)
        case "month":
            return _months_later(first, number * index)
        case _:
            return first + dt.timedelta(weeks=number * index)


def step(every: str) -> tuple[int, str]:
    """Give how often as a number and a unit: 2, week."""
    number, _, unit = every.rpartition(" ")
    return max(int(number), 1) if number.isdecimal() else 1, unit.removesuffix("s")


def _months_later(day: dt.date, months: int) -> dt.date:
    year, month = divmod(day.month - 1 + months, 12)
    last = calendar.monthrange(day.year + year, month + 1)[1]
    return day.replace(year=day.year + year, month=month + 1, day=min(day.day, last))
