"""Every kind of record is restated in a line that a person can read at a glance."""

import datetime as dt

import pytest
from msgspec.structs import replace

from bot.ports.messages import BOLD_ON, plain
from bot.replies.recorded import recorded_line
from bot.replies.voice import Voice
from core.journal import codec, facts
from tests.bot.replies import records
from tests.builders import NOON, an_event, at

EXAMPLES = [
    pytest.param(body, id=f"{codec.kind_of(body)}-{number}")
    for number, body in enumerate((*records.FACTS, *records.WANTS, *records.MORE))
]


def restated(body, **fields):
    farm = records.the_farm()
    return plain(recorded_line(Voice(farm, NOON), farm, an_event(body, **fields)))


def test_there_is_an_example_of_each_kind():
    kinds = {codec.kind_of(body) for body in (*records.FACTS, *records.WANTS, *records.UNTOLD)}

    assert kinds == set(codec.RECORDS)


@pytest.mark.parametrize("body", EXAMPLES)
def test_a_record_is_restated_in_one_plain_line(body):
    line = restated(body)

    assert line.endswith(".") or isinstance(body, facts.Remark)
    assert not set(line) & set("{}_\n!")
    assert "  " not in line
    assert not any(bad in line for bad in (" ,", " .", ": .", ",,", "..", "None", ": ,"))
    assert line[0].isupper() or line[0].isdigit()


@pytest.mark.parametrize("body", records.UNTOLD, ids=codec.kind_of)
def test_what_is_told_by_what_it_changes_has_no_line_of_its_own(body):
    assert restated(body) == ""


@pytest.mark.parametrize(
    ("body", "line"),
    [
        (facts.Chirp(bin="B1"), "Bin 1: first chirp."),
        (facts.TrayIn(bin="B2", container="salad tub", substrate="peat"), "Bin 2: lay tray in, salad tub, with peat."),
        (records.FACTS[2], "Tub 9: pulled from bin 1 after 24 h, many eggs, covered, on the lamp shelf."),
        (facts.Placed(tubs=("T1", "T2"), place="garage"), "Tubs 1 and 2: now in the garage."),
        (facts.Reading(place="garage", low_c=10.0, high_c=26.7, rh=55.0), "Garage: 50°F to 80°F, 55 % humidity."),
        (facts.Watered(place="lamp shelf"), "Tubs on the lamp shelf: watered."),
        (facts.Watered(all=True), "All tubs: watered."),
        (facts.Hatch(tub="T1", count=400), "Tub 1: about 400 pinheads seen."),
        (facts.Mold(tubs=("T1",), removed=True), "Tub 1: mold taken out."),
        (facts.Moved(from_="B1", to="B2"), "Bin 1: crickets moved to bin 2."),
        (facts.Bought(item="peat", count=2, price=12.5), "Peat: bought 2, for 12.50 USD."),
        (facts.Remark(text="the fan is loud"), "Noted: the fan is loud"),
    ],
    ids=str,
)
def test_the_line_says_what_was_said(body, line):
    assert restated(body) == line


def test_the_time_is_told_where_it_was_not_just_now():
    chirp = facts.Chirp(bin="B1")

    assert restated(chirp, happened_at=at("05-03 17:00"), said_at=NOON) == "Bin 1: first chirp, Sun May 3 5 pm."
    assert restated(chirp, happened_at=NOON - dt.timedelta(minutes=1), said_at=NOON) == "Bin 1: first chirp."


def test_the_subject_is_bold():
    farm = records.the_farm()

    assert recorded_line(Voice(farm, NOON), farm, an_event()).startswith(BOLD_ON)


def test_words_of_a_person_are_never_taken_for_fields():
    braces = replace(records.FACTS[-1], text="{subject} {0} {")

    assert restated(braces) == "Noted: {subject} {0} {"
