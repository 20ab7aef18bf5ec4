"""Journals for the bench, as long as is wanted, and what is said on their farms."""

import datetime as dt
from collections.abc import Iterator, Sequence

from core.farm.farm import Farm
from core.farm.fold import fold
from core.journal import codec
from core.journal.event import Event

Slots = dict[str, object]
NOW = dt.datetime(2026, 7, 14, 14, tzinfo=dt.UTC)
MESSAGES = (
    "watered the lamp shelf",
    "chirping in bin 2",
    "lamp shelf 88",
    "tray in bin 1 with peat",
    "pulled the tray from bin 1, lots of eggs, lamp shelf",
    "took some mold out of tub 5",
    "how long on tub 7?",
    "what's due",
    "pinheads in tub 3",
    "humid room 85 and 80% humidity",
    "undo",
    "garage went from 50 to 80",
    "how's bin 4 doing",
    "nice weather today",
    "covered tub 6",
)
MESSAGES_ES = (
    "regué el estante de la lámpara",
    "ya cantan en el bin 2",
    "lamp shelf 88",
    "puse la bandeja en el bin 1 con turba",
    "saqué la bandeja del bin 1, muchos huevos, lamp shelf",
    "quité un poco de moho de la tina 5",
    "¿cuánto le falta a la tina 7?",
    "qué toca hoy",
    "hay crías en la tina 3",
    "humid room 85 y 80% de humedad",
    "deshacer",
    "el garaje pasó de 50 a 80",
    "cómo va el bin 4",
    "qué bonito día",
    "tapé la tina 6",
)


def _setting_up(bins: int) -> Iterator[Slots]:
    yield {"kind": "set", "what": "name", "to": "Ocotillo Flats"}
    yield {"kind": "set", "what": "timezone", "to": "America/Denver"}
    yield {"kind": "add", "what": "place", "name": "lamp shelf", "lamp": True}
    yield {"kind": "add", "what": "place", "name": "humid room", "humidifier": True}
    yield {"kind": "add", "what": "place", "name": "garage rack"}
    for number in range(1, bins + 1):
        yield {"kind": "chirp", "bin": f"B{number}"}


def _day(day: int, bins: int) -> Iterator[Slots]:
    """Give ten events of one day; a tub is pulled each day, hatches eleven days later and is thrown out."""
    place = "humid room" if day % 2 else "lamp shelf"
    yield {"kind": "tray_out", "bin": f"B{day % bins + 1}", "place": place}
    yield {"kind": "tray_in", "bin": f"B{(day + 1) % bins + 1}"}
    yield {"kind": "watered", "place": "lamp shelf"}
    yield {"kind": "reading", "place": "lamp shelf", "temp_c": 30.0 + day % 4 / 2}
    yield {"kind": "reading", "place": "humid room", "temp_c": 29.0 + day % 3 / 2, "rh": 80.0}
    yield {"kind": "fed", "bins": [f"B{day % bins + 1}"]}
    yield {"kind": "watered", "place": "humid room"}
    old = f"T{day - 10}" if day > 10 else ""
    yield {"kind": "hatch", "tub": old} if old else {"kind": "remark", "text": "all quiet"}
    yield {"kind": "discarded", "tub": old} if old else {"kind": "remark", "text": "still quiet"}
    yield {"kind": "watered", "place": "lamp shelf"}


def journal(count: int, *, bins: int) -> list[Event]:
    """Give a journal of ten events a day that ends an hour ago."""
    told = list(_setting_up(bins))
    days = -(-(count - len(told)) // 10)
    told += [body for day in range(days) for body in _day(day, bins)]
    step = dt.timedelta(days=1) / 10
    return dated(told[:count], NOW - dt.timedelta(hours=1) - step * count, step)


def large_farm(bins: int, tubs: int) -> Farm:
    """Give a farm with tubs that all stand on one shelf."""
    told: list[Slots] = list(_setting_up(bins))
    for number in range(tubs):
        told.append({"kind": "tray_in", "bin": f"B{number % bins + 1}"})
        told.append({"kind": "tray_out", "bin": f"B{number % bins + 1}", "place": "lamp shelf"})
    return fold(dated(told, NOW - dt.timedelta(days=5), dt.timedelta(seconds=1)))


def dated(told: Sequence[Slots], start: dt.datetime, step: dt.timedelta) -> list[Event]:
    """Make events of what was told, a step between each two."""
    events = []
    for number, body in enumerate(told, start=1):
        at = start + step * number
        kind, slots = str(body["kind"]), {name: value for name, value in body.items() if name != "kind"}
        events.append(Event(number=number, said_at=at, happened_at=at, by="Noor", body=codec.body_of(kind, slots)))
    return events
