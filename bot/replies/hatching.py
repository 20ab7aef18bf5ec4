"""Answers about hatching: how many days are left.

Not for why that day: reasons. Not for reminders to look: notices.
"""

import datetime as dt
from collections.abc import Iterator, Mapping

from bot.replies.voice import Voice
from core.farm.farm import Tub
from core.rules.forecasts import Basis, Forecast
from core.rules.incubation import HATCH_PATIENCE_DAYS
from core.science.development import HatchWindow, NoForecast, TooHot


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
    elif isinstance(forecast.window, NoForecast):
        yield standstill(voice, forecast)
    else:
        yield _expected(voice, name, forecast.window)
    if forecast is not None and forecast.basis is Basis.ASSUMED:
        yield assumption(voice, forecast)


def standstill(voice: Voice, forecast: Forecast) -> str:
    """Say of a tub that there is no day, and whether it is too cold or too hot for one."""
    key = "days_left.hot" if isinstance(forecast.window, TooHot) else "days_left.cold"
    return voice.say(key, tub=voice.subject(voice.tub(forecast.tub)), temp=voice.temp(forecast.coming_c))


def no_day_until(voice: Voice, forecast: Forecast, window: NoForecast) -> str:
    """Say what the warmth would have to be for a day."""
    key = "next.hatch_hot" if isinstance(window, TooHot) else "next.hatch_cold"
    return voice.say(key, temp=voice.temp(forecast.coming_c), limit=voice.temp(window.limit_c))


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
