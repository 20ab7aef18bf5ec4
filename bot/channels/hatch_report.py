"""A hatch forecast for a logged series of temperatures, as `ovipost forecast` prints it.

Times without an offset are all taken on one clock and come back on it. Not for the forecasts of a farm's tubs.
"""

import datetime as dt
from collections.abc import Iterator, Sequence
from typing import Any

from bot.channels.thermometer import LogError, Reading
from core.science.development import HatchWindow, NoForecast, TooHot
from core.science.figures import Mark
from core.science.logged import RECENT_DAYS, forecast, log_of
from core.science.species import Species
from core.science.substrate import surface_drop_c
from core.units import TemperatureUnit, from_celsius

Outcome = HatchWindow | NoForecast

_DAY = "%a %b %d %Y %H:%M"


def outcome_of(readings: Sequence[Reading], laid: dt.datetime, kind: Species, *, is_uncovered: bool = False) -> Outcome:
    """Forecast the hatch of eggs as warm as the log says; uncovered, as much cooler as wet substrate is in that air.

    Raises
    ------
    LogError
        Where the time of the lay is out of all range, the log has gaps, or no humidity where that is needed.
    """
    zone = laid.tzinfo or readings[0].at.tzinfo or dt.UTC
    aware = [(r.at if r.at.tzinfo else r.at.replace(tzinfo=zone), r.temp_c) for r in readings]
    drops_c = [_drop_c(reading) for reading in readings] if is_uncovered else None
    try:
        return forecast(log_of(aware, drops_c), laid if laid.tzinfo else laid.replace(tzinfo=zone), kind)
    except (OverflowError, OSError, ValueError) as error:
        raise LogError(f"There is no forecast from these times: {error}.") from None


def _drop_c(reading: Reading) -> float:
    if reading.rh is None:
        raise LogError("For an uncovered tub every line needs its humidity, in percent, in a column `rh`.")
    return surface_drop_c(reading.temp_c, reading.rh, is_covered=False)


def as_json(outcome: Outcome) -> dict[str, Any]:
    """Give the three times; null where it stays too cold or too hot for a hatch."""
    if isinstance(outcome, NoForecast):
        return {"earliest": None, "likely": None, "latest": None}
    return {name: getattr(outcome, name).isoformat() for name in ("earliest", "likely", "latest")}


def as_text(
    outcome: Outcome, readings: Sequence[Reading], laid: dt.datetime, kind: Species, unit: TemperatureUnit
) -> Iterator[str]:
    """Give the forecast and what it rests on, a line each."""
    if isinstance(outcome, NoForecast):
        mean, limit = _temp(outcome.mean_temp_c, unit), _temp(outcome.limit_c, unit)
        wrong, wanted = ("hot", "under") if isinstance(outcome, TooHot) else ("cold", "over")
        eggs = f"eggs of the {kind.common_name}"
        yield f"No hatch: {mean} in the mean is too {wrong} for {eggs}; it has to be {wanted} {limit}."
    else:
        zone = laid.tzinfo or readings[0].at.tzinfo
        yield f"Earliest  {_time(outcome.earliest, zone)}"
        yield f"Likely    {_time(outcome.likely, zone)}"
        yield f"Latest    {_time(outcome.latest, zone)}"
        yield f"Mean temperature from lay to hatch: {_temp(outcome.air_temp_c, unit)}"
        if outcome.cooling_c > 0.05:
            yield f"Mean of the wet substrate, which dries and so is cooler: {_temp(outcome.egg_temp_c, unit)}"
        if outcome.is_untested:
            yield "So cool a lay is hardly tested; the span is doubled."
    yield from _basis(readings, kind, unit)


def _basis(readings: Sequence[Reading], kind: Species, unit: TemperatureUnit) -> Iterator[str]:
    first, last = readings[0].at, readings[-1].at
    noun = "reading" if len(readings) == 1 else "readings"
    yield f"Rests on {len(readings)} {noun} from {_time(first, first.tzinfo)} to {_time(last, last.tzinfo)}."
    yield f"From the last one on, the warmth of the last days (up to {RECENT_DAYS}) is taken to go on."
    needed, base_c = kind.egg.thermal_constant.value, kind.egg.base_temp_c.value
    scale = from_celsius(1.0, unit) - from_celsius(0.0, unit)
    figures = (kind.egg.thermal_constant, kind.egg.base_temp_c)
    estimate = "" if all(figure.mark is Mark.READ for figure in figures) else ", an estimate"
    needs = f"{needed * scale:.0f} degree-days {unit} above {_temp(base_c, unit)}"
    yield f"Eggs of the {kind.common_name} take {needs}{estimate}."
    sources = {figure.source for figure in figures}
    yield f"Source: {'; '.join(sorted(sources))}."


def _temp(temp_c: float, unit: TemperatureUnit) -> str:
    return f"{from_celsius(temp_c, unit):.1f} {unit}"


def _time(at: dt.datetime, zone: dt.tzinfo | None) -> str:
    """Give a time with its offset, or without one where none was given."""
    if zone is None:
        return at.strftime(_DAY)
    return at.astimezone(zone).strftime(f"{_DAY} %z") if at.tzinfo else at.strftime(_DAY)
