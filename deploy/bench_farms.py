"""Farms for the bench, put into a database by the thousand: each an ordinary small one with one owner and one chat."""

import contextlib
import datetime as dt
import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence

import sqlalchemy as sa
from msgspec.structs import replace

from bot.ports.messages import DEFAULT_LANGUAGE
from bot.storage import engines, migrate, tables
from core.farm.fold import fold
from core.journal import codec
from core.journal.event import Event
from core.journal.facts import Reading, TrayIn, TrayOut
from core.journal.kinds import Role
from core.journal.notices import Asked
from core.rules.agenda import agenda
from core.rules.chores import ChoreDue

DUE = dt.datetime(2026, 7, 14, 18, tzinfo=dt.UTC)  # from then on, within the minute, each farm's tray is to be pulled
DAY, HOUR, MINUTE = dt.timedelta(days=1), dt.timedelta(hours=1), dt.timedelta(minutes=1)
LAY = 24 * HOUR  # how long a tray stays in a bin where the farm says nothing else
AT_ONCE = 2000  # farms a transaction
OWNER = "Noor"
Slots = dict[str, object]
_People = Sequence[tuple[int, str]]  # each by the farm


def two_weeks(*, eggs: bool = True) -> list[Event]:
    """Give the journal of a small farm: what was told, what was asked for and done, and a tray to pull from bin 1.

    Without `eggs` what was pulled before that was thrown out, so that no hatch is to be forecast.
    """
    told = [_event(at, body) for at, body in _told(eggs=eggs)]
    events: list[Event] = []
    at = told[0].happened_at
    while True:
        while told and told[0].happened_at <= at:
            events.append(replace(told.pop(0), number=len(events) + 1))
        work = agenda(fold(events), at)
        asked = [_asked(chore, at, len(events) + n) for n, chore in enumerate(work.to_ask, start=1)]
        events += asked
        for entry in asked:
            done = {"kind": "done", "chore": entry.body.chore, "of": [entry.number]}
            events.append(replace(_event(at + 9 * MINUTE, done), number=len(events) + 1))
        following = [e.happened_at for e in told[:1]] + [agenda(fold(events), at).next_at or DUE]
        at = max(min(following), at + MINUTE)
        if at >= DUE:
            return events


def _told(*, eggs: bool) -> Iterator[tuple[dt.datetime, Slots]]:
    start = DUE - 14 * DAY
    yield start, {"kind": "joined", "name": OWNER, "role": "owner"}
    yield start, {"kind": "set", "what": "name", "to": "Ocotillo Flats"}
    yield start, {"kind": "set", "what": "timezone", "to": "America/Denver"}
    yield start, {"kind": "add", "what": "place", "name": "lamp shelf", "lamp": True}
    yield start, {"kind": "add", "what": "place", "name": "humid room", "humidifier": True}
    yield start, {"kind": "add", "what": "bin", "name": "B2"}
    yield DUE - 7 * DAY - 2 * HOUR, {"kind": "chirp", "bin": "B1"}
    yield DUE - 7 * DAY - HOUR, {"kind": "tray_in", "bin": "B1"}
    yield DUE - 6 * DAY - 2 * HOUR, {"kind": "tray_out", "bin": "B1", "tub": "T1", "place": "humid room", "cover": True}
    if not eggs:
        yield DUE - 6 * DAY - HOUR, {"kind": "discarded", "tub": "T1", "reason": "moldy"}
    for day in range(5, 2, -1):
        yield DUE - day * DAY, {"kind": "fed", "bins": ["B1", "B2"]}
        yield DUE - day * DAY, {"kind": "reading", "place": "humid room", "temp_c": 29.5, "rh": 80.0}
    yield DUE - 2 * DAY, {"kind": "reading", "place": "lamp shelf", "temp_c": 31.0}
    yield DUE - 2 * DAY, {"kind": "fed", "bins": ["B1", "B2"]}
    yield DUE - LAY, {"kind": "tray_in", "bin": "B1"}


def _event(at: dt.datetime, told: Slots) -> Event:
    slots = {name: value for name, value in told.items() if name != "kind"}
    body = codec.body_of(str(told["kind"]), slots)
    return Event(number=0, said_at=at, happened_at=at, by=OWNER, message=f"bench:{at:%d%H}", body=body)


def _asked(chore: ChoreDue, at: dt.datetime, number: int) -> Event:
    body = Asked(
        chore=chore.chore,
        due=chore.due,
        step=chore.step,
        bin=chore.bin,
        place=chore.place,
        tubs=chore.tubs,
        bins=chore.bins,
    )
    return Event(number=number, said_at=at, happened_at=at, by="", body=body)


def up_to(now: dt.datetime) -> list[Event]:
    """Give the same journal with its end now, and reminders put off, so that none comes between the answers."""
    later = now - DUE
    events = [
        replace(entry, said_at=entry.said_at + later, happened_at=entry.happened_at + later) for entry in two_weeks()
    ]
    return [*events, replace(_event(now, {"kind": "pause"}), number=len(events) + 1)]


def of_farm(events: Sequence[Event], farm: int) -> list[Event]:
    """Give a farm's own journal: its temperature and its times to the second are those of no other farm."""
    second = dt.timedelta(seconds=farm % 60)
    own = []
    for entry in events:
        match entry.body:
            case Reading() as body:
                own.append(replace(entry, body=replace(body, temp_c=(body.temp_c or 0.0) + farm % 10_007 / 1e4)))
            case TrayIn() | TrayOut():
                own.append(replace(entry, said_at=entry.said_at + second, happened_at=entry.happened_at + second))
            case _:
                own.append(entry)
    return own


def put_farms(url: str, addresses: Sequence[str], *, events: Sequence[Event], asks: bool = True) -> None:
    """Make a database of farms with much the same journal, one an address; what was in it is taken out.

    Without `asks` they are never due, so that nothing comes between messages and their answers.
    """
    plain = [_row(event) for event in events]
    with _emptied(url) as engine:
        for some in _some(enumerate(addresses, start=1)):
            farms = {farm: _due(farm) if asks else None for farm, _ in some}
            _put(engine, farms, some, (row for farm in farms for row in _own(events, plain, farm)))


def put_farm(url: str, address: str, events: Sequence[Event]) -> None:
    """Make a database of one farm with this journal; what was in it is taken out."""
    with _emptied(url) as engine:
        _put(engine, {1: None}, [(1, address)], ({"farm": 1} | _row(event) for event in events))


@contextlib.contextmanager
def _emptied(url: str) -> Iterator[sa.Engine]:
    migrate.upgrade(url)
    engine = engines.open_engine(url)
    with engine.begin() as connection:
        for table in reversed(tables.METADATA.sorted_tables):
            connection.execute(sa.delete(table))
    yield engine
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        connection.exec_driver_sql("ANALYZE")
    engine.dispose()


def _put(
    engine: sa.Engine, farms: Mapping[int, dt.datetime | None], people: _People, journals: Iterable[Slots]
) -> None:
    with engine.begin() as connection:
        due = [{"id": farm, "founded_at": DUE, "next_due": at} for farm, at in farms.items()]
        connection.execute(sa.insert(tables.farms), due)
        connection.execute(sa.insert(tables.events), list(journals))
        connection.execute(sa.insert(tables.members), [_member(farm, address) for farm, address in people])
        chats = [{"address": address, "farm": farm, "is_group": False} for farm, address in people]
        connection.execute(sa.insert(tables.chats), chats)


def _due(farm: int) -> dt.datetime:
    return DUE + dt.timedelta(seconds=farm % 60)


def _own(events: Sequence[Event], plain: Sequence[Slots], farm: int) -> Iterator[Slots]:
    for entry, own, row in zip(events, of_farm(events, farm), plain, strict=True):
        yield {"farm": farm} | (row if own is entry else _row(own))


def _row(event: Event) -> dict[str, object]:
    """Write an event as the journal does, less its farm."""
    plain = {name: getattr(event, name) for name in ("number", "said_at", "happened_at", "by", "message")}
    return plain | {"body": codec.encode(event.body).decode()}


def _member(farm: int, address: str) -> dict[str, object]:
    return {"address": address, "farm": farm, "name": OWNER, "role": Role.OWNER, "language": DEFAULT_LANGUAGE}


def _some(pairs: Iterator[tuple[int, str]]) -> Iterator[list[tuple[int, str]]]:
    while some := list(itertools.islice(pairs, AT_ONCE)):
        yield some
