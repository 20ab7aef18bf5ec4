"""Questions about numbers: how many there are, when a bin is ready, whether so many can be done by a day."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from bot.assistant.topics import Topic
from bot.assistant.turn import Turn
from bot.replies import outlook
from core.journal.kinds import Holds
from core.rules import hours
from core.rules.promises import promises
from core.rules.supply import LIKELY, Supply, Want, alive_now, supply_on
from core.units import SizeGrade

AHEAD_DAYS = 70  # in which a day is looked for that has enough
LAY, HARVEST = "lay", "harvest"
MOST_BINS = 8


def answer(turn: Turn, topic: Topic, slots: Mapping[str, Any]) -> None:
    """Answer a question about numbers."""
    if topic is Topic.COUNT:
        count(turn, slots)
    elif topic is Topic.READY:
        ready(turn, slots)
    else:
        supply(turn, slots)


def count(turn: Turn, slots: Mapping[str, Any]) -> None:
    """Say how many are in a bin or a tub, or on the farm."""
    voice, known = turn.voice, turn.forecasts()
    if slots.get("bin") is not None:
        turn.lines.append(outlook.count_of_bin(voice, known, turn.farm.bins[slots["bin"]]))
    elif slots.get("tub") is not None:
        turn.lines.append(outlook.count_of_tub(voice, slots["tub"]))
    else:
        found = alive_now(turn.farm, known, turn.now)
        turn.lines.append(outlook.by_size(voice, found, found.days[0]))


def ready(turn: Turn, slots: Mapping[str, Any]) -> None:
    """Say when a bin, or each that it may be, is ready for what is asked."""
    what, name, voice = slots.get("for"), slots.get("bin"), turn.voice
    living = [house for house in turn.farm.bins.values() if house.holds is not Holds.NOTHING]
    asked = [turn.farm.bins[name]] if name is not None else living[:MOST_BINS]
    if what == LAY:
        turn.lines += [outlook.ready_to_lay(voice, house) for house in asked]
    elif what in {None, HARVEST}:
        turn.lines += [outlook.ready_to_harvest(voice, house, in_short=len(asked) > 1) for house in asked]
    else:
        turn.lines += [outlook.ready_for_size(voice, house, SizeGrade(what)) for house in asked]
    if not asked:
        turn.say("outlook.none")


def supply(turn: Turn, slots: Mapping[str, Any]) -> None:
    """Say what there is on a day, and whether it is enough."""
    today = hours.local(turn.farm, turn.now).date()
    day, size, wanted = slots.get("day"), slots.get("size"), slots.get("count")
    if day is not None and day < today:
        turn.say("refused.in_past")
        return
    if wanted is not None and wanted < 1:
        turn.say("outlook.no_number")
        return
    if size is None:
        found = _left_on(turn, [day or today], today)[0]
        turn.lines.append(outlook.by_size(turn.voice, found, day or today))
        return
    grade = SizeGrade(size)
    if wanted is None:
        found = _left_on(turn, [day or today], today)[0]
        turn.lines.append(outlook.of_size(turn.voice, found, day or today, grade))
        return
    _enough(turn, grade, wanted, day, today)


def _enough(turn: Turn, size: SizeGrade, wanted: int, day: dt.date | None, today: dt.date) -> None:
    if day is None:
        ask, found = _first_day(turn, outlook.Ask(size=size, count=wanted, day=today), today)
        turn.lines.append(outlook.when_can(turn.voice, ask, found))
        return
    found, promised = _left_on(turn, [day], today)
    ask = outlook.Ask(size=size, count=wanted, day=day, promised=promised)
    if found.chance(day, size, wanted) < LIKELY:
        ask, _ = _first_day(turn, ask, today)
    turn.lines.append(outlook.can_do(turn.voice, ask, found))


def _first_day(turn: Turn, ask: outlook.Ask, today: dt.date) -> tuple[outlook.Ask, Supply]:
    """Look for the first day that has enough, else for the one that has the most."""
    days = [today + ahead * hours.DAY for ahead in range(AHEAD_DAYS)]
    found, _ = _left_on(turn, days, today)
    first = next((day for day in days if found.chance(day, ask.size, ask.count) >= LIKELY), None)
    best = max(((day, found.on(day, ask.size)) for day in days), key=lambda row: row[1].likely)
    return replace(ask, first=first, best=best), found


def _left_on(turn: Turn, days: list[dt.date], today: dt.date) -> tuple[Supply, int]:
    """Give what is left on some days for who asks now, and how many crickets are promised to others by the first."""
    promised = promises(turn.farm, turn.now, max(days))
    wants = [Want(day=max(p.due, today), size=p.size, count=p.count) for p in promised]
    found = supply_on(turn.farm, turn.forecasts(), sorted({*days, *(w.day for w in wants)}))
    return found.after(wants)[1], sum(w.count for w in wants if w.day <= days[0])
