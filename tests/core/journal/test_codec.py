"""The journal's JSON form: what goes in comes out, and what is not known is refused."""

import datetime as dt
import json

import msgspec
import pytest

from core.journal import codec, facts, notices, wants
from core.journal.codec import Incomplete, UnknownVersionError
from core.journal.kinds import Chore, MoldLevel, Setting
from core.units import SizeGrade
from tests.builders import NOON

BODIES = [
    facts.TrayOut(bin="B1", tub="T4", place="lamp shelf", cover=False),
    facts.Moved(from_="B2", to="B3", count=400, size=SizeGrade.HALF),
    facts.Mold(tubs=("T1", "T2"), removed=True, level=MoldLevel.TRACE),
    facts.Reading(place="garage", low_c=10.0, high_c=26.5),
    wants.Order(who="Pet shop", count=500, size=SizeGrade.PINHEAD, due=dt.date(2026, 6, 1)),
    wants.Set(what=Setting.UNITS, to="C"),
    wants.Fix(of=3, slots={"bin": "B2", "tubs": ["T1"]}, at=NOON),
    wants.Snooze(until=NOON, of=(7, 8)),
    notices.Asked(chore=Chore.WATER, due=NOON, place="lamp shelf", tubs=("T1",)),
]


@pytest.mark.parametrize("body", BODIES, ids=codec.kind_of)
def test_a_body_comes_back_as_it_was_written(body):
    assert codec.decode(codec.encode(body)) == body


@pytest.mark.parametrize("body", BODIES, ids=codec.kind_of)
def test_a_body_comes_back_from_its_kind_and_slots(body):
    assert codec.body_of(codec.kind_of(body), codec.slots_of(body)) == body


def test_what_is_written_has_a_version_and_the_words_of_the_schema():
    stored = json.loads(codec.encode(facts.Moved(from_="B2", to="B3", count=400)))

    assert stored == {"v": 1, "body": {"kind": "moved", "from": "B2", "to": "B3", "count": 400}}


def test_slots_are_without_kind_and_without_what_was_not_said():
    assert codec.slots_of(facts.Covered(tubs=("T1",), on=False)) == {"tubs": ("T1",), "on": False}


def test_a_journal_of_a_later_version_is_refused():
    with pytest.raises(UnknownVersionError, match="version 2"):
        codec.decode('{"v": 2, "body": {"kind": "chirp", "bin": "B1"}}')


@pytest.mark.parametrize(
    "stored",
    [
        pytest.param('{"v": 1, "body": {"kind": "sang", "bin": "B1"}}', id="unknown kind"),
        pytest.param('{"v": 1, "body": {"kind": "chirp", "bin": "B1", "song": "long"}}', id="unknown slot"),
        pytest.param('{"v": 1, "body": {"kind": "chirp"}}', id="missing slot"),
        pytest.param('{"v": 1, "body": {"kind": "mold", "tubs": ["T1"], "removed": "yes"}}', id="wrong form"),
        pytest.param('{"v": 1, "body": {"kind": "snooze", "until": "2026-05-04T12:00"}}', id="time without zone"),
        pytest.param('{"body": {"kind": "chirp", "bin": "B1"}}', id="no version"),
    ],
)
def test_a_body_that_is_not_of_its_kinds_form_is_refused(stored):
    with pytest.raises(msgspec.ValidationError):
        codec.decode(stored)


def test_a_record_without_what_it_needs_names_the_slots():
    with pytest.raises(Incomplete, match="moved needs from, to") as caught:
        codec.body_of("moved", {"count": 3})

    assert caught.value.needs == ("from", "to")


def test_a_slot_that_the_kind_does_not_have_is_refused():
    with pytest.raises(msgspec.ValidationError):
        codec.body_of("chirp", {"bin": "B1", "tub": "T1"})


def test_every_kind_has_its_own_tag():
    assert len(codec.RECORDS) == 46
    assert {codec.RECORDS[tag].__struct_config__.tag for tag in codec.RECORDS} == set(codec.RECORDS)


def test_a_kind_is_named_alike_for_a_body_and_for_its_record():
    assert codec.kind_of_record(facts.TrayOut) == codec.kind_of(facts.TrayOut(bin="B1")) == "tray_out"
