"""Words for a time, as chunks, and what moment they mean.

Calendar steps (days, weeks, months) keep the wall clock, hours and minutes are counted as they pass, so both are
right across a change of clocks. Not for which way a weekday points: whoever asks says past or future.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import msgspec

from bot.reader.book import Book
from bot.reader.figures import span
from bot.reader.tokens import NUMBER, Token

EARLIEST_BARE_HOUR = 6  # "tomorrow at 6" is the morning, at 5 the afternoon
FAR = 400  # more days, weeks or months than anybody means


class When(msgspec.Struct, frozen=True):
    """What the words of one time say; fields that they leave out are None."""

    steps: tuple[tuple[float, str], ...] = ()  # (-2, "hour"): from the moment of the message
    day: int | None = None  # -1 yesterday
    weekday: int | None = None  # 0 Monday
    turn: str = ""  # last, next: said with the weekday
    monthday: int | None = None
    month: int | None = None
    year: int | None = None
    hour: int | None = None
    minute: int = 0
    half: str = ""  # am, pm, or empty where it is open
    part: int | None = None  # usual hour of a part of the day
    is_now: bool = False
    every: str = ""  # day, week, 2 weeks, month

    @property
    def has_hour(self) -> bool:
        """Say whether a time of day is among the words."""
        return (
            self.hour is not None or self.part is not None or any(unit in ("hour", "minute") for _, unit in self.steps)
        )

    @property
    def counts_hours(self) -> bool:
        """Say whether hours or minutes are counted from the moment of the message."""
        return any(unit in ("hour", "minute") for _, unit in self.steps)

    @property
    def has_day(self) -> bool:
        """Say whether a day is among the words."""
        named = (self.day, self.weekday, self.monthday)
        return any(n is not None for n in named) or any(u in ("day", "week", "month", "year") for _, u in self.steps)

    @property
    def is_ahead(self) -> bool:
        """Say whether it may be meant as an hour to come, said alone."""
        steps = bool(self.steps) and all(n > 0 for n, _ in self.steps)
        clock = (self.hour is not None and self.day in (None, 0, 1)) or (self.part is not None and self.day in (0, 1))
        return (steps or clock or self.day == 1) and not self.is_now

    @property
    def is_span(self) -> bool:
        """Say whether it is a stretch of days to come: "the next 3 days"."""
        return any(unit in ("week", "month") or (unit == "day" and n > 1) for n, unit in self.steps)

    def joined(self, other: "When") -> "When | None":
        """Put two neighbours together ("yesterday" and "at 5"); None where they say the same sort of thing twice."""
        if (self.has_day and other.has_day) or (self.hour is not None and other.hour is not None):
            return None
        if (
            (self.steps and other.steps)
            or (self.counts_hours and other.has_hour)
            or (other.counts_hours and self.has_hour)
        ):
            return None
        if self.is_now or other.is_now:
            return other if self.is_now else self
        if self.every and other.every:
            return None
        mine = {f: getattr(self, f) for f in self.__struct_fields__}
        for field in self.__struct_fields__:
            value = getattr(other, field)
            if value not in (None, "", 0, (), False) or (field in ("day", "weekday", "hour", "part") and value == 0):
                mine[field] = value
        return When(**mine)


def chunked(tokens: list[Token], book: Book) -> list[Token]:
    """Put one chunk in the place of the words of each time."""
    out: list[Token] = []
    tags = [t.tags for t in tokens]
    i = 0
    while i < len(tokens):
        found = _atom(tokens, tags, i, book)
        if found is None:
            if (
                "<duration>" in tokens[i].tags and tokens[i].text.split(" ")[0] in book.word_sets["per"]
            ):  # "1000 a week"
                tokens[i].tags |= {"<every>"}
            out.append(tokens[i])
            i += 1
            continue
        when, end, prep = found
        end, when = _grown(tokens, tags, end, when, book)
        flags = {
            prep: bool(prep),
            "day": when.has_day,
            "ahead": when.is_ahead,
            "now": when.is_now,
            "span": when.is_span,
            "length": bool(when.steps),
            "every": bool(when.every),
            "weekday": when.weekday is not None,
            "each": any(t.text in book.word_sets["weekdays_each"] for t in tokens[i:end]),
        }
        out.append(span(tokens, i, end, "time", when, *(f"<{name}>" for name, holds in flags.items() if holds)))
        i = end
    return out


def _grown(tokens: list[Token], tags: Sequence[frozenset[str]], end: int, when: When, book: Book) -> tuple[int, When]:
    while end < len(tokens):
        at = end + 1 if tokens[end].text == "," and end + 1 < len(tokens) else end
        following = _atom(tokens, tags, at, book)
        joined = when.joined(following[0]) if following else None
        if joined is None or following is None:
            break
        end, when = following[1], joined
    return end, when


def _atom(tokens: list[Token], tags: Sequence[frozenset[str]], i: int, book: Book) -> tuple[When, int, str] | None:
    found = book.atoms.longest(tags, i)
    if found is None:
        return None
    row, match = found
    taken = [tokens[k] for k in match.used]
    when = _ATOMS[row["gives"]](taken, row, book.data["time"])
    prep = next((p for t in taken for p in ("since", "until", "by") if "@" + p in t.tags), "")
    return (when, match.end, prep) if when is not None else None


def _tagged(taken: Sequence[Token], tag: str) -> Token | None:
    return next((t for t in taken if tag in t.tags), None)


def _length(taken: Sequence[Token]) -> tuple[float, str] | None:
    token = _tagged(taken, "<duration>")
    if token is None:
        return None
    number, unit = token.value
    return (number, unit) if number <= FAR else None


def _shift(taken: Sequence[Token], row: Mapping[str, Any], words: Mapping[str, Any]) -> When | None:
    length = _length(taken)
    return When(steps=((row["sign"] * length[0], length[1]),)) if length else None


def _fixed(taken: Sequence[Token], row: Mapping[str, Any], words: Mapping[str, Any]) -> When | None:
    return When(**row["set"])


def _weekday(taken: Sequence[Token], row: Mapping[str, Any], words: Mapping[str, Any]) -> When | None:
    token = _tagged(taken, "@weekday")
    number = words["weekdays"].get(token.text) if token else None
    turn = next((turn for t in taken for turn in ("last", "next") if "@" + turn in t.tags), "")
    length = _length(taken)
    steps = (length,) if length else ()  # "a week from friday"
    return When(weekday=number, turn=turn, steps=steps, every=row.get("every", "")) if number is not None else None


def _every(taken: Sequence[Token], row: Mapping[str, Any], words: Mapping[str, Any]) -> When | None:
    length = _length(taken)
    if length is None:
        return None
    number, unit = length
    return When(every=unit if number == 1 else f"{number:g} {unit}s")


def _date(taken: Sequence[Token], row: Mapping[str, Any], words: Mapping[str, Any]) -> When | None:
    iso = _tagged(taken, "<iso>")
    if iso is not None:
        parts = [int(p) for p in iso.value.split("-")]
        is_date = _is_day(parts[1], parts[2]) and parts[0] > 0
        return When(year=parts[0], month=parts[1], monthday=parts[2]) if is_date else None
    number = _tagged(taken, "<ordinal>") or _tagged(taken, "<number>")
    name = _tagged(taken, "@month")
    month = words["months"].get(name.text) if name else None
    if number is None or not isinstance(number.value, int) or not _is_day(month or 1, number.value):
        return None
    return When(month=month, monthday=number.value)


def _is_day(month: int, day: int) -> bool:
    return 1 <= month <= 12 and 1 <= day <= 31


def _clock(taken: Sequence[Token], row: Mapping[str, Any], words: Mapping[str, Any]) -> When | None:
    token = _tagged(taken, "<clock>")
    half = _half(taken)
    if token is not None:
        hour, minute = token.value
    else:
        number = _tagged(taken, "<number>")
        if number is None or not isinstance(number.value, int):
            return None
        hour, minute = divmod(number.value, 100) if number.value >= 100 else (number.value, 0)
        if number.value > row.get("hours", 12) and not (half and number.value >= 100) and "<spoken>" not in number.tags:
            return None
    return _of_day(hour, minute, half)


def _of_day(hour: int, minute: int, half: str) -> When | None:
    if not (0 <= hour <= 24 and 0 <= minute <= 59):
        return None
    if half and 1 <= hour <= 12:
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif hour > 12 or hour == 0:
        half = "24"
    return When(hour=hour % 24, minute=minute, half=half)


def _half(taken: Sequence[Token]) -> str:
    for token in taken:
        for half in ("am", "pm"):
            if "@" + half in token.tags:
                return half
    return ""


def _relative(taken: Sequence[Token], row: Mapping[str, Any], words: Mapping[str, Any]) -> When | None:
    """Read "half six", "quarter past 6", "ten to seven"."""
    numbers = [t.value for t in taken if t.kind == NUMBER]
    if row.get("hour_first"):  # "las siete y veinte"
        numbers.reverse()
    hour = numbers[-1]
    minutes = row.get("minutes")
    if minutes is None:
        minutes = row["sign"] * numbers[0]
    if not isinstance(hour, int) or not 1 <= hour <= 12 or not isinstance(minutes, int) or abs(minutes) > 30:
        return None
    total = hour * 60 + minutes
    return _of_day(total // 60 % 12 or 12, total % 60, _half(taken))


_ATOMS: dict[str, Callable[[Sequence[Token], Mapping[str, Any], Mapping[str, Any]], When | None]] = {
    "shift": _shift,
    "fixed": _fixed,
    "weekday": _weekday,
    "date": _date,
    "every": _every,
    "clock": _clock,
    "relative": _relative,
}
