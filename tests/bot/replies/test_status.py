"""How things stand."""

import datetime as dt

import pytest

from bot.ports.messages import plain
from bot.replies import status
from bot.replies.voice import Voice
from core.farm.farm import Tray
from core.journal.kinds import Holds, MoldLevel
from core.rules.forecasts import forecasts
from core.units import SizeGrade
from tests.builders import NOON, a_bin, a_climate, a_farm, a_place, a_tub, at

PULLED = NOON - dt.timedelta(days=2)


def voice_of(farm):
    return Voice(farm, NOON)


def of_bin(**fields):
    house = a_bin("B1", **fields)
    return plain(status.bin_status(voice_of(a_farm(house)), house)).split("\n")


def of_tub(*things, **fields):
    tub = a_tub("T1", **({"pulled_at": PULLED} | fields))
    farm = a_farm(tub, *things)
    return plain(status.tub_status(voice_of(farm), tub, forecasts(farm))).split("\n")


def test_a_bin_tells_all_that_is_known_of_it():
    lines = of_bin(
        holds=Holds.NYMPHS,
        count=1200,
        size=SizeGrade.QUARTER,
        hatched_at=at("04-10 09:00"),
        readings=(a_climate(temp_c=31.1, rh=60.0),),
        watered_at=at("05-04 08:00"),
        fed_at=at("05-03 08:00"),
    )

    assert lines == [
        "Bin 1: growing crickets, about 1,200.",
        "Hatched Fri Apr 10.",
        "Mostly 1/4 in.",
        "By my count of its warm days: 3/8 in, an estimate.",
        "Most will have wings about Wed May 20 (May 10 to Jun 3).",
        "Last reading 88°F, 60 % humidity, 12 pm.",
        "Watered 8 am.",
        "Fed Sun May 3 8 am.",
    ]


@pytest.mark.parametrize(
    ("hours", "told"),
    [
        (4, "Lay tray in since 8 am; pull it Tue May 5 8 am."),
        (28, "Lay tray in since Sun May 3 8 am; it is time to pull it."),
    ],
)
def test_a_tray_says_when_to_pull_it(hours, told):
    put_in_at = NOON - dt.timedelta(hours=hours)

    assert told in of_bin(holds=Holds.ADULTS, tray=Tray(put_in_at=put_in_at), tray_in_at=put_in_at)


def test_a_chirping_bin_says_when_its_tray_goes_in():
    lines = of_bin(holds=Holds.ADULTS, chirped_at=at("05-01 08:00"))

    assert lines == ["Bin 1: adults.", "Chirping since Fri May 1.", "Lay tray: Fri May 15 to Fri May 22."]


def test_a_bin_of_which_nothing_was_said():
    assert of_bin() == ["Bin 1: nothing known inside."]


def test_a_tub_tells_where_it_stands_and_how_it_does():
    lines = of_tub(
        a_place("garage"), place="garage", is_covered=True, watered_at=at("05-04 07:00"), dry_at=at("05-04 11:00"),
        mold_at=at("05-04 11:30"), mold_level=MoldLevel.SOME,
    )  # fmt: skip

    assert lines[0] == "Tub 1: in the garage, covered."
    assert lines[1] == "From bin 1, pulled Sat May 2 at 12 pm."
    assert lines[-4:] == ["Watered 7 am.", "Wants water now.", "Mold seen 11:30 am.", "Found dry 11 am."]


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        pytest.param({}, "Wants water about 10 pm.", id="on an open rack"),
        pytest.param({"is_covered": True}, "Wants water about Tue May 12.", id="covered"),
        pytest.param({"watered_at": NOON - dt.timedelta(days=2)}, "Wants water now.", id="long ago"),
    ],
)
def test_a_tub_says_when_it_wants_water_again(fields, told):
    assert told in of_tub(a_place("rack"), **({"place": "rack", "watered_at": at("05-03 22:00")} | fields))


def test_a_tub_that_keeps_damp_where_it_stands_says_nothing_of_water():
    humid = a_place("humid room", humidifier=True)

    assert not [line for line in of_tub(humid, place="humid room") if "water" in line]


def test_a_tub_that_nobody_placed():
    assert of_tub()[0] == "Tub 1: place unknown, uncovered."


def test_a_place_names_its_tubs_with_their_days():
    place = a_place(lamp=True)
    farm = a_farm(place, a_tub("T1", PULLED, place="lamp shelf"), a_tub("T2", PULLED, place="lamp shelf"))

    lines = plain(status.place_status(voice_of(farm), place, forecasts(farm))).split("\n")

    assert lines[:2] == ["Lamp shelf: tubs 1 and 2.", "No reading on the lamp shelf yet. I assume about 86°F."]
    assert [line[:5] for line in lines[2:]] == ["Tub 1", "Tub 2"]


def climate(farm, **asked):
    return plain(status.climate(voice_of(farm), **({"place": None, "bin_": None, "tub": None} | asked)))


def test_the_last_reading_of_a_place_a_bin_a_tub_or_all():
    read = a_climate(at("05-04 08:00"), temp_c=31.1, rh=70.0)
    farm = a_farm(
        a_place(readings=(a_climate(PULLED), read)), a_place("garage"), a_bin("B1", readings=(read,)),
        a_tub("T1", place="lamp shelf"), a_tub("T2", readings=(read,)), a_tub("T3"),
    )  # fmt: skip
    told = "88°F, 70 % humidity, 8 am."

    assert climate(farm, place="lamp shelf") == f"Lamp shelf: {told}"
    assert climate(farm, bin_="B1") == f"Bin 1: {told}"
    assert climate(farm, tub="T2") == f"Tub 2: {told}"
    assert climate(farm, tub="T1") == f"Lamp shelf: {told}"
    assert climate(farm) == f"Lamp shelf: {told}"
    assert climate(farm, place="garage") == "No reading in the garage yet. I assume about 75°F."
    assert climate(farm, tub="T3") == "No reading of tub 3 yet."
    assert climate(a_farm()) == "No readings yet. Say it like: lamp shelf 88, 55 %."
    assert climate(a_farm(a_bin("B1")), bin_="B1") == "No reading of bin 1 yet."
