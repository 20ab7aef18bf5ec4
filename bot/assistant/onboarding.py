"""Setting a farm up in under a minute: unit, time zone, places, name; each step can be skipped and said later in words.

It never stands in the way: a message that is no answer to its step is a message of its own.
"""

from msgspec.structs import replace

from bot.assistant import buttons, recording, roles
from bot.assistant.asking import STARTER_PLACES, starter_place
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.reader import timezones
from bot.replies.languages import typed_words
from core.journal import codec
from core.journal.kinds import Addable, Setting
from core.journal.wants import Add, Set
from core.units import TemperatureUnit

UNITS, ZONE, PLACES, NAME = "units", "timezone", "places", "name"
STEPS = (UNITS, ZONE, PLACES, NAME)
SKIP = "skip"
_CURLY = "\N{RIGHT SINGLE QUOTATION MARK}"  # as phones write it
LONGEST_ANSWER = 40  # a longer text is no name of a farm or a place


def begin(turn: Turn) -> None:
    """Start setting up."""
    turn.dialog = replace(turn.dialog, setup=STEPS)
    turn.say("start.skip_hint")
    _ask(turn)


def _ask(turn: Turn) -> None:
    """Ask for the current step, or end."""
    if not turn.dialog.setup:
        turn.say("start.ready")
        return
    turn.has_asked = True
    step = turn.dialog.setup[0]
    say = turn.voice.say
    more = step == PLACES and any(turn.farm.places)
    turn.say("start.places_more" if more else f"start.{step}")
    if step == UNITS:
        for unit in ("F", "C"):
            turn.button(f"°{unit}", buttons.SetupStep(step, unit))
    if step == PLACES:
        for key in STARTER_PLACES:
            if say(f"start.{key}") not in turn.farm.places:
                turn.button(say(f"start.{key}").capitalize(), buttons.SetupStep(step, key))
    turn.asks_location = step == ZONE
    turn.button(say("button.enough" if more else "button.skip_step"), buttons.SetupStep(step, SKIP))


def _is_setting_up(turn: Turn) -> bool:
    """Say whether a text may be an answer to a step; in a group not that of somebody who only helps."""
    return bool(turn.dialog.setup) and roles.refusal_to_set_up(turn.member.role) is None


def go_on(turn: Turn) -> None:
    """Ask for another place, once it is known what the last one is like."""
    if turn.dialog.setup[:1] == (PLACES,):
        _ask(turn)


def skipped(turn: Turn) -> bool:
    """Take the words for skipping a step; not once the farm has reminders, which the same words are about."""
    said = turn.incoming.text.strip().rstrip(".!").replace(_CURLY, "'").casefold()
    if not _is_setting_up(turn) or turn.farm.asked or said not in typed_words("typed.skip"):
        return False
    _advance(turn)
    return True


def press(turn: Turn, pressed: buttons.SetupStep) -> None:
    """Take a choice of a step; a button of a step that is over is too old."""
    if not turn.dialog.setup or turn.dialog.setup[0] != pressed.step:
        turn.say("press.too_old")
    elif pressed.choice == SKIP:
        _advance(turn)
    elif pressed.step == UNITS:
        _set(turn, Setting.UNITS, pressed.choice)
        _advance(turn)
    elif pressed.step == PLACES and pressed.choice in STARTER_PLACES:
        place = {"what": Addable.PLACE.value, "name": turn.voice.say(f"start.{pressed.choice}")}
        recording.take(turn, Intent(kind=codec.kind_of_record(Add), slots={**place, **STARTER_PLACES[pressed.choice]}))
        _ask(turn)
    else:
        turn.say("press.unknown")


def locate(turn: Turn, latitude: float, longitude: float) -> None:
    """Take a shared location as the farm's time zone."""
    if (reason := roles.refusal_to_set_up(turn.member.role)) is not None:
        turn.say(reason)
        return
    zone = timezones.zone_at(latitude, longitude)
    if zone is None:
        turn.say("start.timezone_bad")
        return
    _set(turn, Setting.TIMEZONE, zone)
    if turn.dialog.setup[:1] == (ZONE,):
        _advance(turn)


def typed(turn: Turn) -> bool:
    """Take a text as the answer to the current step; False where it is none."""
    text = turn.incoming.text.strip().rstrip(".!")
    is_awaited = _is_setting_up(turn) and turn.dialog.is_fresh
    if not is_awaited or not 0 < len(text) <= LONGEST_ANSWER or "\n" in text:
        return False
    match turn.dialog.setup[0]:
        case "units":
            at = turn.local(turn.said_at)
            said = turn.reader.answer(text, slot="to", farm=turn.farm, at=at, language=turn.language)
            return said in set(TemperatureUnit) and _taken(turn, Setting.UNITS, str(said))
        case "timezone":
            zone = timezones.zone_of(text)
            if zone is None:
                turn.say("start.timezone_bad")
                turn.has_asked = True
                return True
            return _taken(turn, Setting.TIMEZONE, zone)
        case "places":
            slots = {"what": Addable.PLACE.value, "name": text.lower(), **starter_place(text.lower())}
            recording.take(turn, Intent(kind=codec.kind_of_record(Add), slots=slots))
            if not turn.buttons:
                _ask(turn)
            return True
        case "name":
            return _taken(turn, Setting.NAME, text)
        case _:
            return False


def _taken(turn: Turn, what: Setting, to: str) -> bool:
    _set(turn, what, to)
    _advance(turn)
    return True


def _set(turn: Turn, what: Setting, to: str) -> None:
    recording.take(turn, Intent(kind=codec.kind_of_record(Set), slots={"what": what.value, "to": to}))


def _advance(turn: Turn) -> None:
    turn.dialog = replace(turn.dialog, setup=turn.dialog.setup[1:])
    _ask(turn)
