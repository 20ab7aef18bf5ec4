"""What follows from what was written down."""

import datetime as dt

import pytest

from bot.ports.messages import plain
from bot.replies import next_steps
from bot.replies.voice import Voice
from core.farm.farm import Tray
from core.journal import facts
from core.journal.kinds import HatchStage
from core.rules.cautions import Caution, Concern, Safety
from core.rules.forecasts import forecasts
from core.units import TemperatureUnit
from tests.builders import NOON, a_bin, a_climate, a_farm, a_place, a_tub, an_event, at, settings

PULLED = NOON - dt.timedelta(hours=1)


def steps(body, *things, before=None, now=NOON, **fields):
    farm = a_farm(*things, **fields)
    earlier = forecasts(before if before is not None else farm)
    return [
        plain(line) for line in next_steps.next_steps(Voice(farm, now), farm, an_event(body), earlier, forecasts(farm))
    ]


def test_a_chirp_says_when_to_look_and_when_the_tray_goes_in():
    assert steps(facts.Chirp(bin="B1"), a_bin("B1", chirped_at=NOON)) == [
        "The males are grown; the females need a little longer.",
        "Mon May 11: I'll ask you to look in.",
        "Mon May 18 to Mon May 25: lay tray.",
    ]


def test_a_chirp_told_late_leaves_out_what_is_past():
    chirp = a_bin("B1", chirped_at=at("04-24 12:00"))

    assert steps(facts.Chirp(bin="B1"), chirp) == ["Fri May 8 to Fri May 15: lay tray."]


def test_a_tray_says_when_it_is_asked_for_and_how_warm_to_keep_the_bin():
    house = a_bin("B1", tray_in_at=NOON, tray=Tray(put_in_at=NOON))

    assert steps(facts.TrayIn(bin="B1"), house) == [
        "I'll ask you to pull it Tue May 5 at 12 pm.",
        "Keep the bin at 80 to 90°F while they lay.",
    ]
    metric = {"settings": settings(units=TemperatureUnit.CELSIUS)}
    assert steps(facts.TrayIn(bin="B1"), house, **metric)[-1] == "Keep the bin at 27 to 32°C while they lay."


@pytest.mark.parametrize(
    ("place", "fields", "care"),
    [
        (a_place(lamp=True), {}, "It dries fast there: I'll ask you to water at 7 am and 6 pm."),
        (a_place("humid room", humidifier=True), {}, "Humid enough to go without daily water: look in when you pass."),
        (a_place("rack"), {}, "I'll ask you to water at 7 am."),
        (
            a_place("rack"),
            {"is_covered": True},
            "Covered: look under it daily and take mold out. I'll ask at 7 am.",
        ),
    ],
)
def test_a_tub_in_a_place_has_its_hatch_and_its_care(place, fields, care):
    body = facts.Placed(tubs=("T1",), place=place.name)

    lines = steps(body, place, a_tub("T1", PULLED, place=place.name, **fields))

    assert lines[0].startswith("Pinheads about ")
    assert lines[1].startswith("I assume about ")
    assert lines[2:] == [care]


def test_several_tubs_have_a_line_each_and_one_care():
    tubs = [a_tub(name, PULLED, place="lamp shelf") for name in ("T1", "T2")]

    lines = steps(facts.Placed(tubs=("T1", "T2"), place="lamp shelf"), a_place(lamp=True), *tubs)

    assert [line.split(":")[0] for line in lines] == ["Tub 1", "Tub 2", "It dries fast there"]


def test_a_reading_tells_the_hatches_that_it_has_moved_and_no_other():
    tub = a_tub("T1", PULLED, place="rack")
    cool = a_farm(a_place("rack", readings=(a_climate(PULLED, temp_c=24.0),)), tub)
    body = facts.Reading(place="rack", temp_c=31.0)

    def read(temp_c):
        return steps(body, a_place("rack", readings=(a_climate(PULLED, temp_c=temp_c),)), tub, before=cool)

    assert [line.split(":")[0] for line in read(31.0)] == ["Tub 1"]
    assert read(24.1) == []
    assert read(5.0) == ["Tub 1: too cold to say. At about 41°F the eggs all but stand still."]


@pytest.mark.parametrize(
    ("body", "line"),
    [
        (facts.Mold(tubs=("T1",), removed=False), "Take it out with a spoon, let it air a while, water less."),
        (facts.Dry(tubs=("T1",)), "Water it now: eggs that dry out do not come back."),
        (facts.Hatch(tub="T1"), "More will follow for two or three days; keep it damp."),
        (facts.Hatch(tub="T1", stage=HatchStage.DONE), "No more reminders for this tub."),
        (facts.Discarded(tub="T1"), "No more reminders for it."),
    ],
    ids=str,
)
def test_what_is_seen_has_its_next_step(body, line):
    assert steps(body, a_tub("T1", PULLED))[-1] == line


@pytest.mark.parametrize("body", [facts.Mold(tubs=("T1",), removed=True), facts.Watered(all=True)], ids=str)
def test_most_things_need_no_advice(body):
    assert steps(body, a_tub("T1", PULLED)) == []


@pytest.mark.parametrize(
    ("caution", "told"),
    [
        (
            Caution(topic=Concern.COOL_BIN, subject="B1", figure=22.0),
            "Bin 1 is at 72°F; under 80°F they lay few eggs.",
        ),
        (
            Caution(topic=Concern.HOT_PLACE, subject="rack", figure=40.0),
            "104°F is too hot for eggs: over 95°F they die. Move them or raise the lamp.",
        ),
        (
            Caution(topic=Concern.DRY_AIR, subject="rack", figure=40.0),
            "40 % is dry for open tubs; under 70 % cover them or mist more often.",
        ),
    ],
)
def test_a_warning_has_its_figure_and_its_limit(caution, told):
    assert next_steps.warning_line(Voice(a_farm(), NOON), caution) == told


def test_a_long_lay_is_told_of_a_tray_that_is_out_and_of_one_that_is_in():
    long = Caution(topic=Concern.LONG_LAY, subject="B1", figure=50.0)

    assert "was in for 50 h" in next_steps.warning_line(Voice(a_farm(a_bin("B1")), NOON), long)
    still_in = a_farm(a_bin("B1", tray_in_at=at("05-02 10:00")))
    assert "has been in for 50 h: pull it now" in next_steps.warning_line(Voice(still_in, NOON), long)


@pytest.mark.parametrize("word", Safety)
@pytest.mark.parametrize("units", TemperatureUnit)
def test_every_safety_word_is_one_line_in_the_farms_units(word, units):
    line = next_steps.safety_line(Voice(a_farm(settings=settings(units=units)), NOON), word)

    assert line.endswith(".")
    assert "\n" not in line
    assert " ft" not in line or units is TemperatureUnit.FAHRENHEIT


def test_what_is_new_is_said():
    before = a_farm(a_bin("B1"))
    after = a_farm(a_bin("B1"), a_bin("B2"), a_tub("T1", None, known_since=NOON, told_at=NOON), a_tub("T2", PULLED))

    assert list(next_steps.created_lines(Voice(after, NOON), before, after)) == [
        "New bin: bin 2.",
        "New tub: tub 1. Tell me when it was pulled and I can say when it hatches.",
    ]
