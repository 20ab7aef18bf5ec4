"""A thermometer's log: a CSV file with the header `time,temp`, and `rh` where it has one, into readings.

Not for what they mean for the eggs: that is core.science.logged.
"""

import csv
import datetime as dt
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from core.science.logged import HOTTEST_MEAN_C, MOST_GAP_DAYS
from core.science.warmth import COLDEST_C, HOTTEST_C
from core.units import TemperatureUnit, from_celsius, to_celsius

COLUMNS = ("time", "temp")
HUMIDITY = "rh"


class Reading(NamedTuple):
    """A line of the log."""

    at: dt.datetime  # as the file has it: with or without a zone
    temp_c: float
    rh: float | None = None  # percent


class LogError(ValueError):
    """The file cannot be used; the text is one sentence that names the line."""


_Row = tuple[int, Reading]  # the line's number


def readings(source: Iterable[str], unit: TemperatureUnit) -> list[Reading]:
    """Read a log whose temperatures are in `unit`; its times have all an offset or none, and go on from row to row.

    Raises
    ------
    LogError
        At the first line that cannot be used.
    """
    rows: list[_Row] = []
    for row in _rows(source, unit):
        if rows:
            _compare(rows[-1], row)
        rows.append(row)
    if not rows:
        raise LogError("The file has no readings.")
    _check_mean(sum(reading.temp_c for _, reading in rows) / len(rows), unit)
    return [reading for _, reading in rows]


def _rows(source: Iterable[str], unit: TemperatureUnit) -> Iterator[_Row]:
    reader = csv.reader(source)
    try:
        header = [name.strip().lstrip("\ufeff").lower() for name in next(reader, [])]
        if not set(COLUMNS) <= set(header):
            raise LogError("Line 1 has to be the header `time,temp`.")
        places = {name: header.index(name) for name in (*COLUMNS, HUMIDITY) if name in header}
        for cells in reader:
            if any(cell.strip() for cell in cells):
                row = {name: cells[place].strip() if place < len(cells) else "" for name, place in places.items()}
                yield reader.line_num, _reading(reader.line_num, row, unit)
    except csv.Error as error:
        raise LogError(f"Line {reader.line_num}: {error}.") from None


def _reading(line: int, row: Mapping[str, str], unit: TemperatureUnit) -> Reading:
    time, temp = row["time"], row["temp"]
    try:
        at = dt.datetime.fromisoformat(time)
    except ValueError:
        raise LogError(f"Line {line}: {time!r} is not a time such as 2026-07-14 08:10.") from None
    temp_c = to_celsius(_number(line, temp, "temperature"), unit)
    if not COLDEST_C <= temp_c <= HOTTEST_C:
        lowest, highest = (f"{from_celsius(bound, unit):g}" for bound in (COLDEST_C, HOTTEST_C))
        raise LogError(f"Line {line}: {temp} {unit} is not between {lowest} and {highest} {unit}.")
    if not row.get(HUMIDITY):
        return Reading(at, temp_c)
    rh = _number(line, row[HUMIDITY], "humidity")
    if not 0.0 <= rh <= 100.0:
        raise LogError(f"Line {line}: {row[HUMIDITY]} % is not between 0 and 100 %.")
    return Reading(at, temp_c, rh)


def _number(line: int, text: str, what: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise LogError(f"Line {line}: {text!r} is not a {what}.") from None


def _compare(before: _Row, row: _Row) -> None:
    (earlier_line, earlier), (line, reading) = before, row
    if (earlier.at.tzinfo is None) != (reading.at.tzinfo is None):
        raise LogError(f"Line {line}: either all times have an offset or none.")
    if reading.at <= earlier.at:
        raise LogError(f"Line {line}: its time is not after the one of line {earlier_line}.")
    gap = (reading.at - earlier.at) / dt.timedelta(days=1)
    if gap > MOST_GAP_DAYS:
        raise LogError(f"Line {line}: {gap:.0f} days after line {earlier_line}, too long to guess the warmth between.")


def _check_mean(mean_c: float, unit: TemperatureUnit) -> None:
    if mean_c > HOTTEST_MEAN_C:
        guess = " Are they Fahrenheit?" if unit is TemperatureUnit.CELSIUS else ""
        mean = f"{from_celsius(mean_c, unit):.0f} {unit}"
        raise LogError(f"The temperatures are {mean} in the mean, too hot for any egg.{guess}")
