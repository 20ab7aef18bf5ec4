"""Consistency checks: one thing that cannot be so, and one that can, for each."""

import pytest

from core.farm.checks import CLOCK_SLACK, COLDEST_C, HOTTEST_C, findings
from core.farm.faults import Fault
from core.journal import facts, wants
from core.journal.kinds import Addable, Setting, Trouble
from tests.builders import NOON, a_bin, a_farm, a_place, a_tub, after, an_event

FARM = a_farm(
    a_bin("B1", tray_in_at=NOON),
    a_bin("B2", nickname="nursery"),
    a_tub("T1", place="attic"),
    a_tub("T2", emptied_at=after(days=3)),
    a_tub("T3", pulled_at=None, known_since=NOON, told_at=NOON),
    a_place("attic"),
    a_place("garage"),
)


def faults(body, happened_at=None, **fields):
    entry = an_event(body, 9, happened_at or after(days=5), **fields)
    return [(found.fault, found.subject) for found in findings(FARM, entry)]


def test_what_happened_cannot_be_later_than_it_is_said():
    chirp = facts.Chirp(bin="B2")

    assert faults(chirp, after(hours=1), said_at=NOON) == [(Fault.IN_FUTURE, None)]
    assert faults(chirp, NOON + CLOCK_SLACK, said_at=NOON) == []


@pytest.mark.parametrize(
    ("figures", "fault"),
    [
        pytest.param({"temp_c": 482.0}, Fault.TEMPERATURE, id="900 F"),
        pytest.param({"temp_c": -40.0}, Fault.TEMPERATURE, id="-40"),
        pytest.param({"low_c": 10.0, "high_c": 90.0}, Fault.TEMPERATURE, id="a high of 90 C"),
        pytest.param({"low_c": 27.0, "high_c": 10.0}, Fault.LOW_ABOVE_HIGH, id="low above high"),
        pytest.param({"rh": 0.0}, Fault.HUMIDITY, id="no humidity at all"),
        pytest.param({"rh": 140.0}, Fault.HUMIDITY, id="more than all"),
        pytest.param({}, Fault.NO_FIGURE, id="no figure"),
    ],
)
def test_figures_that_cannot_be(figures, fault):
    assert faults(facts.Reading(place="attic", **figures)) == [(fault, None)]


@pytest.mark.parametrize(
    "figures",
    [{"temp_c": COLDEST_C}, {"temp_c": HOTTEST_C}, {"low_c": 10.0, "high_c": 10.0}, {"rh": 100.0}, {"low_c": 12.0}],
    ids=str,
)
def test_figures_that_can_be(figures):
    assert faults(facts.Reading(place="attic", **figures)) == []


def test_a_tray_cannot_be_where_one_is_already():
    assert faults(facts.TrayIn(bin="B1")) == [(Fault.TRAY_ALREADY_IN, "B1")]
    assert faults(facts.TrayIn(bin="B2")) == []
    assert faults(facts.TrayIn(bin="B1"), after(days=-7)) == []


def test_a_tray_cannot_be_pulled_that_is_not_there_or_was_not_yet():
    assert faults(facts.TrayOut(bin="B2")) == [(Fault.NO_TRAY, "B2")]
    assert faults(facts.TrayOut(bin="B8")) == [(Fault.NO_TRAY, "B8")]
    assert faults(facts.TrayOut(bin="B1"), after(hours=-1)) == [(Fault.BEFORE_TRAY, "B1")]
    assert faults(facts.TrayOut(bin="B1")) == []


def test_a_pulled_tray_cannot_be_a_tub_that_is_there():
    assert faults(facts.TrayOut(bin="B1", tub="T1")) == [(Fault.TUB_TAKEN, "T1")]
    assert faults(facts.TrayOut(bin="B1", tub="T3")) == []
    assert faults(facts.TrayOut(bin="B1", tub="T4")) == []


@pytest.mark.parametrize(
    "body",
    [
        facts.Placed(tubs=("T14",), place="attic"),
        facts.Covered(tubs=("T14",), on=True),
        facts.Watered(tubs=("T14",)),
        facts.Mold(tubs=("T14",), removed=True),
        facts.Dry(tubs=("T14",)),
        facts.Stocked(bin="B2", tubs=("T14",)),
        facts.Hatch(tub="T14"),
        facts.Reading(tub="T14", temp_c=30.0),
        facts.Discarded(tub="T14"),
        facts.Problem(what=Trouble.MITES, tub="T14"),
    ],
    ids=lambda body: type(body).__name__,
)
def test_a_tub_far_past_the_others_is_a_slip(body):
    assert faults(body) == [(Fault.NO_SUCH_TUB, "T14")]


@pytest.mark.parametrize("name", ["T4", "T6", "T²", "the big one"])
def test_a_tub_that_may_be_new_is_taken_for_one(name):
    assert faults(facts.Watered(tubs=(name,))) == []


def test_on_a_new_farm_any_tub_may_be():
    assert findings(a_farm(), an_event(facts.Watered(tubs=("T40",)))) == ()


def test_a_tub_that_was_thrown_out_is_gone_from_then_on():
    assert faults(facts.Watered(tubs=("T2",))) == [(Fault.TUB_GONE, "T2")]
    assert faults(facts.Watered(tubs=("T2",)), after(days=2)) == []


def test_a_tub_is_not_there_before_its_tray_was_pulled():
    assert faults(facts.Watered(tubs=("T1",)), after(hours=-1)) == [(Fault.BEFORE_PULL, "T1")]
    assert faults(facts.Watered(tubs=("T3",)), after(hours=-1)) == []


@pytest.mark.parametrize(
    ("what", "to", "expected"),
    [
        (Setting.LAY_HOURS, "600", [(Fault.BAD_SETTING, "lay_hours")]),
        (Setting.LAY_HOURS, "30", []),
        (Setting.NAME, " ", [(Fault.BAD_NAME, " ")]),
        (Setting.NAME, "Cricket Bend", []),
    ],
)
def test_a_setting_must_be_one_that_can_be(what, to, expected):
    assert faults(wants.Set(what=what, to=to)) == expected


@pytest.mark.parametrize(
    ("body", "is_bad"),
    [
        pytest.param(wants.Add(what=Addable.PLACE, name="x" * 41), True, id="too long"),
        pytest.param(wants.Add(what=Addable.PLACE, name=" "), True, id="blank"),
        pytest.param(wants.Add(what=Addable.BIN), False, id="none"),
        pytest.param(facts.Placed(tubs=("T1",), place=""), True, id="no place"),
        pytest.param(wants.Rename(old="attic", new="loft"), False, id="a new name"),
        pytest.param(wants.Rename(old="attic", new="Attic"), False, id="written another way"),
        pytest.param(wants.Rename(old="attic", new="Garage"), True, id="the name of another place"),
        pytest.param(wants.Rename(old="B1", new="Nursery"), True, id="the nickname of another bin"),
        pytest.param(wants.Rename(old="B2", new="nursery"), False, id="the nickname that it has"),
        pytest.param(wants.Rename(old="B1", new="b2"), True, id="the number of another bin"),
        pytest.param(wants.Rename(old="B1", new="T9"), True, id="a number"),
    ],
)
def test_a_name_must_be_one_that_can_be(body, is_bad):
    assert [fault for fault, _ in faults(body)] == [Fault.BAD_NAME] * is_bad


@pytest.mark.parametrize(
    ("body", "subject"),
    [
        pytest.param(facts.Dead(bin="B1", count=-5), "count", id="fewer than none"),
        pytest.param(facts.Sold(count=10**14), "count", id="more crickets than there are"),
        pytest.param(facts.Fed(bins=("B1",), mass_g=-1.0), "mass_g", id="less than nothing"),
        pytest.param(facts.Dead(bin="B1", count=0), None, id="none dead"),
        pytest.param(facts.Sold(count=200, price=18.0), None, id="a sale"),
    ],
)
def test_a_number_must_be_one_that_can_be(body, subject):
    assert faults(body) == ([(Fault.NUMBER, subject)] if subject else [])
