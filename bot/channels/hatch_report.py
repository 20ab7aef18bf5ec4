"""A hatch forecast for a logged series of temperatures, as `ovipost forecast` prints it.

Times without an offset are all taken on one clock and come back on it. Not for the forecasts of a farm's tubs.
"""

import datetime as dt
from collections.abc import Iterator, Sequence
from typing import Any

from bot.channels.thermometer import LogError, Reading
from core.science.development import HatchWindow, TooCold
from core.science.logged import RECENT_DAYS, forecast
from core.science.species import Species
from core.units import TemperatureUnit, from_celsius

Outcome = HatchWindow | TooCold

_DAY = "%a %b %d %Y %H:%M"


def outcome_of(readings: Sequence[Reading], laid: dt.datetime, kind: Species) -> Outcome:
    """Forecast the hatch; raise LogError where the time of the lay is out of all range."""
    zone = laid.tzinfo or readings[0][0].tzinfo or dt.UTC
    aware = [(at if at.tzinfo else at.replace(tzinfo=zone), temp_c) for at, temp_c in readings]
    try:
        return forecast(aware, laid if laid.tzinfo else laid.replace(tzinfo=zone), kind.name)
    except (OverflowError, OSError, ValueError) as error:
        raise LogError(f"There is no forecast from these times: {error}.") from None


def as_json(outcome: Outcome) -> dict[str, Any]:
    """Give the three times; null where it stays too cold for a hatch."""
    if isinstance(outcome, TooCold):
        return {"earliest": None, "likely": None, "latest": None}
    return {name: getattr(outcome, name).isoformat() for name in ("earliest", "likely", "latest")}


def as_text(
    outcome: Outcome, readings: Sequence[Reading], laid: dt.datetime, kind: Species, unit: TemperatureUnit
) -> Iterator[str]:
    """Give the forecast and what it rests on, a line each."""
    if isinstance(outcome, TooCold):
        mean, limit = _temp(outcome.mean_temp_c, unit), _temp(outcome.limit_c, unit)
        yield f"No hatch: at a mean of {mean} it stays too cold for eggs of the {kind.common_name}, which need {limit}."
    else:
        zone = laid.tzinfo or readings[0][0].tzinfo
        yield f"Earliest  {_time(outcome.earliest, zone)}"
        yield f"Likely    {_time(outcome.likely, zone)}"
        yield f"Latest    {_time(outcome.latest, zone)}"
        yield f"Mean temperature from lay to hatch: {_temp(outcome.mean_temp_c, unit)}"
        if outcome.is_untested:
            yield "So cool a lay is hardly tested; the span is doubled."
    yield from _basis(readings, kind, unit)


def _basis(readings: Sequence[Reading], kind: Species, unit: TemperatureUnit) -> Iterator[str]:
    first, last = readings[0][0], readings[-1][0]
    noun = "reading" if len(readings) == 1 else "readings"
    yield f"Rests on {len(readings)} {noun} from {_time(first, first.tzinfo)} to {_time(last, last.tzinfo)}."
    yield f"From the last one on, the warmth of the last days (up to {RECENT_DAYS}) is taken to go on."
    needed, base_c = kind.egg.thermal_constant.value, kind.egg.base_temp_c.value
    scale = from_celsius(1.0, unit) - from_celsius(0.0, unit)
    yield f"Eggs of the {kind.common_name} take {needed * scale:.0f} degree-days {unit} above {_temp(base_c, unit)}."
    sources = {figure.source for figure in (kind.egg.thermal_constant, kind.egg.base_temp_c)}
    yield f"Source: {'; '.join(sorted(sources))}."


def _temp(temp_c: float, unit: TemperatureUnit) -> str:
    return f"{from_celsius(temp_c, unit):.1f} {unit}"


def _time(at: dt.datetime, zone: dt.tzinfo | None) -> str:
    """Give a time with its offset, or without one where none was given."""
    if zone is None:
        return at.strftime(_DAY)
    return at.astimezone(zone).strftime(f"{_DAY} %z") if at.tzinfo else at.strftime(_DAY)
