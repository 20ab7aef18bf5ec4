"""A farm that begins in mid-season."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.farm.opening import OpeningError, opening_events
from core.journal import facts
from core.journal.kinds import Chore, Holds, Role
from core.units import SizeGrade, TemperatureUnit
from tests.builders import at

DESCRIPTION = {
    "name": "Cricket Bend",
    "timezone": "America/Denver",
    "units": "C",
    "now": "2026-06-20T09:00-06:00",
    "people": [{"name": "Ines", "role": "owner"}, {"name": "Omar", "role": "hand"}],
    "places": [{"name": "lamp shelf", "lamp": True, "humidifier": False}, {"name": "attic"}],
    "bins": [
        {"name": "B1", "holds": "adults", "chirp": "2026-06-01T20:00-06:00", "tray_in": "2026-06-19T18:00-06:00"},
        {"name": "B2", "holds": "adults"},
        {"name": "B3", "holds": "nymphs", "hatched": "2026-05-11", "from": ["T1"], "count": 900},
        {"name": "B4"},
    ],
    "tubs": [
        {"name": "T2", "from": "B1", "pulled": "2026-06-12T08:00", "place": "lamp shelf", "covered": True},
        {"name": "T3", "place": "attic", "covered": True},
        {"name": "T4"},
    ],
    "orders": [{"who": "Pet shop", "count": 300, "size": "1/2in", "due": "2026-07-01"}],
    "stock": [{"item": "coir", "count": 2}],
    "last_chore_asked": "mold_check",
    "last_note": {"kind": "mold", "place": "lamp shelf", "removed": True, "at": "2026-06-20T08:40-06:00"},
}


@pytest.fixture(scope="module")
def farm():
    return fold(opening_events(DESCRIPTION))


def test_the_farm_its_people_and_places(farm):
    assert (farm.name, farm.settings.timezone, farm.settings.units) == (
        "Cricket Bend", "America/Denver", TemperatureUnit.CELSIUS,
    )  # fmt: skip
    assert {p.name: p.role for p in farm.people.values()} == {"Ines": Role.OWNER, "Omar": Role.HAND}
    assert {p.name: p.lamp for p in farm.places.values()} == {"lamp shelf": True, "attic": None}


def test_bins_hold_what_is_told(farm):
    assert [farm.bins[name].holds for name in ("B1", "B2", "B3", "B4")] == [
        Holds.ADULTS, Holds.ADULTS, Holds.PINHEADS, Holds.NOTHING,
    ]  # fmt: skip
    assert (farm.bins["B1"].chirped_at, farm.bins["B1"].tray.put_in_at) == (at("06-01 20:00"), at("06-19 18:00"))
    assert (farm.bins["B3"].count, farm.bins["B3"].from_tubs) == (900, ("T1",))


def test_tubs_stand_where_and_as_it_is_told(farm):
    assert [(t.bin, t.pulled_at, t.place, t.is_covered) for t in farm.tubs.values()] == [
        ("B1", at("06-12 08:00"), "lamp shelf", True),
        (None, None, "attic", True),
        (None, None, None, False),
    ]
    assert farm.next_tub == "T5"


def test_orders_and_stock(farm):
    assert [(o.who, o.size, o.due) for o in farm.orders] == [("Pet shop", SizeGrade.HALF, dt.date(2026, 7, 1))]
    assert farm.stock == ("coir",)


def test_the_last_reminder_and_the_last_note(farm):
    assert (farm.last_asked.chore, farm.last_asked.place) == (Chore.MOLD_CHECK, "lamp shelf")
    assert [(e.body, e.by, e.happened_at) for e in farm.last_said] == [
        (facts.Mold(place="lamp shelf", removed=True), "Ines", at("06-20 08:40"))
    ]


def test_all_is_said_at_the_time_of_the_description():
    events = opening_events(DESCRIPTION)

    assert {e.said_at for e in events} == {at("06-20 09:00")}
    assert [e.number for e in events] == list(range(1, len(events) + 1))


def test_little_is_enough():
    assert opening_events({"now": "2026-06-20T09:00Z"}) == ()


def test_a_time_without_an_offset_is_on_the_farms_clocks():
    events = opening_events({"now": "2026-06-20T09:00", "timezone": "Australia/Lord_Howe"})

    assert events[0].said_at == at("06-20 09:00", "Australia/Lord_Howe")


def test_who_said_the_last_note_may_be_told_or_unknown():
    note = {"kind": "remark", "text": "rain"}

    told, unknown = (
        opening_events({"now": "2026-06-20T09:00Z", "last_note": n}) for n in ({**note, "by": "Omar"}, note)
    )

    assert [told[-1].by, unknown[-1].by] == ["Omar", "somebody"]


@pytest.mark.parametrize(
    "wrong",
    [
        pytest.param({"now": "soon"}, id="no time"),
        pytest.param({"now": None}, id="no time at all"),
        pytest.param({"timezone": "Mars/Olympus"}, id="no such zone"),
        pytest.param({"units": "K"}, id="no such unit"),
        pytest.param({"name": 5}, id="a name that is a number"),
        pytest.param({"people": ["Ines"]}, id="people that are words"),
        pytest.param({"people": [{"name": "Ines", "role": "king"}]}, id="no such role"),
        pytest.param({"places": [{"name": "attic", "heated": True}]}, id="an unknown field"),
        pytest.param({"bins": [{"holds": "adults"}]}, id="a bin without a name"),
        pytest.param({"tubs": ["T1"]}, id="tubs that are words"),
        pytest.param({"tubs": [{"name": "T1", "from": "B1", "pulled": "spring"}]}, id="a date that is none"),
        pytest.param({"orders": [{"who": "Pet shop"}]}, id="an order for nothing"),
        pytest.param({"last_chore_asked": "sing"}, id="no such chore"),
        pytest.param({"last_note": {"kind": "sang"}}, id="no such kind"),
        pytest.param({"now": "0001-01-01T00:00Z", "people": [{"name": "Ines", "role": "owner"}]}, id="before all time"),
    ],
)
def test_a_description_of_another_form_is_refused(wrong):
    with pytest.raises(OpeningError):
        opening_events({**DESCRIPTION, **wrong})
