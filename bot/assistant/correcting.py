"""Undo, put back, put right, and edited messages.

Nothing is deleted: each is an event of its own, and the farm is folded anew.
"""

import datetime as dt
import itertools
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import msgspec

from bot.assistant import buttons, recording, roles
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies.recorded import recorded_line
from bot.replies.voice import Voice
from core.farm.corrections import fixed
from core.farm.farm import Farm
from core.journal import codec, facts
from core.journal.event import Event
from core.journal.record import Record
from core.journal.wants import Add, Done, Fix, Undo

# A slot may be put right under the name that the record has for it: "no, tub 6" for tubs.
_PLURAL = {"bin": "bins", "tub": "tubs"}
_SINGULAR = {"bins": "bin", "tubs": "tub"}
_SUBJECTS = ("tubs", "place", "bins", "all")  # of which one takes the place of another


def undo(turn: Turn) -> None:
    """Take back what the person's last message recorded, or drop the question that came after it."""
    last = turn.fold.standing.last_recorded(turn.member.name)
    question = turn.dialog.newest(turn.now)
    if question is not None and all(e.said_at <= question.said_at and e.message != question.message for e in last):
        turn.dialog = turn.dialog.close(question)
        turn.say("ask.dropped")
        return
    if not last:
        turn.say("undo.nothing")
        return
    _take_back(turn, last)


def press_undo(turn: Turn, pressed: buttons.TakeBack) -> None:
    """Take back the events of a button, or put back what an undo among them took back."""
    last = min(pressed.last, turn.fold.standing.last_number)
    wanted = _written(turn, range(max(pressed.first, 1), last + 1))
    undos = [e for e in wanted if isinstance(e.body, Undo)]
    if undos:
        _put_back(turn, undos)
        return
    held = [e for e in wanted if e.by and not turn.fold.standing.is_gone(e.number)]
    if held:
        _take_back(turn, held)
    else:
        turn.say("undo.already")


def _may_change(turn: Turn, events: Sequence[Event]) -> bool:
    """Say whether the person may change these events, and tell them where not."""
    reason = roles.refusal_to_change(turn.member.role, events, turn.fold.standing.event)
    if reason is not None:
        turn.say(reason)
    return reason is None


def _take_back(turn: Turn, events: Sequence[Event]) -> None:
    if not _may_change(turn, events):
        return
    before, meant = turn.farm, _meant(turn, events)
    entry = turn.event(Undo(of=tuple(e.number for e in events)))
    turn.record(entry)
    told = _restated(Voice(before, turn.now, turn.language), meant)  # the language may be what is taken back
    turn.dialog = turn.dialog.without({e.message for e in events})
    turn.tell(Intent(kind=codec.kind_of_record(Undo), slots={}))
    fixes = [e for e in events if isinstance(e.body, Fix)]
    if fixes and all(isinstance(e.body, Fix | Add) for e in events):
        turn.say("undo.fix_taken_back", what=_told(turn, fixes))
    else:
        turn.say("undo.taken_back", what=told)
    turn.button(turn.voice.say("button.put_back"), buttons.TakeBack(entry.number, entry.number))


def _put_back(turn: Turn, undos: Sequence[Event]) -> None:
    numbers = tuple(e.number for e in undos)
    if any(map(turn.fold.standing.was_named_by_an_undo, numbers)):
        turn.say("undo.already")
        return
    taken = {n for e in undos if isinstance(e.body, Undo) for n in e.body.of}
    back = _written(turn, sorted(taken))
    if not _may_change(turn, back):
        return
    turn.record(turn.event(Undo(of=numbers)))
    turn.tell(Intent(kind=codec.kind_of_record(Undo), slots={}))
    turn.say("undo.put_back", what=_told(turn, back))


def _written(turn: Turn, numbers: Iterable[int]) -> list[Event]:
    found = map(turn.fold.standing.event, numbers)
    return [entry for entry in found if entry is not None]


def _told(turn: Turn, events: Sequence[Event]) -> str:
    """Restate events; a fix by the event that it puts right, as it stands now."""
    return _restated(turn.voice, _meant(turn, events))


def _meant(turn: Turn, events: Sequence[Event]) -> list[Event]:
    now = turn.fold.standing.in_force
    meant = [now(e.body.of) if isinstance(e.body, Fix) else e for e in sorted(events, key=lambda e: e.number)]
    return [e for e in meant if e is not None and e.by]


def _restated(voice: Voice, events: Sequence[Event]) -> str:
    lines = [recorded_line(voice, voice.farm, e) for e in events]
    return "\n".join(line for line in dict.fromkeys(lines) if line)


def fix(turn: Turn, intent: Intent) -> None:
    """Put the person's last record right."""
    last = _last_meant(turn)
    if not last:
        turn.say("undo.nothing_to_fix")
        return
    if not intent.slots and intent.at is None:
        turn.say("undo.not_fitting", what=_told(turn, last))
        return
    if not _may_change(turn, last):
        return
    changes = _changes(last, intent)
    mended = _mended(turn, last, changes) if changes else None
    if not changes:
        turn.say("undo.not_fitting", what=_told(turn, last))
    if mended is not None:
        _record_fix(turn, intent, changes, mended)


def _last_meant(turn: Turn) -> tuple[Event, ...]:
    """Give what the person's last message told or put right; a place that it made by the way is not meant."""
    standing = turn.fold.standing
    last = standing.last_recorded(turn.member.name)
    numbers = (e.body.of if isinstance(e.body, Fix) else e.number for e in last)
    now = map(standing.in_force, dict.fromkeys(numbers))
    told = tuple(e for e in now if e is not None)
    return tuple(e for e in told if not isinstance(e.body, Add)) or told


def _changes(last: Sequence[Event], intent: Intent) -> dict[int, Fix]:
    """Give what is to be put right, by event: all of the message in time, or the last that the slots fit."""
    if not intent.slots:
        return {entry.number: Fix(of=entry.number, at=_utc(intent.at)) for entry in last}
    fitting = {e.number: change for e in reversed(last) if (change := _change(e, intent)) is not None}
    return fitting if _is_die_off(last) else dict(itertools.islice(fitting.items(), 1))


def _is_die_off(last: Sequence[Event]) -> bool:
    """Tell whether a die-off was concluded from the deaths that were told: it is of the same bin, wherever that is."""
    return {type(entry.body) for entry in last} == {facts.Dead, facts.Problem}


def _utc(at: dt.datetime | None) -> dt.datetime | None:
    return at.astimezone(dt.UTC) if at is not None else None


def _change(entry: Event, intent: Intent) -> Fix | None:
    """Fit the slots of a fix to the record of an event; None where they do not fit."""
    record = type(entry.body)
    slots: dict[str, Any] = {}
    for name, value in intent.slots.items():
        fitting = _fitting(record, name, value)
        if fitting is None:
            return None
        slots.update(fitting)
    if set(slots) & set(_SUBJECTS):
        known = codec.slots_of(entry.body)
        is_tray = isinstance(entry.body, facts.TrayOut | facts.Placed)
        slots |= {n: None for n in _SUBJECTS if n in known and n not in slots and not is_tray}
    return Fix(of=entry.number, slots=slots, at=_utc(intent.at))


def _fitting(record: type[Record], name: str, value: Any) -> dict[str, Any] | None:  # noqa: ANN401 - a slot's value
    fields = {f.encode_name for f in msgspec.structs.fields(record)}
    if name in fields:
        return {name: value}
    plural, singular = _PLURAL.get(name), _SINGULAR.get(name)
    if plural in fields and plural is not None:
        return {plural: [value]}
    if singular in fields and singular is not None and len(value) == 1:
        return {singular: value[0]}
    return None


_Mended = list[tuple[Farm, Event]]  # each event as it is now right, and the farm that it comes to


def _mended(turn: Turn, last: Sequence[Event], changes: Mapping[int, Fix]) -> _Mended | None:
    """Put the events of a message right one after another; None, and said why, where that cannot be."""
    numbers = {entry.number for entry in last}
    mended: _Mended = []
    for entry in last:
        change = changes.get(entry.number)
        try:
            right = fixed(entry, change) if change is not None else entry
        except (msgspec.ValidationError, codec.Incomplete):
            turn.say("undo.not_fitting", what=_told(turn, [entry]))
            return None
        if not _may_change(turn, [right]):
            return None
        farm = turn.fold.instead(numbers, [done for _, done in mended])
        found = recording.cannot_be(farm, right) if change is not None else ()
        if found:
            recording.refuse(turn, found)
            return None
        mended.append((farm, right))
    return mended


def _record_fix(turn: Turn, intent: Intent, changes: Mapping[int, Fix], mended: _Mended) -> None:
    new_place = recording.start_place(turn, intent)
    before, known = turn.farm, turn.forecasts()
    for change in changes.values():
        turn.record(turn.event(change))
    done = [right.number for _, right in mended if isinstance(right.body, Done)]
    if done and "bin" in intent.slots:  # it was the tray of another bin: the reminder for this one stands again
        turn.record(turn.event(Undo(of=tuple(done))))
    turn.tell(intent)
    told = [(farm, right) for farm, right in mended if right.number in changes]
    shown = [(farm, right) for farm, right in told if not isinstance(right.body, Done)] or told
    turn.say("undo.fixed", what="\n".join(recorded_line(turn.voice, farm, right) for farm, right in shown))
    turn.lines += new_place
    for _, right in shown:
        recording.follow(turn, before, right, known)


def take_back_edited(turn: Turn) -> str:
    """Take back what the message recorded and asked before it was edited; give that in words."""
    old = turn.fold.standing.of_message(turn.message)
    told = _told(turn, old)
    turn.dialog = turn.dialog.without({turn.message})
    if old:
        turn.record(turn.event(Undo(of=tuple(e.number for e in old))))
    return told
