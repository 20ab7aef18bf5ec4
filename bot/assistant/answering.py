"""Questions about the farm: which record answers them, in whose words.

Not for the words: bot.replies.
"""

import datetime as dt

from bot.assistant import asking, buttons, ordering, outlook, plans
from bot.assistant.topics import Topic
from bot.assistant.turn import Turn
from bot.ports.intents import ASK, Intent
from bot.replies import board, duties, hatching, history, reasons, status, stock, warmth_cost, weekly, worklist
from bot.replies.refusals import no_such_tub
from core.rules import hours
from core.rules.agenda import agenda, coming
from core.rules.eggs import container_cm2
from core.rules.forecasts import lesson_of
from core.rules.heat import heat_choice
from core.science.development import HatchWindow

USUAL_DAYS = 7  # how far an agenda looks where nobody says
MOST_DAYS = 92  # and at the most
HUNDRED = 100.0  # females, that a container is told for


def answer(turn: Turn, intent: Intent) -> None:  # noqa: C901, PLR0915 - one case a topic
    """Answer a question."""
    slots = intent.slots
    if _is_unknown(turn, intent):
        return
    match Topic(slots["topic"]):
        case Topic.DAYS_LEFT:
            _days_left(turn, slots.get("tub"))
        case Topic.STATUS:
            _status(turn, slots.get("bin"), slots.get("tub"), slots.get("place"))
        case Topic.DUE:
            _due(turn, slots.get("day"))
        case Topic.AGENDA:
            _agenda(turn, min(int(slots.get("days") or USUAL_DAYS), MOST_DAYS))
        case Topic.CLIMATE:
            place, house, tub = (slots.get(name) for name in ("place", "bin", "tub"))
            turn.lines.append(status.climate(turn.voice, place=place, bin_=house, tub=tub))
        case Topic.WHY:
            _why(turn, slots.get("tub"))
        case Topic.HOWTO:
            _howto(turn, str(slots.get("about", "")))
        case Topic.HISTORY:
            turn.lines.append(history.last_time(turn.voice, turn.fold, slots))
        case Topic.WHO:
            turn.lines.append(history.who(turn.voice, turn.fold, slots))
        case Topic.DUTY:
            turn.lines.append(duties.roster(turn.voice, slots.get("day"), min(slots.get("days") or 1, MOST_DAYS)))
        case Topic.COST:
            turn.lines.append(warmth_cost.warmth_cost(turn.voice, heat_choice(turn.farm)))
        case Topic.STOCK:
            turn.lines.append(stock.in_stock(turn.voice, slots.get("item")))
        case Topic.PLAN:
            plans.answer(turn, slots)
        case Topic.WEEK:
            turn.lines.append(weekly.summary(turn.voice, turn.forecasts(), turn.now))
        case Topic.COUNT | Topic.READY | Topic.SUPPLY:
            outlook.answer(turn, Topic(slots["topic"]), slots)
        case Topic.ORDERS | Topic.TAKINGS:
            ordering.answer(turn, Topic(slots["topic"]), slots)


def _is_unknown(turn: Turn, intent: Intent) -> bool:
    """Say so where a question is about something that the farm does not have."""
    farm, voice = turn.farm, turn.voice
    tub, house, place = (intent.slots.get(name) for name in ("tub", "bin", "place"))
    if tub is not None and tub not in farm.tubs:
        turn.lines.append(no_such_tub(voice, tub))
    elif house is not None and house not in farm.bins:
        turn.say("refused.no_such_bin", bin=voice.bin(house))
    elif place is not None and place not in farm.places:
        turn.say("refused.no_such_place", place=place)
    else:
        return False
    return True


def _days_left(turn: Turn, tub: str | None) -> None:
    known = turn.forecasts()
    turn.lines.append(hatching.days_left(turn.voice, tub, known))
    turn.state((tub,) if tub is not None else tuple(known))


def _status(turn: Turn, house: str | None, tub: str | None, place: str | None) -> None:
    voice, farm, known = turn.voice, turn.farm, turn.forecasts()
    if tub is not None:
        turn.lines.append(status.tub_status(voice, farm.tubs[tub], known))
        turn.state((tub,))
    elif house is not None:
        turn.lines.append(status.bin_status(voice, farm.bins[house]))
    elif place is not None:
        turn.lines.append(status.place_status(voice, farm.places[place], known))
        turn.state(tuple(name for name, f in known.items() if f.place == place))
    else:
        until = turn.now + dt.timedelta(days=USUAL_DAYS)
        ahead = list(coming(farm, turn.now, until, known))
        turn.lines.append(board.board(voice, agenda(farm, turn.now, known), ahead, known))
        turn.button(voice.say("button.due"), buttons.Say("what's due"))


def _due(turn: Turn, day: dt.date | None) -> None:
    farm, known = turn.farm, turn.forecasts()
    today = hours.local(farm, turn.now).date()
    if day is None or day == today:
        until = hours.at_time(farm, today + dt.timedelta(days=1), dt.time(23, 59))
        work = list(coming(farm, turn.now, until, known))
        rest = [c for c in work if c.due > turn.now and hours.local(farm, c.due).date() == today]
        now = [c for c in work if c.due <= turn.now]
        turn.lines.append(worklist.due_now(turn.voice, now + (rest if day else []), work))
        return
    until = hours.at_time(farm, day, dt.time(23, 59))
    turn.lines.append(worklist.due_on(turn.voice, day, list(coming(farm, turn.now, until, known))))


def _agenda(turn: Turn, days: int) -> None:
    known = turn.forecasts()
    until = turn.now + dt.timedelta(days=days)
    work = list(coming(turn.farm, turn.now, until, known))
    turn.lines.append(worklist.agenda_of(turn.voice, days, work, known))
    windows = {name: f.window for name, f in known.items() if isinstance(f.window, HatchWindow)}
    turn.state(tuple(name for name, w in windows.items() if w.earliest <= until))


def _why(turn: Turn, tub: str | None) -> None:
    known = turn.forecasts()
    stated = [name for name in known if isinstance(known[name].window, HatchWindow)]
    if tub is None and len(stated) > 1:
        asking.ask(turn, Intent(kind=ASK, slots={"topic": Topic.WHY.value}), "tub")
        return
    tub = tub or next(iter(stated), None)
    if tub is None:
        turn.say("why.nothing")
        return
    found, forecast = turn.farm.tubs[tub], known.get(tub)
    collected = lesson = None
    if forecast is not None and found.pulled_at is not None:
        collected = forecast.curve.progress(found.pulled_at, max(turn.now, found.pulled_at))
        lesson = lesson_of(turn.farm, forecast)
    turn.lines.append(reasons.why(turn.voice, found, forecast, collected, lesson))
    turn.state((tub,))


def _howto(turn: Turn, about: str) -> None:
    key = f"howto.{about}"
    if key not in turn.voice.words:
        turn.say("help.text")
        return
    temps = {f"t{f}": turn.voice.temp((f - 32) / 1.8) for f in (80, 85, 90, 95)}
    settings = turn.farm.settings
    times = turn.voice.listed([turn.voice.clock(t) for t in settings.water_times])
    lay, area = turn.voice.number(settings.lay_hours), turn.voice.area(container_cm2(turn.farm, HUNDRED))
    turn.say(key, lay=lay, times=times, area=area, **temps)
