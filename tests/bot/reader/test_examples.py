"""How much of the example messages is read rightly: no less than it was. And the scorer that says so."""

import msgspec
import pytest

from bot.ports.intents import ASK
from core.journal.codec import RECORDS
from tests.bot.reader import score, tables

# Kinds right, whole meaning, small talk left alone: what `python -m tests.bot.reader.score` measured, rounded down to a
# whole percent. They go up when the reader gets better, never down.
FLOORS = {
    ("worked", "en"): (0.96, 0.93, 0.95),
    ("held_back", "en"): (0.84, 0.80, 0.93),
    ("worked", "es"): (0.92, 0.89, 0.92),
    ("held_back", "es"): (0.92, 0.85, 1.0),
}
MARKS = {"kind", "at", "needs", "all"}  # what an intent may have beside the slots of its record
OF_QUESTIONS = {
    "topic",
    "bin",
    "tub",
    "place",
    "day",
    "days",
    "for",
    "count",
    "size",
    "who",
    "item",
    "of",
    "about",
    "every",
}
FILES = [path for part in score.PARTS for path in sorted((score.FOLDER / part).glob("*.txt"))]
SAMPLE = """\
# one read rightly, one with another place, one of another kind, one that says more, two of small talk
watered T10 => watered tubs=[T10]
heat closet 91 => reading place="cellar room" temp_c=32.8
bin 5 is chirping => adults bin=B5
watered T10 => watered tubs=[T10]; chirp bin=B1
nice evening => []
bin 1 is chirping => []
"""


def slots_of(kind):
    if kind == ASK:
        return OF_QUESTIONS
    records = RECORDS.values() if kind == "fix" else [RECORDS[kind]] if kind in RECORDS else []
    return {field.encode_name for record in records for field in msgspec.structs.fields(record)}


@pytest.fixture(scope="module")
def measured():
    return {(part, of): found for part in score.PARTS for of, found in score.measured(part).items()}


@pytest.mark.parametrize(("part", "language"), FLOORS)
def test_no_less_is_read_rightly_than_before(part, language, measured):
    got = score.shares(measured.get((part, language), []))

    short = [
        f"{name} {share:.1%}, was {floor:.1%}"
        for name, share, floor in zip(
            ("kinds", "whole", "small talk"),
            (got.kinds, got.whole, got.small_talk),
            FLOORS[part, language],
            strict=True,
        )
        if share < floor
    ]
    assert short == []


def test_all_that_is_measured_has_a_floor(measured):
    assert measured.keys() <= FLOORS.keys()


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_an_example_keeps_to_the_schema(path):
    wanted = [(text, intent) for text, _, intents in tables.in_file(path) for intent in intents]
    strange = [(text, intent) for text, intent in wanted if intent.keys() - MARKS - slots_of(intent["kind"])]
    kinds = {intent["kind"] for _, intent in wanted}

    assert strange == []
    assert kinds <= RECORDS.keys() | {ASK, "help", "fix"}


def test_what_is_held_back_stands_nowhere_else():
    said = {
        part: {case[0].casefold() for p in FILES if p.parent.name == part for case in tables.in_file(p)}
        for part in score.PARTS
    }
    shown = {case[0].casefold() for name in tables.names() for case in tables.cases(name)}

    assert said["held_back"] & (said["worked"] | shown) == set()


def test_the_scorer_counts_kinds_and_whole_meanings_and_small_talk(tmp_path):
    (tmp_path / "worked").mkdir()
    (tmp_path / "worked" / "sample.txt").write_text(SAMPLE, encoding="utf-8")
    (tmp_path / "worked" / "es_sample.txt").write_text("watered T10 => []\n", encoding="utf-8")

    found = score.measured("worked", tmp_path)

    assert found.keys() == {"en", "es"}
    assert score.shares(found["en"]) == score.Shares(messages=6, kinds=3 / 6, whole=2 / 6, small_talk=1 / 2)
    assert [miss.text for miss in score.misses(found["en"])] == [
        "bin 1 is chirping",
        "bin 5 is chirping",
        "watered T10",
        "heat closet 91",
    ]


def test_a_miss_is_shown_in_the_form_of_the_tables(tmp_path):
    (tmp_path / "worked").mkdir()
    (tmp_path / "worked" / "sample.txt").write_text(SAMPLE, encoding="utf-8")

    (*_, miss) = score.misses(score.measured("worked", tmp_path)["en"])

    assert score.shown(miss).splitlines() == [
        "  heat closet 91   (Wed Mar 04 14:30)",
        '    wanted  reading place="cellar room" temp_c=32.8',
        '    got     reading place="heat closet" temp_c=32.8',
    ]
