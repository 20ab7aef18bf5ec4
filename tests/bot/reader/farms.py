"""A farm of our own that reader tests read messages on."""

import datetime as dt
from zoneinfo import ZoneInfo

from msgspec.structs import replace

from core.farm.farm import AskedChore, Bin, Farm, Person, Place, Settings, Tray, Tub, Tubs
from core.farm.orders import CustomerOrder, Orders
from core.journal.event import Event
from core.journal.facts import Watered
from core.journal.kinds import Chore, Holds, Role
from core.units import SizeGrade, TemperatureUnit

ZONE = ZoneInfo("America/Chicago")
NOW = dt.datetime(2026, 3, 4, 14, 30, tzinfo=ZONE)  # a Wednesday; clocks go forward on Sunday the 8th


def _day(day: int, hour: int = 8, month: int = 2) -> dt.datetime:
    return dt.datetime(2026, month, day, hour, tzinfo=ZONE)


def _tub(name: str, house: str, pulled_on: int, place: str, *, covered: bool = False) -> Tub:
    at = _day(pulled_on)
    return Tub(
        name=name,
        known_since=at,
        told_at=at,
        bin=house,
        pulled_at=at,
        place=place,
        placements=((at, place),),
        is_covered=covered,
    )


def enebro_hueco() -> Farm:
    """The same farm of people who speak Spanish: degrees Celsius, and places with Spanish names."""
    farm = juniper_hollow(TemperatureUnit.CELSIUS)
    names = dict(zip(farm.places, ("estante de la lámpara", "cuarto húmedo", "porche"), strict=True))
    return replace(
        farm,
        places={names[p.name]: replace(p, name=names[p.name]) for p in farm.places.values()},
        tubs=Tubs({t.name: replace(t, place=names[t.place]) for t in farm.tubs.values() if t.place}),
        asked={n: replace(a, place=names[a.place]) for n, a in farm.asked.items() if a.place},
    )


def juniper_hollow(units: TemperatureUnit = TemperatureUnit.FAHRENHEIT) -> Farm:
    """Six bins, four tubs, three places; bin 2 has a tray in it; the mold check was asked for last."""
    bins = (
        Bin(name="B1", holds=Holds.NYMPHS, count=1800),
        Bin(name="B2", holds=Holds.ADULTS, chirped_at=_day(2), tray=Tray(put_in_at=_day(3, month=3))),
        Bin(name="B3", holds=Holds.ADULTS, chirped_at=_day(10)),
        Bin(name="B4", holds=Holds.PINHEADS, count=2400),
        Bin(name="B5", holds=Holds.NYMPHS, count=900),
        Bin(name="B6"),
    )
    tubs = (
        _tub("T10", "B2", 22, "heat closet"),
        _tub("T11", "B3", 24, "cellar room"),
        _tub("T12", "B2", 26, "heat closet", covered=True),
        _tub("T13", "B3", 18, "back porch"),
    )
    asked = AskedChore(
        number=40,
        at=_day(4, 13, 3),
        chore=Chore.MOLD_CHECK,
        due=_day(4, 13, 3),
        step=0,
        bin=None,
        place="heat closet",
        tubs=("T12",),
    )
    said = Event(
        number=39,
        said_at=_day(4, 14, 3),
        happened_at=_day(4, 14, 3),
        by="Ines",
        message="m39",
        body=Watered(tubs=("T10",)),
    )
    return Farm(
        name="Juniper Hollow",
        settings=Settings(units=units, timezone="America/Chicago"),
        people={n: Person(name=n, role=Role.HAND) for n in ("Ines", "Walt")},
        places={
            "heat closet": Place(name="heat closet", lamp=True),
            "cellar room": Place(name="cellar room", humidifier=True),
            "back porch": Place(name="back porch"),
        },
        bins={b.name: b for b in bins},
        tubs=Tubs({t.name: t for t in tubs}),
        asked={40: asked},
        orders=Orders(
            (
                CustomerOrder(
                    number=1, who="Rio Herps", count=800, size=SizeGrade.QUARTER, due=dt.date(2026, 3, 10), every=None
                ),
                CustomerOrder(
                    number=2, who="Dana", count=300, size=SizeGrade.ADULT, due=dt.date(2026, 3, 7), every=None
                ),
            )
        ),
        stock=("laying mash", "coir bricks"),
        last_said=(said,),
        last_number=40,
    )
