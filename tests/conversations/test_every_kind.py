"""Whatever a message can mean has its effect: each kind that is told changes the farm, each question is answered."""

import datetime as dt
import typing

import pytest
from msgspec.structs import replace

from core.journal import codec, facts, wants
from core.journal.kinds import Addable
from tests.builders import at
from tests.conversations.stage import Stage

MORNING = at("06-01 08:00")
BEFORE = ("tray in bin 2", "600 adults in bin 1", "bin 1 chirping since may 18", "put 2000 pinheads in bin 4")
OWN_EVENTS = {"last_said": (), "last_number": 0, "known_since": None}  # of the farm, that any message changes
SAID = {  # one message of each kind that a person can tell; what goes before it, where it needs that
    "chirp": ("bin 4 is chirping",),
    "tray_in": ("put a tray in bin 1",),
    "tray_out": ("pulled the tray from bin 2, lamp shelf",),
    "placed": ("moved tub 1 to the garage rack",),
    "covered": ("covered tub 1",),
    "reading": ("88 on the lamp shelf",),
    "watered": ("watered tub 1",),
    "mold": ("mold on tub 1",),
    "dry": ("tub 1 is bone dry",),
    "hatch": ("pinheads in tub 1",),
    "stocked": ("put 1000 pinheads from tub 1 in bin 5",),
    "fed": ("fed bin 4 chick starter",),
    "dead": ("12 dead in bin 4",),
    "moved": ("moved 500 from bin 4 to bin 5",),
    "counted": ("bin 1 has 600 adults",),
    "sized": ("bin 4 is quarter inch",),
    "adults": ("first wings in bin 4",),
    "cleaned": ("cleaned bin 4",),
    "harvested": ("harvested 200 from bin 4",),
    "sold": ("sold delgado 100 from bin 4 for 12",),
    "bought": ("bought 20 kg chick starter for 30",),
    "discarded": ("threw out tub 1",),
    "problem": ("bin 4 is sick",),
    "cleared": ("bin 4 is sick", "bin 4 is all clear"),
    "order": ("delgado wants 500 half inch by july 20",),
    "cancel": ("delgado wants 500 half inch by july 20", "cancel delgado's order"),
    "remind": ("remind me tomorrow at 9 to call the feed store",),
    "add": ("add bin 9",),
    "rename": ("call bin 4 the nursery",),
    "set": ("use celsius",),
    "pause": ("pause the feeding reminders",),
    "resume": ("pause the feeding reminders", "resume the feeding reminders"),
    "done": ("done",),
    "skip": ("skip",),
    "snooze": ("ask me again in 20 minutes",),
    "undo": ("12 dead in bin 4", "undo"),
    "fix": ("12 dead in bin 4", "no, 20"),
    "duty": ("Tomas does weekends",),
    "away": ("I'm away until friday",),
}
BY_OTHER_WAYS = {
    "plan": "by the button under a plan that was asked for: planning_weeks.txt",
    "joined": "by an invitation: tests/bot/assistant/test_membership.py",
    "left": "it is asked about first: tests/bot/assistant/test_membership.py",
    "remark": "it is kept in the journal and changes nothing: below",
}


@pytest.fixture
def stage(reader):
    made = Stage(reader, MORNING - dt.timedelta(hours=1))
    bins = (wants.Add(what=Addable.BIN, name=f"B{number}") for number in range(1, 6))
    places = (
        wants.Add(what=Addable.PLACE, name=name, lamp=name == "lamp shelf") for name in ("lamp shelf", "garage rack")
    )
    laid = (facts.TrayIn(bin="B3"), facts.TrayOut(bin="B3", place="lamp shelf"))
    made.open_farm(*bins, *places, *laid)
    for text in BEFORE:
        made.says("Noor", text)
    made.pass_until(MORNING + dt.timedelta(days=1))  # reminders went out meanwhile
    return made


def test_all_kinds_are_here():
    kinds = {codec.kind_of_record(record) for record in (*typing.get_args(facts.Fact), *typing.get_args(wants.Want))}

    assert kinds == SAID.keys() | BY_OTHER_WAYS.keys()


@pytest.mark.parametrize("kind", SAID)
def test_a_message_of_a_kind_changes_the_farm(stage, kind):
    *first, text = SAID[kind]
    for said in first:
        stage.says("Noor", said)
    before, number = _of_the_farm(stage), stage.farm.last_number

    told = stage.says("Noor", text)

    assert kind in stage.kinds_since(number), told
    assert _of_the_farm(stage) != before


def test_words_to_keep_are_kept(stage):
    number = stage.farm.last_number

    told = stage.says("Noor", "note: the vet comes on thursday")

    assert stage.kinds_since(number) == ["remark"]
    assert "the vet comes on thursday" in told[0].text


def _of_the_farm(stage):
    return replace(stage.farm, **OWN_EVENTS)
