"""Why a hatch day is what it is: what was read, what the eggs need, what the farm's own hatches have taught.

Not for how long it takes: hatching.
"""

import datetime as dt
from collections.abc import Iterator

from bot.replies import hatching
from bot.replies.voice import Voice
from core.farm.farm import Tub
from core.rules.evidence import HOUSE_CRICKET
from core.rules.forecasts import Basis, Forecast, Lesson
from core.rules.warmth import ASSUMED_SD_C
from core.science.development import HatchWindow, NoForecast
from core.science.figures import Mark
from core.science.warmth import THERMOMETER_SD_C
from core.units import TemperatureUnit

TOLD_COOLING_C = 0.7  # less is not worth a line
AS_SAID_DAYS = 0.4  # a smaller difference from the figures is none
HALF_DAY = 0.75  # up to here it is half a day


def why(voice: Voice, tub: Tub, forecast: Forecast | None, collected: float | None, lesson: Lesson | None) -> str:
    """Tell how a hatch day was found. `collected` are the degree-days C so far."""
    if forecast is None or tub.pulled_at is None:
        return hatching.days_left(voice, tub.name, {})
    lines = [voice.say("why.pulled", tub=voice.subject(voice.tub(tub.name)), when=voice.when(tub.pulled_at))]
    lines.append(_basis(voice, forecast))
    window = forecast.window
    if isinstance(window, NoForecast):
        lines.append(hatching.no_day_until(voice, forecast, window))
    else:
        lines += _reckoning(voice, tub, forecast, window, collected, lesson)
    return "\n".join(lines)


def _reckoning(
    voice: Voice, tub: Tub, forecast: Forecast, window: HatchWindow, collected: float | None, lesson: Lesson | None
) -> Iterator[str]:
    if window.cooling_c >= TOLD_COOLING_C:
        cooler = _difference(voice, window.cooling_c)
        yield voice.say("why.cooler", cooler=cooler, temp=voice.temp(window.air_temp_c - window.cooling_c))
    held = forecast.curve.calibration
    needs = {"dd": _degree_days(voice, window.degree_days_needed), "base": voice.temp(held.base_c)}
    is_estimate = HOUSE_CRICKET.egg.thermal_constant.mark is not Mark.READ
    yield voice.say("why.needs_estimate" if is_estimate else "why.needs", **needs)
    if collected is not None:
        rate, temp = _degree_days(voice, max(0.0, forecast.coming_rate)), voice.temp(forecast.coming_c)
        yield voice.say("why.collected", dd=_degree_days(voice, collected), rate=rate, temp=temp)
    if lesson is not None and lesson.hatches:
        yield _taught(voice, forecast, lesson)
    yield voice.say("why.so", about=voice.about(window))
    lay = voice.span_of(tub.laid_for or dt.timedelta(hours=voice.farm.settings.lay_hours))
    error_c = ASSUMED_SD_C if forecast.basis is Basis.ASSUMED else THERMOMETER_SD_C
    yield voice.say("why.spread", lay=lay, error=_difference(voice, error_c))
    if window.is_untested:
        yield voice.say("why.untested", limit=voice.temp(HOUSE_CRICKET.egg.tested_from_c.value))


def _taught(voice: Voice, forecast: Forecast, lesson: Lesson) -> str:
    """Say what was learned, of the tub's own place if hatches were seen there."""
    is_here = lesson.at_place > 0 and forecast.place is not None
    seen = voice.say("why.seen", n=lesson.at_place if is_here else lesson.hatches)
    where = voice.at_place(forecast.place) if is_here and forecast.place else voice.say("why.anywhere")
    days = abs(lesson.later_days)
    if days < AS_SAID_DAYS:
        return voice.say("why.taught_same", seen=seen, where=where)
    span = voice.say("why.half_day") if days < HALF_DAY else voice.say("why.days", n=round(days))
    return voice.say(
        "why.taught_later" if lesson.later_days > 0 else "why.taught_sooner", seen=seen, where=where, span=span
    )


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
            return hatching.assumption(voice, forecast)


def _degree_days(voice: Voice, degree_days_c: float) -> str:
    return f"{_scaled(voice, degree_days_c):.0f}"


def _difference(voice: Voice, difference_c: float) -> str:
    unit = voice.farm.settings.units
    return (
        f"{_scaled(voice, difference_c):.0f}°{unit}" if unit is TemperatureUnit.FAHRENHEIT else f"{difference_c:.1f}°C"
    )


def _scaled(voice: Voice, difference_c: float) -> float:
    return difference_c * 1.8 if voice.farm.settings.units is TemperatureUnit.FAHRENHEIT else difference_c
