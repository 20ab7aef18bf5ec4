"""A farm's settings from the text that people give them in.

Not for reading sentences: the normal form of each setting stands beside its name in core.journal.kinds.
"""

import datetime as dt
import re
import zoneinfo
from functools import lru_cache

from msgspec.structs import replace

from core.farm.farm import Settings
from core.journal.kinds import Setting, Weekday
from core.units import TemperatureUnit

_OFFSET = re.compile(r"UTC(?:([+-])(\d{1,2})(?::?(\d{2}))?)?")
MOST_LAY_HOURS = 96.0
MOST_WATER_TIMES = 6


class SettingError(ValueError):
    """A setting cannot take that value."""

    def __init__(self, what: Setting, to: str) -> None:
        super().__init__(f"{what} cannot be {to!r}")
        self.what = what
        self.to = to


@lru_cache(maxsize=512)
def tzinfo_of(name: str) -> dt.tzinfo:
    """Give the zone of an IANA name or of an offset such as `UTC+05:30`.

    Raises
    ------
    ValueError
        Where there is no such zone.
    """
    offset = _OFFSET.fullmatch(name)
    if offset:
        sign, hours, minutes = offset.groups(default="0")
        span = dt.timedelta(hours=int(hours), minutes=int(minutes))
        return dt.timezone(-span if sign == "-" else span)
    try:
        return zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, OSError) as error:
        raise ValueError(f"no time zone {name!r}") from error


def with_setting(settings: Settings, what: Setting, to: str) -> Settings:
    """Give the settings with one changed; the farm's name is not among them.

    Raises
    ------
    SettingError
        Where the setting cannot take that value.
    """
    try:
        return replace(settings, **_parsed(what, to.strip()))
    except ValueError as error:
        raise SettingError(what, to) from error


def _parsed(what: Setting, to: str) -> dict[str, object]:  # noqa: C901 - one case a setting
    match what:
        case Setting.UNITS:
            return {"units": TemperatureUnit(to.upper())}
        case Setting.TIMEZONE:
            tzinfo_of(to)
            return {"timezone": to, "is_set_up": True}
        case Setting.WATER_TIMES:
            return {"water_times": _times(to)}
        case Setting.QUIET_HOURS:
            return {"quiet_hours": _span(to)}
        case Setting.LAY_HOURS:
            return {"lay_hours": _hours(to)}
        case Setting.LANGUAGE:
            return {"language": to.lower()}
        case Setting.SUMMARY:
            return {"summary_day": None if to.lower() in {"off", "none"} else Weekday(to.lower())}
        case Setting.NAME:
            return {}


def _times(to: str) -> tuple[dt.time, ...]:
    times = tuple(sorted({_time(part) for part in to.split(",")}))
    if len(times) > MOST_WATER_TIMES:
        raise ValueError(f"{len(times)} water times a day")
    return times


def _span(to: str) -> tuple[dt.time, dt.time] | None:
    if to in {"off", "none"}:
        return None
    start, end = (_time(part) for part in to.split("-"))
    return None if start == end else (start, end)


def _time(text: str) -> dt.time:
    time = dt.time.fromisoformat(text.strip())
    if time.tzinfo is not None:
        raise ValueError(f"a time of day with a zone: {text!r}")
    return time


def _hours(to: str) -> float:
    hours = float(to)
    if not 1.0 <= hours <= MOST_LAY_HOURS:
        raise ValueError(f"a lay of {hours} hours")
    return hours
