"""Chores that are done, skipped or put off, by word or by button.

The first to say it ends it for all; the others are told who it was.
"""

from collections.abc import Mapping, Sequence

from bot.assistant import asking, buttons, recording
from bot.assistant.turn import Turn
from bot.ports.intents import Intent
from bot.replies.recorded import recorded_line
from bot.replies.voice import Voice
from core.farm.farm import AskedChore
from core.journal import codec
from core.journal.facts import Chirp, Hatch, Mold, Sized, TrayIn, TrayOut
from core.journal.kinds import Chore
from core.journal.wants import Done, Skip, Snooze
from core.rules import hours
from core.rules.grow_out import grade_of
from core.rules.incubation import SOON_ENOUGH

MOLD_OUT = "mold"  # outcomes that a button tells besides "done"
PINHEADS = "hatch"
CHIRPING = "chirp"
SIZE = "size"
DAILY_ROUND = frozenset({Chore.FEED, Chore.BIN_WATER})
A_DAY_OF_MINUTES = 24 * 60


def take(turn: Turn, intent: Intent) -> None:
    """Take a done, skip or snooze that was said in words."""
    if intent.kind == codec.kind_of_record(Snooze):
        snooze(turn, intent, _last_open(turn, None))
        return
    chore = Chore(intent.slots["chore"]) if intent.slots.get("chore") else None
    if chore is None:
        turn.say("wanted.nothing_asked")
        return
    asked = _last_open(turn, chore)
    if not asked and _told_ended(turn, intent, chore):
        return
    for each, those in _by_chore(asked) or [(chore, [])]:
        told = Intent(kind=intent.kind, slots={**intent.slots, "chore": each.value}, at=intent.at)
        if intent.kind == codec.kind_of_record(Skip):
            _end(turn, told, Skip(chore=each, of=tuple(a.number for a in those)))
        else:
            finish(turn, each, those, intent=told)


def _last_open(turn: Turn, chore: Chore | None) -> list[AskedChore]:
    """Give the reminders that went out last, together, and are still open and to be done."""
    meant = DAILY_ROUND if chore is Chore.BIN_WATER else {chore, None}  # asked for in one message, named last in it
    still = [a for a in turn.farm.asked.values() if a.ended_at is None and (chore is None or a.chore in meant)]
    still = [a for a in still if not _is_overtaken(turn, a)]
    newest = max((a.at for a in still), default=None)
    return [a for a in still if a.at == newest]


def _told_ended(turn: Turn, intent: Intent, chore: Chore) -> bool:
    """Say that there is nothing to skip, or who did just now what is told to be done; False for work done unasked."""
    ended = max((a for a in turn.farm.asked.values() if a.chore is chore), key=lambda a: a.at, default=None)
    is_skip = intent.kind == codec.kind_of_record(Skip)
    is_recent = ended is not None and ended.ended_at is not None and turn.now - ended.ended_at < SOON_ENOUGH
    if ended is not None and is_recent:
        _tell_ended(turn, ended)
    elif is_skip:
        turn.say("wanted.nothing_asked")
    return is_recent or is_skip


def finish(
    turn: Turn, chore: Chore, asked: Sequence[AskedChore], *, intent: Intent | None = None, outcome: str = ""
) -> None:
    """Record that the work of reminders was done, and the fact that goes with it."""
    told = intent or Intent(kind=codec.kind_of_record(Done), slots={"chore": chore.value})
    if chore is Chore.PULL_TRAY or (chore is Chore.TRAY_IN and any(a.step > 0 for a in asked)):
        _tray(turn, chore, asked, told)
        return
    if outcome in {SIZE, CHIRPING}:
        _seen(turn, chore, asked, told)
        return
    _end(turn, told, Done(chore=chore, of=tuple(a.number for a in asked)))
    tubs = list(dict.fromkeys(tub for a in asked for tub in a.tubs))
    if outcome == MOLD_OUT and tubs:
        slots = {"tubs": tubs, "removed": True}
        recording.take(turn, Intent(kind=codec.kind_of_record(Mold), slots=slots, at=told.at))
    if outcome == PINHEADS:
        hatch = Intent(kind=codec.kind_of_record(Hatch), slots={"tub": tubs[0]} if len(tubs) == 1 else {}, at=told.at)
        if len(tubs) == 1:
            recording.take(turn, hatch)
        else:
            asking.ask(turn, hatch, "tub")


def _tray(turn: Turn, chore: Chore, asked: Sequence[AskedChore], told: Intent) -> None:
    """Record a tray that was pulled or set, in the bin that was asked about or the one it can only be."""
    with_tray = [b.name for b in turn.farm.bins_with_tray()]
    names = [a.bin for a in asked if a.bin is not None]
    if chore is Chore.PULL_TRAY:
        names = [n for n in names if n in with_tray] or (with_tray if len(with_tray) == 1 else [])
    kind = codec.kind_of_record(TrayOut if chore is Chore.PULL_TRAY else TrayIn)
    for name in names:
        recording.take(turn, Intent(kind=kind, slots={"bin": name}, at=told.at))
    if not names:
        recording.take(turn, Intent(kind=kind, slots={}, at=told.at))
    if asked and turn.news:  # the tray itself is recorded above; this ends the reminder
        turn.record(turn.event(Done(chore=chore, of=tuple(a.number for a in asked)), told.at))


def _seen(turn: Turn, chore: Chore, asked: Sequence[AskedChore], told: Intent) -> None:
    """Record the size, or the first chirp, that a reminder was about; what is recorded says it all."""
    for one in asked:
        slots: dict[str, object] = {"bin": one.bin}
        if chore is Chore.SIZE_CHECK:
            slots["size"] = grade_of(one.step)
        fact = Sized if chore is Chore.SIZE_CHECK else Chirp
        recording.take(turn, Intent(kind=codec.kind_of_record(fact), slots=slots, at=told.at))
    if turn.news:
        turn.record(turn.event(Done(chore=chore, of=tuple(a.number for a in asked)), told.at))


def _end(turn: Turn, told: Intent, body: Done | Skip) -> None:
    entry = turn.event(body, told.at)
    before = turn.farm
    turn.record(entry)
    turn.tell(told)
    turn.lines.append(recorded_line(turn.voice, before, entry))


def snooze(turn: Turn, told: Intent, asked: Sequence[AskedChore]) -> None:
    """Put reminders off."""
    if not asked:
        turn.say("wanted.nothing_asked")
        return
    minutes, until = told.slots.get("minutes"), told.slots.get("until")
    if (minutes is not None and not 0 < minutes <= 30 * A_DAY_OF_MINUTES) or (until is not None and until <= turn.now):
        turn.say("refused.in_past")
        return
    of = tuple(a.number for a in asked)
    entry = turn.event(Snooze(minutes=minutes, until=until, of=of))
    turn.record(entry)
    turn.tell(told)
    turn.lines.append(recorded_line(turn.voice, turn.farm, entry))


def press(turn: Turn, pressed: buttons.Finish | buttons.Later | buttons.LeaveOut) -> None:
    """Take the press of a reminder's button; what is ended already stays as it is."""
    asked = [turn.farm.asked[n] for n in pressed.asked if n in turn.farm.asked]
    still = [a for a in asked if a.ended_at is None]
    if not asked:
        turn.say("press.too_old")
        return
    if not still:
        _tell_ended(turn, asked[-1])
        return
    if any(_is_overtaken(turn, a) for a in still):
        turn.say("press.superseded")
        return
    match pressed:
        case buttons.Finish(outcome=outcome):
            for chore, those in _by_chore(still):
                finish(turn, chore, those, outcome=outcome)
        case buttons.Later(minutes=minutes):
            snooze(turn, Intent(kind=codec.kind_of_record(Snooze), slots={"minutes": minutes}), still)
        case buttons.LeaveOut():
            _leave_out(turn, still)


def _leave_out(turn: Turn, asked: Sequence[AskedChore]) -> None:
    for chore, those in _by_chore(asked):
        skip = Intent(kind=codec.kind_of_record(Skip), slots={"chore": chore.value})
        _end(turn, skip, Skip(chore=chore, of=tuple(a.number for a in those)))


def _by_chore(asked: Sequence[AskedChore]) -> list[tuple[Chore, list[AskedChore]]]:
    return [(chore, [a for a in asked if a.chore is chore]) for chore in dict.fromkeys(a.chore for a in asked)]


def _tell_ended(turn: Turn, asked: AskedChore) -> None:
    voice = turn.voice
    when = voice.when(asked.ended_at) if asked.ended_at else ""
    if asked.is_skipped:
        turn.say("press.skipped", when=when)
    elif asked.ended_by == turn.member.name:
        turn.say("press.already_me", when=when)
    else:
        turn.say("press.already", who=asked.ended_by, when=when)


def _is_overtaken(turn: Turn, asked: AskedChore) -> bool:
    """Tell whether the farm has moved on: the tray is out or in, or a later reminder has taken this one's place."""
    house = turn.farm.bins.get(asked.bin or "")
    if asked.chore is Chore.PULL_TRAY:
        return house is None or house.tray is None or house.tray.put_in_at > asked.at
    if asked.chore is Chore.TRAY_IN:
        return house is None or house.tray is not None or (house.tray_in_at is not None and house.tray_in_at > asked.at)
    about = (asked.chore, asked.bin, asked.place, asked.order)
    same = [a for a in turn.farm.asked.values() if (a.chore, a.bin, a.place, a.order) == about]
    return any(a.due > asked.due and (not asked.bins or set(a.bins) & set(asked.bins)) for a in same)


def reminder_buttons(voice: Voice, asked: Sequence[AskedChore]) -> list[tuple[str, buttons.Pressed]]:
    """Give the buttons of a reminder: what finishes it, later, skip."""
    numbers = tuple(a.number for a in asked)
    if [a.chore for a in asked] == [Chore.FEED, Chore.BIN_WATER]:
        ends = [("fed_watered", buttons.Finish(numbers)), ("only_fed", buttons.Finish(numbers[:1]))]
    else:
        ends = [(key, buttons.Finish((a.number,), outcome)) for a in asked for key, outcome in _labels(a)]
    size = next((voice.size(grade_of(a.step)) for a in asked if a.chore is Chore.SIZE_CHECK), "")
    found: list[tuple[str, buttons.Pressed]] = [(voice.say(f"button.{key}", size=size), end) for key, end in ends]
    later = (voice.say("button.later"), buttons.Later(60, numbers))
    if [a.chore for a in asked] == [Chore.ORDER_SHORT]:
        return [*found, later, (voice.say("button.call_off"), _calling_off(voice, asked[0]))]
    return [*found, later, (voice.say("button.skip"), buttons.LeaveOut(numbers))]


def _calling_off(voice: Voice, asked: AskedChore) -> buttons.Pressed:
    """Give what calls off the delivery that a warning is about."""
    return buttons.Say(f"cancel order {asked.order} {hours.local(voice.farm, asked.due).date().isoformat()}")


_LABELS: Mapping[Chore, Sequence[tuple[str, str]]] = {  # of the buttons that end a reminder, with what each tells
    Chore.WATER: [("watered", "")],
    Chore.MOLD_CHECK: [("no_mold", ""), ("mold_out", MOLD_OUT)],
    Chore.HATCH_CHECK: [("no_pinheads", ""), ("pinheads", PINHEADS)],
    Chore.PULL_TRAY: [("pulled", "")],
    Chore.TRAY_IN: [("tray_set", "")],
    Chore.BREEDERS: [("seen", "")],
    Chore.AGE_OUT: [("seen", "")],
    Chore.FEED: [("fed", "")],
    Chore.BIN_WATER: [("watered", "")],
    Chore.BUY_FEED: [("on_the_list", "")],
    Chore.ORDER_SHORT: [("seen", "")],
    Chore.PICK: [("picked", "")],
    Chore.CLEAN: [("cleaned", "")],
    Chore.SPLIT: [("split", "")],
    Chore.SIZE_CHECK: [("size_seen", SIZE), ("smaller", "")],
    Chore.FIRST_CHIRP: [("no_chirp", ""), ("chirping", CHIRPING)],
}


def _labels(asked: AskedChore) -> Sequence[tuple[str, str]]:
    is_first_look = asked.chore is Chore.TRAY_IN and asked.step == 0
    return [("looked", "")] if is_first_look else _LABELS[asked.chore]
