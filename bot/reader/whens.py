"""Fills the slots that hold times and dates.

Not for what a time's words mean: times and moments do that.
"""

import datetime as dt

import msgspec

from bot.reader import moments
from bot.reader.scene import View
from bot.reader.times import When
from bot.reader.tokens import CLOCK, NUMBER, Token

SECONDS_OF_NOW = 60  # nearer than that is the moment of the message
MOST_BARE_MINUTES = 120  # "ask again in 20"
DAYS_A_WEEK = 7
MINUTES = {"minute": 1, "hour": 60, "day": 1440}


def _times(view: View) -> list[Token]:
    return [t for t in view.tokens if isinstance(t.value, When)]


def happened(view: View) -> dt.datetime | None:
    """Say when something happened; None for the moment of the message."""
    said = view.clause.tokens if view.act.kind == "discarded" else view.tokens
    tokens = [t for t in said if isinstance(t.value, When)]
    tokens = [t for t in tokens if "<until>" not in t.tags and not _is_only_every(t.value)]
    when = _joined(tokens) or (view.act.shared.value if view.act.shared else None)
    if when is None:
        return None
    back = (
        when.steps
        and when.steps[0][0] > 0
        and any(t.text.split(" ")[0] in view.book.word_sets["lasting"] for t in tokens)
    )
    if back:  # "has been chirping for two days"
        when = msgspec.structs.replace(when, steps=tuple((-n, unit) for n, unit in when.steps))
    moment = moments.past(when, view.scene.at)
    return None if abs(moment.timestamp() - view.scene.at.timestamp()) < SECONDS_OF_NOW else moment


def _is_only_every(when: When) -> bool:
    return bool(when.every) and not when.has_day and not when.has_hour


def _joined(tokens: list[Token]) -> When | None:
    """Put the times of a clause together, wherever they stand in it."""
    out: When | None = None
    for token in tokens:
        if token.value.is_now and len(tokens) > 1:
            continue
        joined = token.value if out is None else out.joined(token.value)
        out = joined or out
    return out


def wanted(view: View) -> dt.datetime | None:
    """Say when something is wanted."""
    when = _joined(_times(view))
    if when is None or _is_only_every(when):
        return None
    return moments.future(when, view.scene.at)


def until(view: View) -> dt.datetime | None:
    """Say until when reminders rest."""
    said = _times(view)
    when = _joined([t for t in said if "<until>" in t.tags] or said)
    if when is None or when.is_now:
        return None
    if when.day == 0 and not when.has_hour:  # for today
        return moments.future(When(day=1, part=0, hour=0, half="24"), view.scene.at)
    return moments.future(when, view.scene.at)


def due(view: View) -> dt.date | None:
    """Say by which day something is wanted: "every friday from may 1" on the first such Friday."""
    said = _times(view)
    weekday = next((t.value.weekday for t in said if t.value.every and t.value.weekday is not None), None)
    start = _joined([t for t in said if not t.value.every])
    if weekday is not None and start is not None and start.has_day:
        first = moments.date(start, view.scene.at, in_future=True)
        return first + dt.timedelta(days=(weekday - first.weekday()) % DAYS_A_WEEK)
    when = _joined(said)
    if when is None or _is_only_every(when):
        return None
    return moments.date(when, view.scene.at, in_future=True)


def called_off(view: View) -> dt.date | None:
    """Say on which day an order is not wanted; None for all of it. What is skipped, or of this week, is the next."""
    said, sets = {word for token in view.tokens for word in token.text.split()}, view.book.word_sets
    is_of_week = bool(said & sets["of_now"] and said & sets["of_week"])
    return due(view) or (view.scene.at.date() if is_of_week or said & sets["once_only"] else None)


def every(view: View) -> str | None:
    """Say how often: week, 2 weeks, month."""
    said = next((t.value.every for t in _times(view) if t.value.every), None)
    if said is not None:
        return str(said)
    for token in view.chunks("<duration>"):
        number, unit = token.value
        if number == 1 and unit in ("day", "week", "month"):
            return str(unit)
    return None


def day(view: View, *, in_future: bool) -> dt.date | None:
    """Say which day a question is about; None for now."""
    when = _joined(_times(view))
    if when is None or when.is_now or _is_only_every(when) or not (when.has_day or when.part is not None):
        return None
    return moments.date(when, view.scene.at, in_future=in_future)


def minutes(view: View) -> int | None:
    """Say for how many minutes a reminder rests."""
    for token in view.chunks("<duration>"):
        number, unit = token.value
        if unit in MINUTES:
            return _whole(number * MINUTES[unit])
    for token in view.numbers():
        before = view.before(token)
        if before is not None and before.text in view.book.word_sets["for_time"] and token.value <= MOST_BARE_MINUTES:
            return _whole(token.value)
    for token in _times(view):
        steps = token.value.steps
        if len(steps) == 1 and steps[0][1] in MINUTES and steps[0][0] > 0:
            return _whole(steps[0][0] * MINUTES[steps[0][1]])
    return None


def _whole(value: float) -> int:
    return round(value)


def rest_until(view: View) -> dt.datetime | None:
    """Say until when a reminder rests, where that is not a number of minutes."""
    if minutes(view) is not None:
        return None
    when = _joined(_times(view))
    return None if when is None or when.is_now else moments.future(when, view.scene.at)


def days(view: View) -> int | None:
    """Say how many days ahead a question looks."""
    in_days = {"day": 1, "week": 7, "month": 30}
    lengths = [t.value for t in view.chunks("<duration>")]
    lengths += [s for t in _times(view) for s in t.value.steps if s[0] > 0]
    for number, unit in lengths:
        if unit in in_days:
            return _whole(number * in_days[unit])
    words = {t.text for t in view.tokens}
    spans: dict[str, int] = view.book.data["day_spans"]
    return next((n for word, n in spans.items() if word in words), None)


def clocks(view: View) -> list[tuple[int, int, bool]]:
    """Give the times of day that are said, as hour, minute, and whether am or pm is clear."""
    out: list[tuple[int, int, bool]] = []
    for token in view.tokens:
        if isinstance(token.value, When) and token.value.hour is not None:
            out.append((token.value.hour, token.value.minute, bool(token.value.half)))
        elif isinstance(token.value, When) and token.value.part is not None and "<every>" not in token.tags:
            out.append((token.value.part, 0, True))
        elif token.kind == CLOCK and isinstance(token.value, tuple):
            out.append((*token.value, token.value[0] > 12))
        elif token.kind == NUMBER and isinstance(token.value, int) and token.value <= 24:
            out.append((token.value % 24, 0, token.value > 12))
    return out
