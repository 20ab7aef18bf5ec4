"""Answers about hatching: days left, and why that day.

Not for reminders to look: notices.
"""

import datetime as dt
from collections.abc import Iterator, Mapping

from bot.replies.voice import Voice
from core.farm.farm import Tub
from core.rules.forecasts import ASSUMED_SD_C, HOUSE_CRICKET, READING_SD_C, Basis, Forecast
from core.rules.incubation import HATCH_PATIENCE_DAYS
from core.science.development import HatchWindow, TooCold
from core.units import TemperatureUnit


def days_left(voice: Voice, tub: str | None, known: Mapping[str, Forecast]) -> str:
    """Say how long one tub, or each, will take."""
    if tub is not None:
        return "\n".join(_lines(voice, voice.farm.tubs[tub], known))
    waiting = sorted(voice.farm.incubating(), key=lambda t: _likely(known.get(t.name)))
    if not waiting:
        return voice.say("days_left.none")
    return "\n".join(next(iter(_lines(voice, tub, known))) for tub in waiting)


def _likely(forecast: Forecast | None) -> dt.datetime:
    window = forecast.window if forecast else None
    return window.likely if isinstance(window, HatchWindow) else dt.datetime.max.replace(tzinfo=dt.UTC)


def _lines(voice: Voice, tub: Tub, known: Mapping[str, Forecast]) -> Iterator[str]:
    name = voice.subject(voice.tub(tub.name))
    forecast = known.get(tub.name)
    if tub.emptied_at is not None:
        yield voice.say("days_left.gone", tub=name, when=voice.when(tub.emptied_at))
    elif tub.hatch_done_at is not None:
        yield voice.say("days_left.hatched_over", tub=name, when=voice.when(tub.hatch_done_at))
    elif tub.hatch_at is not None:
        yield voice.say("days_left.hatched", tub=name, when=voice.when(tub.hatch_at))
    elif forecast is None:
        yield voice.say("days_left.unknown", tub=name)
    elif isinstance(forecast.window, TooCold):
        yield voice.say("days_left.cold", tub=name, temp=voice.temp(forecast.coming_c))
    else:
        yield _expected(voice, name, forecast.window)
    if forecast is not None and forecast.basis is Basis.ASSUMED:
        yield assumption(voice, forecast)


def _expected(voice: Voice, name: str, window: HatchWindow) -> str:
    about = voice.about(window)
    if voice.now > window.latest:
        given_up = voice.day(window.latest + dt.timedelta(days=HATCH_PATIENCE_DAYS))
        return voice.say("days_left.overdue", tub=name, about=about, day=given_up)
    return voice.say("days_left.line", tub=name, about=about, in_days=voice.in_days(window.likely))


def assumption(voice: Voice, forecast: Forecast) -> str:
    """Say that no thermometer was read, and how to replace what is assumed."""
    temp = voice.temp(forecast.coming_c)
    if forecast.place is None:
        return voice.say("days_left.assumed_nowhere", tub=voice.tub(forecast.tub), temp=temp)
    return voice.say("days_left.assumed", where=voice.at_place(forecast.place), temp=temp)


def why(voice: Voice, tub: Tub, forecast: Forecast | None, collected: float | None) -> str:
    """Tell how a hatch day was found. `collected` are the degree-days C so far."""
    if forecast is None or tub.pulled_at is None:
        return "\n".join(_lines(voice, tub, {}))
    lines = [voice.say("why.pulled", tub=voice.subject(voice.tub(tub.name)), when=voice.when(tub.pulled_at))]
    lines.append(_basis(voice, forecast))
    window = forecast.window
    if isinstance(window, TooCold):
        lines.append(voice.say("next.hatch_cold", temp=voice.temp(forecast.coming_c), limit=voice.temp(window.limit_c)))
        return "\n".join(lines)
    needs = _degree_days(voice, window.degree_days_needed)
    base_c = HOUSE_CRICKET.egg.base_temp_c.value
    lines.append(voice.say("why.needs", dd=needs, base=voice.temp(base_c)))
    if collected is not None:
        rate = _degree_days(voice, max(0.0, forecast.coming_rate))
        temp = voice.temp(forecast.coming_c)
        lines.append(
            voice.say("why.collected", dd=_degree_days(voice, collected), rate=rate, temp=temp)
        )  # fmt: skip
    lines.append(voice.say("why.so", about=voice.about(window)))
    lay = voice.span_of(tub.laid_for or dt.timedelta(hours=voice.farm.settings.lay_hours))
    error_c = ASSUMED_SD_C if forecast.basis is Basis.ASSUMED else READING_SD_C
    lines.append(voice.say("why.spread", lay=lay, error=_difference(voice, error_c)))
    if window.is_untested:
        lines.append(voice.say("why.untested", limit=voice.temp(HOUSE_CRICKET.egg.tested_from_c.value)))
    return "\n".join(lines)


def _basis(voice: Voice, forecast: Forecast) -> str:
    where = voice.at_place(forecast.place) if forecast.place else ""
    match forecast.basis:
        case Basis.TUB:
            return voice.say("why.basis_tub", n=forecast.readings)
        case Basis.PLACE if forecast.readings == 0:
            return voice.say("why.basis_before", where=where)
        case Basis.PLACE:
            return voice.say("why.basis_place", n=forecast.readings, where=where)
        case Basis.ASSUMED:
            return assumption(voice, forecast)


def _degree_days(voice: Voice, degree_days_c: float) -> str:
    return f"{_scaled(voice, degree_days_c):.0f}"


def _difference(voice: Voice, difference_c: float) -> str:
    unit = voice.farm.settings.units
    return f"{_scaled(voice, difference_c):.0f}°{unit}" if unit is TemperatureUnit.FAHRENHEIT else f"{difference_c:g}°C"


def _scaled(voice: Voice, difference_c: float) -> float:
    return difference_c * 1.8 if voice.farm.settings.units is TemperatureUnit.FAHRENHEIT else difference_c
