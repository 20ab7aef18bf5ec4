"""One message of a person of the farm: what it is, and which part of the assistant takes it.

Not for taking it: recording, correcting, finishing, answering, asking and onboarding do.
"""

import itertools

from msgspec.structs import replace

from bot.assistant import (
    answering,
    asking,
    belonging,
    buttons,
    choosing,
    confirming,
    correcting,
    diagnosing,
    finishing,
    membership,
    onboarding,
    ordering,
    own_data,
    plans,
    recording,
    roles,
)
from bot.assistant.dialog import Question
from bot.assistant.turn import Turn
from bot.ports.intents import ASK, HELP, Intent, Understanding
from bot.ports.messages import DEFAULT_LANGUAGE, LONGEST_TEXT
from bot.replies import commands
from bot.replies.languages import typed_words
from core.journal import codec
from core.journal.facts import Remark
from core.journal.kinds import Role, Setting
from core.journal.notices import Cautioned
from core.journal.wants import Done, Fix, Joined, Set, Skip, Snooze, Undo

INVITE_COMMAND = "/invite"
SETUP_COMMAND = "/setup"
AN_EDIT_BEHIND = 50  # events among which those of an edit are, if it came in before what it edits
ZONE_TOPIC = "timezone"  # that the zone was asked for is kept among the cautions, so it is asked once

_FINISHING = frozenset(codec.kind_of_record(r) for r in (Done, Skip, Snooze))
_UNDO, _FIX = codec.kind_of_record(Undo), codec.kind_of_record(Fix)
_EXAMPLE = "ask.example"


def hold(turn: Turn, arrival: membership.Arrival) -> None:
    """Handle a message and leave in the turn what comes of it."""
    if own_data.confirmed(turn):
        return
    _welcome(turn, arrival)
    if turn.incoming.press is not None:
        _press(turn, turn.incoming.press)
    elif turn.incoming.location is not None:
        onboarding.locate(turn, *turn.incoming.location)
    elif not _is_set_aside(turn) and not _command(turn, arrival):
        _text(turn)
    _wish_for_zone(turn)
    _add_undo(turn)
    turn.dialog = replace(turn.dialog, is_fresh=turn.has_asked)


def _welcome(turn: Turn, arrival: membership.Arrival) -> None:
    if arrival.is_founder:
        _settle_in(turn)
    if arrival.is_new:
        turn.record(turn.event(Joined(name=turn.member.name, role=turn.member.role), by=""))
    if arrival.is_new_chat and turn.incoming.is_group:
        turn.say("start.group", farm=turn.voice.farm_name())


def _settle_in(turn: Turn) -> None:
    """Take the zone of a founder's clock, where the channel tells it, until somebody says better."""
    offset = turn.incoming.sent_at.utcoffset()
    if offset:
        sign, minutes = ("-" if offset.days < 0 else "+"), abs(int(offset.total_seconds() // 60))
        name = f"UTC{sign}{minutes // 60:02d}:{minutes % 60:02d}"
        turn.record(turn.event(Set(what=Setting.TIMEZONE, to=name), by=""))


def _wish_for_zone(turn: Turn) -> None:
    """Ask once for the time zone where a farm goes on without one: every hour that is told hangs on it."""
    is_known = turn.farm.settings.is_set_up or ZONE_TOPIC in turn.farm.cautioned or turn.dialog.setup
    may_say = roles.refusal_to_set_up(turn.member.role) is None
    if may_say and not is_known and any(e.by and not isinstance(e.body, Undo) for e in turn.news):
        turn.say("start.no_zone")
        turn.record(turn.event(Cautioned(topic=ZONE_TOPIC), by=""))


def _command(turn: Turn, arrival: membership.Arrival) -> bool:
    """Take a command for the thumb; False for anything else, which the reader may still understand."""
    words = turn.incoming.text.split(maxsplit=1)
    command, rest = words[0].split("@")[0].lower() if words else "", words[1] if len(words) > 1 else ""
    if command == membership.START:
        _start(turn, arrival)
    elif command == SETUP_COMMAND:
        _set_up(turn)
    elif command == INVITE_COMMAND:
        belonging.invite(turn, Role.LOOKER_ON if rest.casefold() in typed_words("typed.looker_on") else Role.HAND)
    elif own_data.take(turn, command, rest):
        pass
    elif (phrase := commands.phrase(command)) is not None and len(words) == 1:
        _take_all(
            turn, turn.reader.read(phrase, at=turn.local(turn.said_at), farm=turn.farm, language=DEFAULT_LANGUAGE)
        )
    else:
        return False
    return True


def _set_up(turn: Turn) -> None:
    if (reason := roles.refusal_to_set_up(turn.member.role)) is not None:
        turn.say(reason)
    else:
        onboarding.begin(turn)


def _start(turn: Turn, arrival: membership.Arrival) -> None:
    if arrival.is_founder:
        turn.say("start.hello")
        onboarding.begin(turn)
    elif arrival.is_new:
        role = turn.voice.say(f"start.role_{turn.member.role}")
        turn.say("start.joined", farm=turn.voice.farm_name(), role=role)
        turn.button(turn.voice.say("button.due"), buttons.Say("what's due"))
    else:
        turn.say("start.back", farm=turn.voice.farm_name())
        turn.button(turn.voice.say("button.due"), buttons.Say("what's due"))
        turn.button(turn.voice.say("button.help"), buttons.Say("help"))


def _press(turn: Turn, data: str) -> None:
    pressed = buttons.read(data, turn.bond)
    reason = _refusal_to_press(turn.member.role, pressed)
    match pressed:
        case buttons.Unusable():
            turn.say(pressed.value)
        case _ if reason is not None:
            turn.say(reason)
        case buttons.Answer():
            _press_answer(turn, pressed)
        case buttons.TakeBack():
            correcting.press_undo(turn, pressed)
        case buttons.Finish() | buttons.Later() | buttons.LeaveOut():
            finishing.press(turn, pressed)
        case buttons.Say(text=text):
            _take_all(
                turn, turn.reader.read(text, at=turn.local(turn.said_at), farm=turn.farm, language=DEFAULT_LANGUAGE)
            )
        case buttons.SetupStep():
            onboarding.press(turn, pressed)


def _refusal_to_press(role: Role, pressed: buttons.Pressed | buttons.Unusable) -> str | None:
    match pressed:
        case buttons.Say() | buttons.Answer() | buttons.Unusable():  # what was said or answered decides
            return None
        case buttons.SetupStep():
            return roles.refusal_to_set_up(role)
        case _:
            return roles.refusal_to_write(role)


def _press_answer(turn: Turn, pressed: buttons.Answer) -> None:
    question = turn.dialog.find(pressed.question)
    if question is None or not 0 <= pressed.choice < len(question.candidates):
        turn.say("ask.expired", example=turn.voice.say(_EXAMPLE))
        return
    _close(turn, question, question.candidates[pressed.choice])


def _close(turn: Turn, question: Question, value: object) -> None:
    """Complete the intent of a question, which stays open where the person may not do what it is about."""
    is_choice = question.slot == choosing.MEANING
    intent = choosing.chosen(question, str(value)) if is_choice else asking.answered(question, value)
    if (reason := roles.refusal(turn.member.role, intent)) is not None:
        turn.say(reason)
        return
    turn.dialog = turn.dialog.close(question)
    turn.message = question.message or turn.message
    turn.said_at = question.said_at  # the answer completes what was said then
    _take(turn, intent)
    if question.slot == asking.TRAITS:
        onboarding.go_on(turn)


def _text(turn: Turn) -> None:
    incoming = turn.incoming
    may_write = roles.refusal_to_write(turn.member.role) is None
    old = correcting.take_back_edited(turn) if incoming.is_edit and may_write else ""
    found = turn.reader.read(
        incoming.text, at=turn.local(turn.said_at), farm=turn.farm, language=turn.language
    )  # fmt: skip
    if old and not found.intents:
        turn.say("undo.taken_back", what=old)
    if incoming.is_group and not incoming.is_addressed:
        _overhear(turn, found)
        return
    if onboarding.skipped(turn):
        return
    question = turn.dialog.newest(turn.now)
    if question is not None and not incoming.is_edit and not _is_complete(found):
        value = _typed(turn, question)
        if value is not None:
            _close(turn, question, value)
            return
    if not found.intents and onboarding.typed(turn):
        return
    _take_all(turn, found)
    if old and found.intents:
        turn.say("undo.edited")


def _typed(turn: Turn, question: Question) -> object | None:
    """Read a message as the answer to a question; None where it is none."""
    if question.slot == choosing.MEANING:
        return choosing.typed(turn, question)
    if confirming.YES in question.candidates:
        return confirming.typed(turn, question)
    return asking.typed_answer(turn, question)


def _is_set_aside(turn: Turn) -> bool:
    """Tell whether a text is not read: it is too long, or an edit of it has taken its place already."""
    incoming = turn.incoming
    is_too_long = len(incoming.text) > LONGEST_TEXT
    if is_too_long and incoming.is_addressed:
        turn.say("refused.too_long", most=LONGEST_TEXT)
    return is_too_long or (not incoming.is_edit and _is_known_by_its_edit(turn))


def _is_known_by_its_edit(turn: Turn) -> bool:
    """Tell whether a message comes in behind an edit of it."""
    newest = itertools.islice(reversed(turn.fold.events), AN_EDIT_BEHIND)
    said = any(entry.by and entry.message == turn.message for entry in newest)
    return said or any(question.message == turn.message for question in turn.dialog.questions)


def _is_complete(found: Understanding) -> bool:
    return bool(found.intents) and not any(_lacks(intent) for intent in found.intents)


def _lacks(intent: Intent) -> bool:
    """Say whether an intent lacks something that has to be asked for; who names nobody means themselves."""
    return bool(set(intent.needs) - (belonging.OWN if intent.kind in belonging.KINDS else frozenset()))


def _overhear(turn: Turn, found: Understanding) -> None:
    """Take from the talk of a group only what is plainly something to record."""
    for intent in found.intents:
        if intent.kind not in {ASK, HELP} | belonging.UNHEARD and not _lacks(intent):
            _take(turn, intent)


def _take_all(turn: Turn, found: Understanding) -> None:
    for intent in found.intents:
        _take(turn, intent)
    if found.alternatives and not found.intents:
        choosing.ask_which(turn, found.alternatives)
    elif found.intents and found.unread:
        _keep(turn, found.unread, "unread.part")
    elif found.unread or (not found.intents and found.is_farm_talk):
        _keep(turn, turn.incoming.text or found.unread, "unread.remark")
    elif not found.intents and not turn.lines:
        turn.say("unread.small_talk" if turn.incoming.text.strip() else "refused.not_text")


def _keep(turn: Turn, text: str, key: str) -> None:
    """Keep words that could not be read, so that no note is lost."""
    if (reason := roles.refusal_to_write(turn.member.role)) is not None:
        turn.say(reason)
        return
    turn.record(turn.event(Remark(text=text, unread=True)))
    turn.tell(Intent(kind=codec.kind_of_record(Remark), slots={"text": text}))
    turn.say(key, text=text)


def _take(turn: Turn, intent: Intent) -> None:
    if intent.kind == ASK:
        answering.answer(turn, intent)
    elif intent.kind == HELP:
        turn.say("help.text")
    elif (reason := roles.refusal(turn.member.role, intent)) is not None:
        turn.say(reason)
    elif any(part.take(turn, intent) for part in (belonging, diagnosing, ordering, plans)):
        pass
    elif intent.kind == _UNDO:
        correcting.undo(turn)
    elif intent.kind == _FIX:
        correcting.fix(turn, intent)
    elif intent.kind in _FINISHING:
        finishing.take(turn, intent)
    else:
        before, known = turn.farm, len(turn.news)
        recording.take(turn, intent)
        diagnosing.follow(turn, before, turn.news[known:])


def _add_undo(turn: Turn) -> None:
    """Offer to take back what a person's message recorded."""
    undoable = [e for e in turn.news if e.by and not isinstance(e.body, Undo)]
    if undoable:
        first, last = undoable[0].number, undoable[-1].number
        turn.button(turn.voice.say("button.undo"), buttons.TakeBack(first, last))
