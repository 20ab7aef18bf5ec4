"""A thermometer's log: a CSV file with the header `time,temp`, into times and temperatures.

Not for what they mean for the eggs: that is core.science.logged.
"""

import csv
import datetime as dt
from collections.abc import Iterable, Iterator, Sequence

import msgspec

from core.science.warmth import COLDEST_C, HOTTEST_C
from core.units import TemperatureUnit, from_celsius, to_celsius

Reading = tuple[dt.datetime, float]  # as the file has it: with or without a zone; degrees Celsius

COLUMNS = ("time", "temp")


class LogError(ValueError):
    """The file cannot be used; the text is one sentence that names the line."""


class _Row(msgspec.Struct, frozen=True):
    line: int
    at: dt.datetime
    temp_c: float


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
    return [(row.at, row.temp_c) for row in rows]


def _rows(source: Iterable[str], unit: TemperatureUnit) -> Iterator[_Row]:
    reader = csv.reader(source)
    try:
        header = [name.strip().lstrip("\ufeff").lower() for name in next(reader, [])]
        if not set(COLUMNS) <= set(header):
            raise LogError("Line 1 has to be the header `time,temp`.")
        places = [header.index(name) for name in COLUMNS]
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield _row(reader.line_num, [cells[place] if place < len(cells) else "" for place in places], unit)
    except csv.Error as error:
        raise LogError(f"Line {reader.line_num}: {error}.") from None


def _row(line: int, cells: Sequence[str], unit: TemperatureUnit) -> _Row:
    time, temp = (cell.strip() for cell in cells)
    try:
        at = dt.datetime.fromisoformat(time)
    except ValueError:
        raise LogError(f"Line {line}: {time!r} is not a time such as 2026-07-14 08:10.") from None
    try:
        temp_c = to_celsius(float(temp), unit)
    except ValueError:
        raise LogError(f"Line {line}: {temp!r} is not a temperature.") from None
    if not COLDEST_C <= temp_c <= HOTTEST_C:
        lowest, highest = (f"{from_celsius(bound, unit):g}" for bound in (COLDEST_C, HOTTEST_C))
        raise LogError(f"Line {line}: {temp} {unit} is not between {lowest} and {highest} {unit}.")
    return _Row(line, at, temp_c)


def _compare(before: _Row, row: _Row) -> None:
    if (before.at.tzinfo is None) != (row.at.tzinfo is None):
        raise LogError(f"Line {row.line}: either all times have an offset or none.")
    if row.at <= before.at:
        raise LogError(f"Line {row.line}: its time is not after the one of line {before.line}.")
