"""What people may have of their data, and have taken away: a file of the records, an erasure.

What is to be erased is kept in the turn until the end. Not for erasing it: erasing.
"""

import datetime as dt
from collections.abc import Sequence

from msgspec.structs import replace

from bot.assistant.turn import Turn
from bot.ports.messages import Attachment
from bot.replies import records
from bot.replies.languages import languages, typed_words, wording
from core.farm.settings import tzinfo_of
from core.journal.event import Event
from core.journal.kinds import Role
from core.journal.wants import Left

EXPORT, ERASE = "/export", "/erase"
CONFIRM_WITHIN = dt.timedelta(minutes=10)


def take(turn: Turn, command: str, rest: str) -> bool:
    """Take a command, or plain words for one, about a person's data; False for anything else."""
    if not turn.incoming.is_addressed:
        return False
    said = " ".join(turn.incoming.text.casefold().strip(" .!").split())
    is_export = command == EXPORT or said in typed_words("typed.export")
    if not is_export and command != ERASE and said not in typed_words("typed.erase"):
        return False
    if turn.incoming.is_group:
        turn.say("data.private")
    elif is_export:
        _export(turn)
    elif command == ERASE and rest:
        _erase_person(turn, rest)
    elif turn.member.role is Role.OWNER:
        _ask(turn)
    else:
        turn.say("data.erase_self", name=turn.member.name)
    return True


def confirmed(turn: Turn) -> bool:
    """Take the farm's name as the word to erase it; whatever else is said instead calls that off."""
    until = turn.dialog.erase_until
    if until is None:
        return False
    turn.dialog = replace(turn.dialog, erase_until=None)
    is_named = _folded(turn.incoming.text) == _folded(turn.voice.farm_name())
    if is_named and turn.now <= until and turn.member.role is Role.OWNER:
        turn.erases_farm = True
        turn.say("data.erased", farm=turn.voice.subject(turn.voice.farm_name()), **_counted(turn))
    elif is_named:
        turn.say("data.erase_late")
    elif turn.now <= until:
        turn.say("data.erase_dropped")
    return is_named


def _export(turn: Turn) -> None:
    is_owner = turn.member.role is Role.OWNER
    found: Sequence[Event] = [e for e in turn.fold.events if is_owner or e.by == turn.member.name]
    if not found:
        turn.say("data.nothing")
        return
    name = f"ovipost-records-{turn.local(turn.now):%Y-%m-%d}.csv"
    turn.file = Attachment(name=name, text=records.table(found, tzinfo_of(turn.farm.settings.timezone)))
    turn.say("data.export" if is_owner else "data.export_own", n=len(found), farm=turn.voice.farm_name())


def _ask(turn: Turn) -> None:
    turn.dialog = replace(turn.dialog, erase_until=turn.now + CONFIRM_WITHIN)
    turn.say("data.erase_ask", farm=turn.voice.farm_name(), **_counted(turn))
    turn.say("data.erase_confirm", name=turn.voice.farm_name())


def _counted(turn: Turn) -> dict[str, str]:
    say = turn.voice.say
    return {
        "records": say("data.records", n=len(turn.fold.events)),
        "people": say("data.people", n=len(turn.farm.people)),
    }


def _erase_person(turn: Turn, wanted: str) -> None:
    known = {*turn.farm.people, *(e.by for e in turn.fold.events if e.by)} - former_names()
    name = next((n for n in sorted(known) if _folded(n) == _folded(wanted)), None)
    if turn.member.role is not Role.OWNER and name != turn.member.name:
        turn.say("data.erase_self", name=turn.member.name)
    elif name is None:
        turn.say("data.nobody", name=wanted, names=turn.voice.listed(sorted(turn.farm.people)))
    elif (person := turn.farm.people.get(name)) is not None and person.role is Role.OWNER:
        turn.say("data.erase_owner", name=name)
    else:
        turn.erases = name
        if person is not None:
            turn.record(turn.event(Left(name=name), by=""))
        written = sum(e.by == name for e in turn.fold.events)
        turn.say("data.erased_person", n=written, name=name, former=turn.voice.say("data.former"))


def former_names() -> frozenset[str]:
    """Give what journals say in place of the name of somebody who was taken out, in every language."""
    return frozenset(wording(code).text("data.former") for code in languages())


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())
