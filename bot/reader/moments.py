"""The moment that words for a time mean, seen from the moment of the message.

What happened lies before the message, what is wanted after it; a weekday, an hour without am or pm, and a day of the
month are taken accordingly. Not for finding the words: times does that.
"""

import datetime as dt

from dateutil.relativedelta import relativedelta

from bot.reader.times import EARLIEST_BARE_HOUR, When

_CALENDAR = {"day": "days", "week": "weeks", "month": "months", "year": "years"}
_MINUTES = {"minute": 1, "hour": 60}


def exists(moment: dt.datetime) -> dt.datetime:
    """Put a wall time that a change of clocks skips on to the clock that follows."""
    return moment.astimezone(dt.UTC).astimezone(moment.tzinfo)


def past(when: When, at: dt.datetime) -> dt.datetime:
    """Say when something happened."""
    return _moment(when, at, future=False)


def future(when: When, at: dt.datetime) -> dt.datetime:
    """Say when something is to happen."""
    return _moment(when, at, future=True)


def date(when: When, at: dt.datetime, *, in_future: bool) -> dt.date:
    """Say which day is meant."""
    return _day(when, at, future=in_future) if when.has_day else _moment(when, at, future=in_future).date()


def _moment(when: When, at: dt.datetime, *, future: bool) -> dt.datetime:
    if when.is_now:
        return at
    minutes = sum(n * _MINUTES[unit] for n, unit in when.steps if unit in _MINUTES)
    if minutes:
        return (at.astimezone(dt.UTC) + dt.timedelta(minutes=minutes)).astimezone(at.tzinfo)
    day = _day(when, at, future=future)
    if when.hour is None and when.part is None:
        return _wall(day, at.hour, at.minute, at, future=future)
    if when.hour is None:
        return _of_part(when, day, at, future=future)
    return _of_hour(when, day, at, future=future)


def _wall(day: dt.date, hour: int, minute: int, at: dt.datetime, *, future: bool) -> dt.datetime:
    """Give a wall time; of an hour that comes twice, while it does, the pass that lies on the side that is meant."""
    moment = dt.datetime.combine(day, dt.time(hour % 24, minute), at.tzinfo)
    if day == at.date() and at.fold:
        second = moment.replace(fold=1)
        moment = second if future or second.timestamp() <= at.timestamp() else moment
    return exists(moment)


def _of_part(when: When, day: dt.date, at: dt.datetime, *, future: bool) -> dt.datetime:
    moment = _wall(day, when.part or 0, 0, at, future=future)
    if future:
        is_to_come = moment >= at or when.has_day
        return moment if is_to_come else _wall(day + dt.timedelta(days=1), when.part or 0, 0, at, future=future)
    return at if moment > at and day == at.date() else moment


def _of_hour(when: When, day: dt.date, at: dt.datetime, *, future: bool) -> dt.datetime:
    hour = when.hour or 0
    if when.half:
        moment = _wall(day, hour, when.minute, at, future=future)
        if future and not when.has_day and moment.timestamp() < at.timestamp():
            moment = _wall(day + dt.timedelta(days=1), hour, when.minute, at, future=future)
        return moment
    if when.part is not None:
        return _wall(day, _near_part(hour, when.part), when.minute, at, future=future)
    if when.has_day and (day != at.date()):
        return _wall(day, _usual(hour), when.minute, at, future=future)
    both = [
        _wall(day + dt.timedelta(days=d), h, when.minute, at, future=future)
        for d in (-1, 0, 1)
        for h in (hour % 12, hour % 12 + 12)
    ]
    if future:
        return min((m for m in both if m.timestamp() > at.timestamp()), key=dt.datetime.timestamp)
    return max((m for m in both if m.timestamp() <= at.timestamp()), key=dt.datetime.timestamp)


def _near_part(hour: int, part: int) -> int:
    """Give "7 this morning" the morning's seven, "6 in the evening" the evening's six."""
    if hour > 12:
        return hour
    return hour % 12 if part < 12 else hour % 12 + 12


def _usual(hour: int) -> int:
    if hour >= 12:
        return hour
    return hour if hour >= EARLIEST_BARE_HOUR else hour + 12


def _day(when: When, at: dt.datetime, *, future: bool) -> dt.date:
    today = at.date()
    try:
        for number, unit in when.steps:
            if unit in _CALENDAR:
                today += relativedelta(**{_CALENDAR[unit]: round(number)})  # type: ignore[arg-type]
        if when.day is not None:
            return today + dt.timedelta(days=when.day)
        if when.weekday is not None:
            return _weekday(when, today, future=future)
        if when.monthday is not None:
            return _monthday(when, today, future=future)
    except (ValueError, OverflowError, LookupError):
        return at.date()
    return today


def _weekday(when: When, today: dt.date, *, future: bool) -> dt.date:
    ahead = (when.weekday or 0) - today.weekday()
    if future or when.turn == "next":
        return today + dt.timedelta(days=ahead % 7 or 7)
    return today - dt.timedelta(days=-ahead % 7 or 7)


def _monthday(when: When, today: dt.date, *, future: bool) -> dt.date:
    if when.year is not None:
        return dt.date(when.year, when.month or 1, when.monthday or 1)
    step = relativedelta(years=1) if when.month else relativedelta(months=1)
    first = today.replace(day=1, month=when.month or today.month)
    days = [first + step * k for k in (-1, 0, 1, 2)]
    dates = [d + dt.timedelta(days=(when.monthday or 1) - 1) for d in days]
    valid = [c for c, d in zip(dates, days, strict=True) if c.month == d.month]
    if future:
        return min(c for c in valid if c >= today)
    return max((c for c in valid if c <= today), default=valid[0])
