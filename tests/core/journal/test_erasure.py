"""A journal without the name of one person."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import codec, facts, wants
from core.journal.erasure import without
from core.journal.kinds import Role, Setting, Weekday
from core.units import SizeGrade
from tests.builders import NOON, a_journal, an_event

FORMER = "a former hand"


def of(body, **fields):
    return without(an_event(body, **fields), "Tomas", FORMER, "telegram:7")


def test_who_said_it_is_no_longer_told_and_what_was_said_is():
    entry = of(facts.Chirp(bin="B1"), by="Tomas", message="telegram:7:31")

    assert entry == an_event(facts.Chirp(bin="B1"), by=FORMER, message="")


@pytest.mark.parametrize("message", ["telegram:-100:7", "telegram:77:31", "terminal:7", ""])
def test_the_key_of_a_message_in_another_chat_stays(message):
    assert of(facts.Chirp(bin="B1"), message=message).message == message


@pytest.mark.parametrize(
    ("body", "anew"),
    [
        (wants.Joined(name="Tomas", role=Role.HAND), wants.Joined(name=FORMER, role=Role.HAND)),
        (wants.Left(name="Tomas"), wants.Left(name=FORMER)),
        (wants.Duty(name="Tomas", days=(Weekday.SAT,)), wants.Duty(name=FORMER, days=(Weekday.SAT,))),
        (wants.Away(name="Tomas", until=NOON), wants.Away(name=FORMER, until=NOON)),
        (
            wants.Order(who="tomas", count=5, size=SizeGrade.ADULT, due=dt.date(2026, 6, 1)),
            wants.Order(who=FORMER, count=5, size=SizeGrade.ADULT, due=dt.date(2026, 6, 1)),
        ),
        (facts.Sold(who="Tomas", count=5), facts.Sold(who=FORMER, count=5)),
        (facts.Remark(text="ask Tomas, not Tomasa."), facts.Remark(text=f"ask {FORMER}, not Tomasa.")),
        (facts.Discarded(tub="T1", reason="Tomas: mold"), facts.Discarded(tub="T1", reason=f"{FORMER}: mold")),
        (wants.Remind(text="call Tomas", when=NOON), wants.Remind(text=f"call {FORMER}", when=NOON)),
        (wants.Fix(of=3, slots={"who": "Tomas"}), wants.Fix(of=3, slots={"who": FORMER})),
        (wants.Fix(of=3, slots={"text": "Tomas"}, at=NOON), wants.Fix(of=3, slots={"text": FORMER}, at=NOON)),
    ],
)
def test_a_slot_that_names_the_person_says_somebody_who_was_here(body, anew):
    assert of(body).body == anew


@pytest.mark.parametrize(
    "body",
    [
        wants.Joined(name="Noor", role=Role.OWNER),
        wants.Add(what="place", name="Tomas"),
        facts.Remark(text="nothing of them"),
        facts.Moved(from_="B1", to="B2"),
        wants.Undo(of=(1, 2)),
    ],
)
def test_all_else_stays_as_it_is(body):
    assert of(body).body is body


def test_the_key_of_what_they_said_goes_in_whatever_chat_it_was():
    assert of(facts.Chirp(bin="B1"), by="Tomas", message="telegram:-100:7").message == ""


def test_a_name_with_signs_in_it_is_found():
    entry = without(an_event(facts.Remark(text=r"a\1 (x) here")), r"a\1 (x)", r"\g<0>", "telegram:7")

    assert entry.body.text == r"\g<0> here"


def test_the_farm_comes_out_the_same_but_for_the_name():
    journal = a_journal(
        wants.Set(what=Setting.TIMEZONE, to="America/Denver"),
        wants.Joined(name="Tomas", role=Role.HAND),
        facts.TrayIn(bin="B1"),
        facts.TrayOut(bin="B1", tub="T1", place="rack"),
        wants.Fix(of=4, slots={"place": "shelf"}),
    )
    anew = [without(e, "Tomas", FORMER, "chat") for e in journal]

    assert b"Tomas" not in b"".join(codec.encode(e.body) for e in anew)
    assert (fold(anew).tubs, list(fold(anew).people)) == (fold(journal).tubs, [FORMER])
