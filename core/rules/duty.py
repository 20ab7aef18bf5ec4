"""Who does the chores at a time: who has taken the day on, who is free, who is away.

A day that somebody has taken on is theirs alone; any other belongs to all who are here. Nothing is ever left undone
because nobody is there: then it is everybody's.
"""

import datetime as dt

from core.farm.farm import Farm, Person
from core.journal.kinds import Role, Weekday
from core.rules import hours

_WEEK = tuple(Weekday)
DAY = dt.timedelta(days=1)


def on_duty(farm: Farm, at: dt.datetime) -> tuple[str, ...]:
    """Name those who do the chores at a time; everybody who may, where nobody is there for them."""
    workers = [person for person in farm.people.values() if person.role is not Role.LOOKER_ON]
    here = [person for person in workers if not is_away(person, at)]
    day = _WEEK[hours.local(farm, at).weekday()]
    taken = [person for person in here if day in person.days]
    free = [person for person in here if not person.days and day not in person.off]
    return tuple(person.name for person in taken or free or here or workers)


def is_away(person: Person, at: dt.datetime) -> bool:
    """Tell whether a person is away at a time."""
    away = person.away
    return away is not None and away.start <= at and (away.until is None or at < away.until)


def away_until(person: Person, now: dt.datetime) -> dt.datetime | None:
    """Tell until when a person is, or will be, away; None where they are not, or said no day."""
    away = person.away
    return away.until if away is not None and away.until is not None and now < away.until else None


def by_day(farm: Farm, first: dt.date, days: int) -> tuple[tuple[dt.date, tuple[str, ...]], ...]:
    """Name those who are on duty at noon of each day."""
    dates = [first + number * DAY for number in range(days)]
    return tuple((date, on_duty(farm, hours.at_time(farm, date, dt.time(12)))) for date in dates)
