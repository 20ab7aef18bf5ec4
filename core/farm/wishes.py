"""What the wants of people and the reminders that went out do to the farm.

Undo and fix are not among them: corrections has applied them before.
"""

import contextlib
import datetime as dt
from collections.abc import Iterator
from typing import assert_never

from msgspec.structs import replace

from core.farm import bin_facts, people, settings, tub_facts
from core.farm.farm import AskedChore, Bin, Pause, Person, PersonalReminder, TrayPlan
from core.farm.ledger import Ledger
from core.farm.orders import CustomerOrder, called_off, remembered
from core.journal.event import Event
from core.journal.facts import Cleaned, Fed, TrayIn, TrayOut, Watered
from core.journal.kinds import Addable, Chore, Setting
from core.journal.notices import Asked, Cautioned, Summed
from core.journal.wants import (
    Add,
    Away,
    Cancel,
    Done,
    Duty,
    Fix,
    Joined,
    Left,
    Order,
    Plan,
    Remind,
    Rename,
    Resume,
    Set,
    Skip,
    Snooze,
    Undo,
)
from core.journal.wants import (
    Pause as PauseWanted,
)

USUAL_SNOOZE_MINUTES = 60
LONGEST_SNOOZE_MINUTES = 365 * 24 * 60  # a longer one is a slip, and no date can hold the longest

Wish = (
    Order
    | Plan
    | Cancel
    | Remind
    | Add
    | Rename
    | Set
    | PauseWanted
    | Resume
    | Done
    | Skip
    | Snooze
    | Joined
    | Left
    | Duty
    | Away
    | Asked
    | Cautioned
    | Summed
)


def apply(ledger: Ledger, entry: Event, want: Wish | Undo | Fix) -> None:  # noqa: C901, PLR0915 - one case a kind
    """Put one want or notice into the ledger."""
    match want:
        case Asked():
            _remember(ledger, entry, want)
        case Done() | Skip():
            _end(ledger, entry, want)
        case Add():
            _add(ledger, entry, want)
        case Set():
            _set(ledger, entry, want)
        case PauseWanted():
            others = tuple(p for p in ledger.pauses if p.chore is not want.what)
            until = None if want.until is None else want.until.astimezone(dt.UTC)
            ledger.pauses = (*others, Pause(chore=want.what, until=until))
        case Resume():
            ledger.pauses = tuple(_without(ledger.pauses, want.what))
        case Snooze():
            _snooze(ledger, entry, want)
        case Joined():
            known = ledger.people.get(want.name) or Person(name=want.name, role=want.role)
            ledger.people[want.name] = replace(known, role=want.role)
        case Left():
            ledger.people.pop(want.name, None)
        case Duty() | Away():
            people.arrange(ledger, entry, want)
        case Cautioned():
            ledger.cautioned.add(want.topic)
        case Summed():
            ledger.summed_at = want.at.astimezone(dt.UTC)
        case Order() | Cancel() | Plan():
            _agree(ledger, entry, want)
        case Remind():
            reminder = PersonalReminder(
                number=entry.number, text=want.text, when=want.when.astimezone(dt.UTC), every=want.every, by=entry.by
            )
            ledger.reminders = ledger.reminders.extended((reminder,))
        case Rename() | Undo() | Fix():
            pass  # names and corrections have seen to them before the fold began
        case _:
            assert_never(want)


def _without(pauses: tuple[Pause, ...], chore: Chore | None) -> Iterator[Pause]:
    """Give the pauses that are left when reminders of a chore, or all, go on; a pause of all goes on for the others."""
    for pause in pauses:
        if chore is None or pause.chore is chore:
            continue
        if pause.chore is None:
            yield from (replace(pause, chore=other) for other in Chore if other is not chore)
        else:
            yield pause


def _agree(ledger: Ledger, entry: Event, want: Order | Cancel | Plan) -> None:
    match want:
        case Order():
            _promise(ledger, entry, want)
        case Cancel():
            ledger.orders = called_off(ledger.orders, want.order, want.day)
        case Plan():
            _plan(ledger, entry, want)
        case _:
            assert_never(want)


def _promise(ledger: Ledger, entry: Event, want: Order) -> None:
    promised = CustomerOrder(
        number=entry.number,
        who=want.who,
        count=want.count,
        size=want.size,
        due=want.due,
        every=want.every,
        taken_at=entry.said_at,
    )
    today = entry.happened_at.astimezone(settings.tzinfo_of(ledger.settings.timezone)).date()
    ledger.orders = remembered(ledger.orders, today).extended((promised,))


def _plan(ledger: Ledger, entry: Event, want: Plan) -> None:
    days: dict[str, list[dt.date]] = {}
    for name, day in zip(want.bins, want.days, strict=False):  # a fix may leave one without the other
        days.setdefault(ledger.names.bin(name)[0], []).append(day)
    ledger.plan = TrayPlan(
        number=entry.number,
        days={name: tuple(sorted(several)) for name, several in days.items()},
        count=want.count,
        size=want.size,
        every=want.every,
    )


def _add(ledger: Ledger, entry: Event, want: Add) -> None:
    match want.what:
        case Addable.BIN:
            ledger.bin(want.name or ledger.next_bin())
        case Addable.TUB:
            ledger.tub(want.name or ledger.next_tub(), entry)
        case Addable.PLACE if want.name is not None:
            known = ledger.place(want.name)
            lamp = known.lamp if want.lamp is None else want.lamp
            humidifier = known.humidifier if want.humidifier is None else want.humidifier
            ledger.set_place(want.name, lamp=lamp, humidifier=humidifier)
        case Addable.PLACE:
            pass  # a place without a name is asked for before it is recorded
        case _:
            assert_never(want.what)


def _set(ledger: Ledger, entry: Event, want: Set) -> None:
    """Change a setting: of the farm, or of the person who says it, as the language is.

    Checks keep a value out that it cannot take, and one that a fix let in changes nothing.
    """
    if want.what is Setting.NAME:
        ledger.name = want.to
        return
    if want.what is Setting.LANGUAGE and entry.by in ledger.people:
        ledger.people[entry.by] = replace(ledger.people[entry.by], language=want.to.strip().lower())
        return
    with contextlib.suppress(settings.SettingError):
        ledger.settings = settings.with_setting(ledger.settings, want.what, want.to)
        if want.what is Setting.WATER_TIMES:
            ledger.settings = replace(ledger.settings, water_times_told_at=entry.said_at)


def _remember(ledger: Ledger, entry: Event, asked: Asked) -> None:
    reminder = AskedChore(
        number=entry.number,
        at=entry.happened_at,
        chore=asked.chore,
        due=asked.due.astimezone(dt.UTC),
        step=asked.step,
        bin=asked.bin,
        place=None if asked.place is None else ledger.names.place(asked.place),
        tubs=asked.tubs,
        bins=asked.bins,
        order=asked.order,
    )
    ledger.remember(reminder)


def _end(ledger: Ledger, entry: Event, want: Done | Skip) -> None:
    for number in want.of:
        asked = ledger.asked.get(number)
        if asked is None or asked.ended_at is not None:
            continue
        is_skipped = isinstance(want, Skip)
        ledger.asked[number] = replace(
            asked, ended_at=entry.happened_at, ended_by=entry.by, is_skipped=is_skipped
        )  # fmt: skip
        if not is_skipped:
            _do(ledger, entry, asked)


def _do(ledger: Ledger, entry: Event, asked: AskedChore) -> None:  # noqa: C901 - one case a chore
    """Let the work that was asked for have been done."""
    found = (ledger.tubs.get(name) for name in asked.tubs)
    tubs = [tub for tub in found if tub is not None]  # one that was taken back stays away
    match asked.chore:
        case Chore.WATER:
            for tub in tubs:
                ledger.set_tub(tub, watered_at=entry.happened_at)
        case Chore.MOLD_CHECK:
            for tub in tubs:
                ledger.set_tub(tub, checked_at=entry.happened_at)
        case Chore.HATCH_CHECK:
            for tub in tubs:
                ledger.set_tub(tub, hatch_checked_at=entry.happened_at)
        case Chore.PULL_TRAY if asked.bin is not None and _is_pullable(ledger.bin(asked.bin), asked):
            tub_facts.pull(ledger, entry, TrayOut(bin=asked.bin))
        case Chore.TRAY_IN if asked.bin is not None and _is_settable(ledger.bin(asked.bin), asked):
            bin_facts.set_tray(ledger, entry, TrayIn(bin=asked.bin))
        case Chore.FEED | Chore.BIN_WATER | Chore.CLEAN:
            _keep(ledger, entry, asked)
        case (
            Chore.TRAY_IN
            | Chore.PULL_TRAY
            | Chore.SIZE_CHECK
            | Chore.SPLIT
            | Chore.FIRST_CHIRP
            | Chore.BUY_FEED
            | Chore.BREEDERS
            | Chore.AGE_OUT
            | Chore.ORDER_SHORT
            | Chore.PICK
        ):
            pass  # a look was had, what was bought is told by itself, or the bin is not as it was when it was asked for
        case _:
            assert_never(asked.chore)


def _keep(ledger: Ledger, entry: Event, asked: AskedChore) -> None:
    """Let the bins of a round have been fed, watered or cleaned; one that was taken back stays away."""
    names = tuple(name for name in asked.bins or (asked.bin,) if name is not None and name in ledger.bins)
    if not names:
        return
    match asked.chore:
        case Chore.FEED:
            bin_facts.feed(ledger, entry, Fed(bins=names))
        case Chore.BIN_WATER:
            tub_facts.water(ledger, entry, Watered(bins=names))
        case _:
            bin_facts.clean(ledger, entry, Cleaned(bins=names))


def _is_pullable(house: Bin, asked: AskedChore) -> bool:
    """Tell whether a bin still has the tray that a reminder asked to pull, and not another one since."""
    return house.tray is not None and house.tray.put_in_at <= asked.at


def _is_settable(house: Bin, asked: AskedChore) -> bool:
    has_had_it = house.tray_in_at is not None and house.tray_in_at > asked.at
    return asked.step > 0 and house.tray is None and not has_had_it


def _snooze(ledger: Ledger, entry: Event, want: Snooze) -> None:
    minutes = USUAL_SNOOZE_MINUTES if want.minutes is None else want.minutes
    span = dt.timedelta(minutes=min(max(minutes, 0), LONGEST_SNOOZE_MINUTES))
    until = (want.until or entry.happened_at + span).astimezone(dt.UTC)
    for number in want.of:
        if number in ledger.asked:
            ledger.asked[number] = replace(ledger.asked[number], snoozed_until=until)
