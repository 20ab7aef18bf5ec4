"""Reminders: what the rules ask for now becomes events of the journal and messages to the farm's chats.

Not for what is due: core.rules; nor for when this is called: bot.timetable.
"""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import msgspec

from bot.assistant import buttons, finishing, membership, speaking
from bot.assistant.turn import in_rows, stated
from bot.ports.messages import About, Button, Outgoing, Rows
from bot.ports.stores import Chat, Member, UnitOfWork
from bot.replies import notices
from bot.replies import weekly as week_words
from bot.replies.voice import Voice
from core.farm.farm import AskedChore, Farm
from core.farm.fold import FarmFold
from core.journal.event import Event
from core.journal.kinds import Chore
from core.journal.notices import Asked, Summed
from core.rules import agenda, duty, hours, weekly
from core.rules.chores import ChoreDue
from core.rules.forecasts import Forecast, forecasts
from core.science.development import HatchWindow


class Reminders(msgspec.Struct, frozen=True, kw_only=True):
    """What a farm is reminded of now, and when it next may be."""

    events: tuple[Event, ...]
    messages: tuple[Outgoing, ...]
    next_due: dt.datetime | None


def remind(uow: UnitOfWork, folds: Mapping[int, FarmFold], now: dt.datetime) -> int:
    """Post what farms are to be asked for now, say when each next has something to ask; give how many were posted."""
    people, chats = uow.people.members_of(folds), uow.people.chats_of(folds)
    made = {farm: reminders(farm, fold, now, people[farm], chats[farm]) for farm, fold in folds.items()}
    uow.journal.append_all({farm: one.events for farm, one in made.items()})
    messages = [message for one in made.values() for message in one.messages]
    uow.outbox.post_all(messages, now)
    uow.farms.set_next_dues({farm: one.next_due for farm, one in made.items()})
    return len(messages)


def reminders(
    farm: int, fold: FarmFold, now: dt.datetime, people: Sequence[Member], chats: Sequence[Chat]
) -> Reminders:
    """Work out a farm's reminders; the fold takes what is asked."""
    known = forecasts(fold.farm)
    work = agenda.agenda(fold.farm, now, known)
    reached = membership.reminder_chats(chats, people, duty.on_duty(fold.farm, now)) if work.to_ask else ()
    spoken = [(c.address, speaking.of_chat(fold.farm, c, people)) for c in reached]
    events: list[Event] = []
    messages: list[Outgoing] = []
    for group in notices.groups(work.to_ask):
        before = fold.farm
        asked = [_asked(fold, chore, now) for chore in group]
        events += asked
        told = about(fold.farm, group, known)
        for chat, language in spoken:
            voice = Voice(before, now, language)
            message = Outgoing(
                key=f"push:{farm}:{asked[0].number}",
                chat=chat,
                text=notices.notice(voice, group, known),
                buttons=buttons_of([fold.farm.asked[e.number] for e in asked], voice, buttons.bond(farm, chat)),
                is_push=True,
                if_late=notices.late_line(voice, group),
                about=told,
            )
            messages.append(message)
    week = _week(farm, fold, now, people, chats)
    next_due = _next_of(fold.farm, agenda.once_asked(fold.farm, now, work), now)
    return Reminders(events=(*events, *week.events), messages=(*messages, *week.messages), next_due=next_due)


def _week(farm: int, fold: FarmFold, now: dt.datetime, people: Sequence[Member], chats: Sequence[Chat]) -> Reminders:
    """Work out the summary of a week, where it is due: it goes to all of the farm's chats, on duty or not."""
    at = weekly.due(fold.farm, now)
    if at is None:
        return Reminders(events=(), messages=(), next_due=None)
    known, told = forecasts(fold.farm), fold.farm
    entry = Event(number=told.last_number + 1, said_at=now, happened_at=now, by="", body=Summed(at=at))
    fold.add([entry])
    messages = [
        Outgoing(
            key=f"week:{farm}:{entry.number}",
            chat=chat.address,
            text=week_words.summary(Voice(told, now, speaking.of_chat(told, chat, people)), known, at),
            is_push=True,
        )
        for chat in membership.reminder_chats(chats)
    ]
    return Reminders(events=(entry,), messages=tuple(messages), next_due=None)


def _asked(fold: FarmFold, chore: ChoreDue, now: dt.datetime) -> Event:
    body = Asked(
        chore=chore.chore,
        due=chore.due,
        step=chore.step,
        bin=chore.bin,
        place=chore.place,
        tubs=chore.tubs,
        bins=chore.bins,
        order=chore.order,
    )  # fmt: skip
    entry = Event(number=fold.farm.last_number + 1, said_at=now, happened_at=now, by="", body=body)
    fold.add([entry])
    return entry


def about(farm: Farm, group: Sequence[ChoreDue], known: Mapping[str, Forecast]) -> About:
    """Give what a reminder asks for and states."""
    return About(chores=[_told(farm, c) for c in group], forecast=_stated(farm, group, known))


def buttons_of(asked: Sequence[AskedChore], voice: Voice, bond: str) -> Rows:
    """Give the buttons under a reminder, for the farm and chat of a bond."""
    pressed = finishing.reminder_buttons(voice, asked)
    return in_rows([Button(label=label, data=buttons.write(data, bond)) for label, data in pressed])


def _told(farm: Farm, chore: ChoreDue) -> dict[str, Any]:
    told: dict[str, Any] = {"chore": chore.chore.value}
    told["due"] = hours.local(farm, chore.due).isoformat(timespec="minutes")
    parts = (("bin", chore.bin), ("tubs", list(chore.tubs)), ("bins", list(chore.bins)), ("place", chore.place))
    return told | {name: value for name, value in parts if value}


def _stated(farm: Farm, group: Sequence[ChoreDue], known: Mapping[str, Forecast]) -> list[dict[str, Any]]:
    looked_for = [name for c in group if c.chore is Chore.HATCH_CHECK for name in c.tubs]
    windows = {n: known[n].window for n in looked_for if n in known}
    return [stated(farm, known[n], w) for n, w in windows.items() if isinstance(w, HatchWindow)]


def next_due_of(farm: Farm, now: dt.datetime, known: Mapping[str, Forecast] | None = None) -> dt.datetime | None:
    """Give when the farm's rules next have something to say."""
    return _next_of(farm, agenda.agenda(farm, now, known), now)


def _next_of(farm: Farm, work: agenda.Agenda, now: dt.datetime) -> dt.datetime | None:
    if work.to_ask or weekly.due(farm, now) is not None:
        return now
    return min((at for at in (work.next_at, weekly.next_at(farm, now)) if at is not None), default=None)
