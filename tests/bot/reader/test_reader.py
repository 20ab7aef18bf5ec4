"""The reader on tables of messages, on a clock that changes, on farms that are renamed, and on any text at all."""

import datetime as dt
import time
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from bot.ports.intents import ASK, HELP
from bot.reader.reader import Reader
from core.farm.farm import Bin, Farm, Place, Settings, Tub, Tubs
from core.journal.codec import RECORDS
from core.journal.event import Event
from core.journal.facts import Dead, Fed, Hatch, Mold, Reading, TrayIn, TrayOut, Watered
from core.units import TemperatureUnit
from tests.bot.reader import tables
from tests.bot.reader.farms import NOW, enebro_hueco, juniper_hollow

READER = Reader()
FARM = juniper_hollow()
NEW = Farm(settings=Settings(timezone="America/Chicago"))
FARMS = {"new_farm": NEW} | {n: enebro_hueco() for n in tables.names() if n.startswith("es_")}
CASES = [(name, *case) for name in tables.names() for case in tables.cases(name)]


def intents(text, *, at=NOW, farm=FARM, language="en"):
    return READER.read(text, at=at, farm=farm, language=language).intents


def said(body, *, farm=FARM):
    return replace(farm, last_said=(Event(number=41, said_at=NOW, happened_at=NOW, by="Ines", message="m", body=body),))


@pytest.mark.parametrize(
    ("name", "text", "at", "expected"), CASES, ids=[f"{n} {c[1][:50]}" for n, c in enumerate(CASES)]
)
def test_a_message_means_what_the_table_says(name, text, at, expected):
    got = intents(text, at=at, farm=FARMS.get(name, FARM), language=tables.language_of(name))

    assert len(got) == len(expected), got
    assert all(tables.agrees(g, e, at) for g, e in zip(got, expected, strict=True)), got


def test_the_tables_are_there():
    assert len(CASES) > 400


@pytest.mark.parametrize(
    ("said_at", "text", "happened"),
    [
        ("2026-03-08T09:00-05:00", "watered T10 at 1:30am", "2026-03-08T01:30-06:00"),
        ("2026-03-08T09:00-05:00", "watered T10 8 hours ago", "2026-03-08T00:00-06:00"),
        ("2026-03-08T09:00-05:00", "watered T10 at 2:30 am", "2026-03-08T03:30-05:00"),
        ("2026-03-08T18:00-05:00", "watered T10 yesterday", "2026-03-07T18:00-06:00"),
        ("2026-11-01T09:00-06:00", "watered T10 8 hours ago", "2026-11-01T01:00-06:00"),
        ("2026-11-01T09:00-06:00", "watered T10 9 hours ago", "2026-11-01T01:00-05:00"),
        ("2026-11-01T09:00-06:00", "watered T10 yesterday at 9am", "2026-10-31T09:00-05:00"),
        ("2026-11-01T01:45-05:00", "watered T10 15 min ago", "2026-11-01T01:30-05:00"),
    ],
)
def test_times_are_right_across_a_change_of_clocks(said_at, text, happened):
    at = dt.datetime.fromisoformat(said_at).astimezone(ZoneInfo("America/Chicago"))

    (intent,) = intents(text, at=at)

    assert intent.at.astimezone(dt.UTC) == dt.datetime.fromisoformat(happened).astimezone(dt.UTC)


def test_a_reminder_for_tomorrow_keeps_the_hour_on_the_wall_across_a_change_of_clocks():
    at = dt.datetime(2026, 4, 4, 20, 0, tzinfo=ZoneInfo("Australia/Lord_Howe"))

    (intent,) = intents("remind me tomorrow at 8am to sweep", at=at)

    assert intent.slots["when"].isoformat() == "2026-04-05T08:00:00+10:30"


def test_a_new_name_is_understood_at_once():
    renamed = replace(FARM, bins={**FARM.bins, "B6": Bin(name="B6", nickname="nursery")})

    (intent,) = intents("cleaned the nursery", farm=renamed)

    assert intent.slots == {"bins": ["B6"]}


def test_an_earlier_name_and_every_nickname_are_still_understood():
    renamed = replace(FARM, aliases={"old shelf": "heat closet", "nursery": "B6", "breeders": "B6", "first one": "T10"})

    assert intents("old shelf 88", farm=renamed)[0].slots["place"] == "heat closet"
    assert intents("fed the nursery", farm=renamed)[0].slots == {"bins": ["B6"]}
    assert intents("fed the breeders", farm=renamed)[0].slots == {"bins": ["B6"]}
    assert intents("watered the first one", farm=renamed)[0].slots == {"tubs": ["T10"]}


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("took 200 out of bin 4", ["harvested", "dead", "moved"]),
        ("30 gone from bin 1", ["harvested", "dead", "moved"]),
        ("put 300 in bin 6", ["stocked", "moved"]),
        ("T10 is empty", ["discarded", "hatch"]),
        ("did T11", ["watered", "hatch"]),
    ],
)
def test_words_that_may_be_two_things_are_left_to_the_person(text, kinds):
    found = READER.read(text, at=NOW, farm=FARM)

    assert found.intents == ()
    assert [i.kind for i in found.alternatives] == kinds


def test_a_place_may_be_called_anything():
    farm = replace(FARM, places={"Rack 2": Place(name="Rack 2"), "Noor's nook": Place(name="Noor's nook")})

    assert intents("rack two is 88", farm=farm)[0].slots == {"place": "Rack 2", "temp_c": 31.1}
    assert intents("noor's nook 84", farm=farm)[0].slots == {"place": "Noor's nook", "temp_c": 28.9}


def test_a_bare_figure_is_in_the_unit_that_makes_sense():
    metric = juniper_hollow(TemperatureUnit.CELSIUS)

    assert intents("heat closet 31")[0].slots["temp_c"] == 31.0
    assert intents("heat closet 88")[0].slots["temp_c"] == 31.1
    assert intents("heat closet 31", farm=metric)[0].slots["temp_c"] == 31.0
    assert intents("heat closet 88", farm=metric)[0].slots["temp_c"] == 31.1


def test_a_slash_command_reads_like_its_word():
    assert intents("/due@ovi_bot") == intents("due")
    assert intents("/help")[0].kind == "help"


def test_watered_alone_means_what_the_reminder_asked_for():
    asked = replace(FARM.asked[40], chore="water", place="back porch", tubs=("T13",))

    (intent,) = intents("watered", farm=replace(FARM, asked={40: asked}))

    assert intent.slots == {"place": "back porch"}


def test_a_correction_has_the_slot_names_of_what_was_said_last():
    assert intents("no, bin 3", farm=said(TrayIn(bin="B5")))[0].slots == {"bin": "B3"}
    assert intents("no, 91", farm=said(Reading(place="heat closet", temp_c=20.0)))[0].slots == {"temp_c": 32.8}
    assert intents("I meant the cellar room", farm=said(Reading(place="heat closet", temp_c=20.0)))[0].slots == {
        "place": "cellar room"
    }


@pytest.mark.parametrize(
    ("before", "text", "kind", "slots"),
    [
        (Mold(tubs=("T12",), removed=False), "took it out", "mold", {"tubs": ["T12"], "removed": True}),
        (Mold(tubs=("T12",), removed=False), "removed", "mold", {"tubs": ["T12"], "removed": True}),
        (Mold(tubs=("T12",), removed=False), "and T10 too", "mold", {"tubs": ["T10"], "removed": False}),
        (Hatch(tub="T13"), "tipped them into bin 6", "stocked", {"bin": "B6", "tubs": ["T13"]}),
        (Hatch(tub="T13"), "T10 too", "hatch", {"tub": "T10"}),
        (Watered(tubs=("T10",)), "and 11 and 12 too", "watered", {"tubs": ["T11", "T12"]}),
        (Watered(place="heat closet"), "same for the porch", "watered", {"place": "back porch"}),
        (Dead(bin="B1", count=30), "and bin 3 too", "dead", {"bin": "B3"}),
        (Fed(bins=("B1",), feed="carrots"), "bin 5 as well", "fed", {"bins": ["B5"], "feed": "carrots"}),
    ],
)
def test_a_message_goes_on_from_the_last_one(before, text, kind, slots):
    (intent,) = intents(text, farm=said(before))

    assert (intent.kind, intent.slots) == (kind, slots)


@pytest.mark.parametrize("text", ["and you too", "same here", "same to you", "too", "me too", "and 50 too"])
def test_small_talk_does_not_go_on_from_the_last_message(text):
    assert intents(text, farm=said(Watered(tubs=("T10",)))) == ()


def test_it_is_the_tub_of_the_tray_that_was_pulled_last():
    tub = Tub(name="T14", known_since=NOW, told_at=NOW, bin="B2", pulled_at=NOW)
    farm = said(TrayOut(bin="B2"), farm=replace(FARM, tubs=Tubs({**FARM.tubs, "T14": tub})))

    (intent,) = intents("it's on the top shelf", farm=farm)

    assert intent.kind == "placed"
    assert intent.slots == {"tubs": ["T14"], "place": "top shelf"}


def test_farm_talk_that_says_nothing_to_record_is_kept_and_small_talk_is_not():
    assert READER.read("the thing in tub 11 went weird", at=NOW, farm=FARM).is_farm_talk
    assert not READER.read("what a lovely evening", at=NOW, farm=FARM).is_farm_talk
    assert not READER.read("bin 5 isn't chirping yet", at=NOW, farm=FARM).is_farm_talk


@pytest.mark.parametrize(
    ("slot", "text", "value"),
    [
        ("bin", "3", "B3"),
        ("bin", "bin three", "B3"),
        ("bin", "number 3", "B3"),
        ("bin", "the second one", "B5"),
        ("bin", "bin 3 is chirping", None),
        ("tubs", "T10 and T12", ["T10", "T12"]),
        ("tubs", "11", ["T11"]),
        ("tub", "tub 11", "T11"),
        ("place", "the heat closet", "heat closet"),
        ("place", "porch", "back porch"),
        ("place", "in the attic", "attic"),
        ("place", "attic 50 to 80", None),
        ("place", "thanks", None),
        ("place", "pulled the tray", None),
        ("temp_c", "88", 31.1),
        ("count", "about two dozen", 24),
        ("size", "1/2 inch", "1/2in"),
        ("due", "tomorrow", dt.date(2026, 3, 5)),
        ("when", "friday 5pm", dt.datetime(2026, 3, 6, 17, tzinfo=NOW.tzinfo)),
        ("to", "7am and 6pm", "07:00,18:00"),
        ("to", "celsius", "C"),
        ("item", "chick starter", "chick starter"),
        ("text", "buy coir", "buy coir"),
    ],
)
def test_an_answer_fills_the_slot_that_was_asked_for(slot, text, value):
    assert READER.answer(text, slot=slot, farm=FARM, at=NOW, candidates=("B3", "B5")) == value


@given(st.text(max_size=300), st.sampled_from(("en", "es")))
@settings(max_examples=200, deadline=None)
def test_no_text_makes_the_reader_raise(text, language):
    assert {intent.kind for intent in intents(text, language=language)} <= KINDS


KINDS = {*RECORDS, ASK, HELP}
_MARKS = list("0123456789/:.,-$%#@?!¿¡½\n\u200f\u202e☹٣²'\"")


def _bits(language):
    words = sorted({word for case in CASES if tables.language_of(case[0]) == language for word in case[1].split()})
    return st.tuples(
        st.just(language), st.lists(st.one_of(st.sampled_from(words), st.sampled_from(_MARKS)), max_size=25)
    )


@given(
    st.one_of(_bits("en"), _bits("es")),
    st.sampled_from(("bin", "tubs", "place", "due", "when", "count", "to", "text", "rh")),
)
@settings(max_examples=400, deadline=None)
def test_no_jumble_of_farm_words_makes_the_reader_raise(said, slot):
    language, bits = said
    text = " ".join(bits)

    assert {intent.kind for intent in intents(text, language=language)} <= KINDS
    READER.answer(text, slot=slot, farm=FARM, at=NOW, language=language)


@given(
    st.sampled_from([c for c in CASES if c[0] != "new_farm" and tables.language_of(c[0]) == "en"]), st.integers(20, 900)
)
@settings(max_examples=80, deadline=None)
def test_a_tub_with_another_number_is_read_the_same(case, number):
    _, text, at, expected = case
    if "T10" not in text or not expected or "T10" not in str(expected):
        return
    new = f"T{number}"
    tubs = {new if n == "T10" else n: replace(t, name=new) if n == "T10" else t for n, t in FARM.tubs.items()}

    got = intents(text.replace("T10", new), at=at, farm=replace(FARM, tubs=Tubs(tubs)))

    assert [i.kind for i in got] == [e["kind"] for e in expected]


@pytest.mark.parametrize(
    "flood", ["a" * 4096, "1 " * 2000, "T5 " * 1400, "and " * 1000, "watered t5 and " * 270, "½" * 90]
)
def test_a_flood_is_read_quickly(flood):
    started = time.perf_counter()

    READER.read(flood, at=NOW, farm=FARM)

    assert time.perf_counter() - started < 10  # what grows with the square would take minutes
