"""Facts and wants into the journal: complete it or ask, check it, record it, and say what was written and what follows.

Not for undo and fix (correcting) nor for chores that are done, skipped or put off (finishing).
"""

import datetime as dt
from collections.abc import Mapping
from typing import Any

import msgspec

from bot.assistant import asking, buttons, roles
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.reader import timezones
from bot.replies.languages import languages, typed_words
from bot.replies.next_steps import (
    created_lines,
    moved_tubs,
    next_steps,
    safety_line,
    warning_line,
)
from bot.replies.recorded import recorded_line
from bot.replies.refusals import refusal
from bot.replies.wishes import traits
from core.farm.checks import findings
from core.farm.cohorts import LONGEST_IN_HAND
from core.farm.farm import Farm
from core.farm.faults import Fault, Finding
from core.farm.orders import delivered
from core.journal import codec, facts, wants
from core.journal.event import Event
from core.journal.kinds import Addable, Setting
from core.journal.notices import Cautioned
from core.journal.record import missing
from core.rules.cautions import safety_words, warnings
from core.rules.forecasts import Forecast
from core.rules.weighing import each_g, mass_of
from core.units import SizeGrade

_WEIGHED = frozenset({"dead", "harvested", "sold"})


def take(turn: Turn, intent: Intent) -> None:
    """Record a fact or a want, or ask for what it lacks."""
    if (reason := roles.refusal(turn.member.role, intent)) is not None:
        turn.say(reason)
        return
    intent = _out_of_the_only_bin(turn, _as_ordered(turn, intent))
    needs = missing(codec.RECORDS[intent.kind], intent.slots) or _unnamed(intent) or _without_bin(turn, intent)
    if needs:
        asking.ask(turn, intent, needs[0])
        return
    _commit(turn, intent)


def _unnamed(intent: Intent) -> tuple[str, ...]:
    """Ask for the name of a new place; bins and tubs get a number instead."""
    is_place = intent.kind == codec.kind_of_record(wants.Add) and intent.slots.get("what") == Addable.PLACE
    return ("name",) if is_place and not intent.slots.get("name") else ()


def _as_ordered(turn: Turn, intent: Intent) -> Intent:
    """Give a sale of which only the customer is told the number and size of what they had ordered."""
    slots = intent.slots
    is_bare = slots.get("who") and not slots.get("count") and not slots.get("mass_g")
    if intent.kind != codec.kind_of_record(facts.Sold) or not is_bare:
        return intent
    on, size = turn.local(intent.at or turn.said_at).date(), slots.get("size")
    grade = None if size is None else SizeGrade(size)
    _, touched = delivered(turn.farm.orders, who=slots["who"], size=grade, count=None, on=on)
    if not touched:
        return intent
    first = touched[0]
    return Intent(kind=intent.kind, slots={**slots, "count": first.given, "size": first.size.value}, at=intent.at)


def _out_of_the_only_bin(turn: Turn, intent: Intent) -> Intent:
    """Give a sale the bin that it must be from."""
    holding = [house.name for house in turn.farm.bins.values() if house.cohorts]
    if not _without_bin(turn, intent) or len(holding) > 1:
        return intent
    return Intent(kind=intent.kind, slots={**intent.slots, "bin": holding[0]}, at=intent.at)


def _without_bin(turn: Turn, intent: Intent) -> tuple[str, ...]:
    """Ask where crickets that were sold come from, unless they were taken out just before or no bin is counted."""
    if intent.kind != codec.kind_of_record(facts.Sold) or intent.slots.get("bin") or not intent.slots.get("count"):
        return ()
    at, bins = intent.at or turn.said_at, turn.farm.bins.values()
    if any(at - taken.at <= LONGEST_IN_HAND for house in bins for taken in house.in_hand):
        return ()
    return ("bin",) if any(house.cohorts for house in bins) else ()


def _commit(turn: Turn, intent: Intent) -> None:
    try:
        body = codec.body_of(intent.kind, _completed(turn, intent))
    except msgspec.ValidationError as error:
        turn.say("refused.not_a_record", slot=str(error).rsplit("$.", maxsplit=1)[-1].strip("`"))
        return
    entry = turn.event(body, intent.at)
    found = cannot_be(turn.farm, entry)
    if found:
        if found[0].fault is Fault.DUE_PAST:
            _ask_day(turn, intent, found[0])
        else:
            refuse(turn, found)
        return
    new_place = start_place(turn, intent)
    before, known = turn.farm, turn.forecasts()
    each = _each_g(turn, intent)
    entry = turn.event(body, intent.at)
    turn.record(entry)
    turn.tell(intent)
    turn.lines.append(recorded_line(turn.voice, before, entry))
    if each is not None:
        turn.say("recorded.weighed", each=turn.voice.grams(each))
    turn.lines += new_place
    if not isinstance(body, wants.Add):
        turn.lines += created_lines(turn.voice, before, turn.farm)
    follow(turn, before, entry, known)
    _caution(turn, before, entry)
    _follow_up(turn, entry)


def cannot_be(farm: Farm, entry: Event) -> tuple[Finding, ...]:
    """Give what cannot be so about an event: core's findings, and a language of which there are no words here."""
    match entry.body:
        case wants.Set(what=Setting.LANGUAGE, to=code) if code not in languages():
            return (Finding(fault=Fault.BAD_SETTING, subject=Setting.LANGUAGE),)
        case _:
            return findings(farm, entry)


def follow(turn: Turn, before: Farm, entry: Event, known: Mapping[str, Forecast]) -> None:
    """Say what follows from an event that was recorded; `before` and `known` are farm and forecasts without it."""
    after = turn.forecasts()
    turn.lines += next_steps(turn.voice, before, entry, known, after)
    turn.state(_stated(turn, entry, moved_tubs(known, after)))


def _completed(turn: Turn, intent: Intent) -> dict[str, Any]:
    """Give what the words leave to the farm.

    A city gets its time zone, crickets that were weighed about how many they are, and a new tub or bin its number, so
    that what is told late shifts no other numbers.
    """
    farm = turn.farm
    slots = {name: value for name, value in intent.slots.items() if value is not None}
    if intent.kind == codec.kind_of_record(wants.Set):
        slots["to"] = _setting_value(slots["what"], str(slots["to"]))
    if (each := _each_g(turn, intent)) is not None:
        by_weight, book = round(slots["mass_g"] / each), farm.bins[slots["bin"]].count
        slots["count"] = by_weight if book is None else min(by_weight, book)
    if intent.kind == codec.kind_of_record(facts.TrayOut):
        slots.setdefault("tub", farm.next_tub)
    if intent.kind == codec.kind_of_record(wants.Add) and "name" not in slots:
        names = {Addable.BIN: farm.next_bin, Addable.TUB: farm.next_tub}
        slots["name"] = names[Addable(slots["what"])]
    return slots


def _each_g(turn: Turn, intent: Intent) -> float | None:
    """Give what each cricket weighs, where they were weighed and not counted; None where that is not known."""
    slots, house = intent.slots, turn.farm.bins.get(intent.slots.get("bin") or "")
    if intent.kind not in _WEIGHED or house is None or slots.get("count") is not None or not slots.get("mass_g"):
        return None
    size = slots.get("size")
    return each_g(turn.farm, house, intent.at or turn.said_at) if size is None else mass_of(SizeGrade(size))


def _setting_value(what: str, to: str) -> str:
    """Give a setting in its normal form; a city stands for its time zone."""
    return (timezones.zone_of(to) or to) if what == Setting.TIMEZONE else to


def refuse(turn: Turn, found: tuple[Finding, ...]) -> None:
    """Say what cannot be so, and offer what may have been meant."""
    turn.lines.append(refusal(turn.voice, found[0]))
    if found[0].fault is Fault.NO_TRAY and found[0].subject is not None:
        voice = turn.voice
        for house in turn.farm.bins_with_tray()[:2]:
            said = turn.for_buttons.bin(house.name)
            label = voice.say("button.it_was", bin=voice.bin(house.name))
            turn.button(label, buttons.Say(f"pulled the tray from {said}"))
        said = turn.for_buttons.bin(found[0].subject)
        turn.button(voice.say("button.add_tray", bin=voice.bin(found[0].subject)), buttons.Say(f"tray in {said}"))
    if found[0].fault is Fault.HELD and found[0].subject is not None:
        said = turn.for_buttons.bin(found[0].subject)
        turn.button(turn.voice.say("losses.all_clear"), buttons.Say(f"all clear in {said}"))


def _ask_day(turn: Turn, intent: Intent, found: Finding) -> None:
    """Say that the day of an order is past, and offer the next such day of the week."""
    past, today = dt.date.fromisoformat(found.word or ""), turn.local(turn.said_at).date()
    weeks = (today - past).days // 7 + 1
    coming = past + dt.timedelta(weeks=weeks)
    slots = {name: value for name, value in intent.slots.items() if name != "due"}
    asked = asking.waiting(turn, Intent(kind=intent.kind, slots=slots, at=intent.at), "due", (coming.isoformat(),))
    asking.put(turn, msgspec.structs.replace(asked, text=""), refusal(turn.voice, found), [turn.voice.day(coming)])


def start_place(turn: Turn, intent: Intent) -> list[str]:
    """Make a place that is spoken of for the first time; give the line that says so."""
    name = intent.slots.get("place")
    if not isinstance(name, str) or intent.kind == codec.kind_of_record(wants.Add):
        return []
    if name.casefold() in {known.casefold() for known in turn.farm.places}:
        return []
    starter = asking.starter_place(name)
    lamp, humidifier = starter.get("lamp"), starter.get("humidifier")
    if not starter:  # what its name tells, until somebody says better
        lamp = any(word in name.casefold() for word in typed_words("typed.named_lamp")) or None
        humidifier = any(word in name.casefold() for word in typed_words("typed.named_humidifier")) or None
    turn.record(turn.event(wants.Add(what=Addable.PLACE, name=name, lamp=lamp, humidifier=humidifier), intent.at))
    return [turn.voice.say("created.place", place=name, traits=traits(turn.voice, lamp, humidifier))]


def _stated(turn: Turn, entry: Event, moved: list[str]) -> tuple[str, ...]:
    """Name the tubs whose hatch the answer states."""
    match entry.body:
        case facts.TrayOut(tub=str(tub), place=str()):
            return (tub,)
        case facts.Placed() as body:
            return body.tubs or tuple(t.name for t in turn.farm.incubating())
        case facts.Reading():
            return tuple(moved)
        case _:
            return ()


def _caution(turn: Turn, before: Farm, entry: Event) -> None:
    for caution in warnings(before, turn.farm, entry):
        turn.lines.append(warning_line(turn.voice, caution))
    for word in safety_words(turn.farm, entry):
        turn.lines.append(safety_line(turn.voice, word))
        turn.record(turn.event(Cautioned(topic=word), by=""))


def _follow_up(turn: Turn, entry: Event) -> None:
    """Offer or ask what comes next."""
    say, body = turn.voice.say, entry.body
    match body:
        case facts.Chirp():
            turn.button(say("button.prepare"), buttons.Say("how do I prepare the substrate"))
        case facts.TrayOut(tub=str(tub), place=None):
            slots = {"tubs": [tub]}
            asking.ask(
                turn, Intent(kind=codec.kind_of_record(facts.Placed), slots=slots, at=entry.happened_at), "place"
            )
        case facts.TrayOut(tub=str(tub), cover=cover):
            _offer_why(turn, tub)
            if not cover:
                turn.button(say("button.cover"), buttons.Say(f"covered {turn.for_buttons.tub(tub)}"))
        case facts.Placed(tubs=(tub,)):
            _offer_why(turn, tub)
        case _:
            pass
    _ask_about_new_places(turn)


def _ask_about_new_places(turn: Turn) -> None:
    """Ask what a place is like that was just spoken of for the first time and whose name does not tell."""
    for entry in turn.news:
        match entry.body:
            case wants.Add(what=Addable.PLACE, name=str(name)):
                place = turn.farm.places.get(name)
                is_known = place is None or place.lamp is not None or place.humidifier is not None
                is_asked = any(q.slot == asking.TRAITS and q.slots.get("name") == name for q in turn.dialog.questions)
                if not is_known and not is_asked:
                    asking.ask(turn, _place(name), asking.TRAITS)
            case _:
                pass


def _place(name: str) -> Intent:
    return Intent(kind=codec.kind_of_record(wants.Add), slots={"what": Addable.PLACE.value, "name": name})


def _offer_why(turn: Turn, tub: str) -> None:
    if tub in turn.stated:
        likely = dt.datetime.fromisoformat(turn.stated[tub]["likely"])
        label = turn.voice.say("button.why", day=turn.voice.weekday(likely))
        turn.button(label, buttons.Say(f"why {turn.for_buttons.tub(tub)}"))
