"""Who may do what: every kind of intent, every command and every button, by owner, hand and looker-on."""

import typing
from collections import defaultdict

import pytest
from msgspec.structs import replace

from bot.assistant import buttons
from bot.assistant.dialog import load
from bot.ports.intents import Intent
from bot.replies import commands
from core.journal import codec, facts
from core.journal.kinds import Role, Setting
from tests.bot.assistant.talk import BINS, PLACES, Talk, one

PEOPLE = (("Noor", Role.OWNER), ("Tomas", Role.HAND), ("Dana", Role.LOOKER_ON))
OWNER_ONLY = "Only the owner can do that."
LOOKER_ON = "You can look but not write on this farm. Its owner can change that."
EVERYBODY, WRITERS, OWNER = "everybody", "writers", "owner"
MAY = {EVERYBODY: {"Noor", "Tomas", "Dana"}, WRITERS: {"Noor", "Tomas"}, OWNER: {"Noor"}}

NOTICES = {"asked", "cautioned", "summed"}  # the assistant's own
SETTINGS = {
    "name": "Ocotillo Flats", "units": "C", "timezone": "America/Phoenix", "water_times": "07:00",
    "quiet_hours": "21:00-06:00", "lay_hours": "30", "summary": "fri",
}  # fmt: skip
BY_INTENT = [
    ("ask", {"topic": "due"}, EVERYBODY),
    ("help", {}, EVERYBODY),
    ("chirp", {"bin": "B1"}, WRITERS),
    ("tray_in", {"bin": "B1"}, WRITERS),
    ("tray_out", {"bin": "B2", "place": "rack"}, WRITERS),
    ("placed", {"tubs": ["T1"], "place": "rack"}, WRITERS),
    ("covered", {"tubs": ["T1"], "on": True}, WRITERS),
    ("reading", {"place": "rack", "temp_c": 30.0}, WRITERS),
    ("watered", {"tubs": ["T1"]}, WRITERS),
    ("mold", {"tubs": ["T1"]}, WRITERS),
    ("dry", {"tubs": ["T1"]}, WRITERS),
    ("hatch", {"tub": "T1"}, WRITERS),
    ("stocked", {"bin": "B1"}, WRITERS),
    ("fed", {"bins": ["B1"]}, WRITERS),
    ("dead", {"bin": "B1", "count": 2}, WRITERS),
    ("moved", {"from": "B1", "to": "B2"}, WRITERS),
    ("counted", {"bin": "B1", "count": 600}, WRITERS),
    ("sized", {"bin": "B1", "size": "small"}, WRITERS),
    ("adults", {"bin": "B1"}, WRITERS),
    ("cleaned", {"bin": "B1"}, WRITERS),
    ("harvested", {"bin": "B1", "count": 5}, WRITERS),
    ("sold", {"count": 5}, WRITERS),
    ("bought", {"what": "feed"}, WRITERS),
    ("discarded", {"tub": "T1"}, WRITERS),
    ("problem", {"what": "mites"}, WRITERS),
    ("cleared", {"bin": "B1"}, WRITERS),
    ("die_off", {"bin": "B1"}, WRITERS),
    ("remark", {"text": "windy"}, WRITERS),
    ("order", {"count": 5, "size": "small", "due": "2026-06-01"}, WRITERS),
    ("remind", {"text": "buy oats", "when": "2026-06-01T08:00:00Z"}, WRITERS),
    ("add", {"what": "bin"}, WRITERS),
    ("rename", {"old": "rack", "new": "shelf"}, WRITERS),
    ("pause", {}, WRITERS),
    ("resume", {}, WRITERS),
    ("done", {"chore": "water"}, WRITERS),
    ("skip", {"chore": "water"}, WRITERS),
    ("snooze", {"minutes": 60}, WRITERS),
    ("undo", {}, WRITERS),
    ("fix", {"bin": "B3"}, WRITERS),
    ("set", {"what": "language", "to": "en"}, WRITERS),
    *(("set", {"what": what, "to": to}, OWNER) for what, to in SETTINGS.items()),
    ("joined", {"name": "Lupe", "role": "hand"}, OWNER),
    ("left", {"name": "Lupe"}, OWNER),
    ("left", {}, EVERYBODY),
    ("cancel", {}, WRITERS),
    ("plan", {"bins": ["B1"], "days": ["2026-06-01"]}, WRITERS),
    ("duty", {"days": ["sat"]}, WRITERS),
    ("duty", {"name": "Lupe", "days": ["sat"]}, OWNER),
    ("away", {}, WRITERS),
    ("away", {"name": "Lupe"}, OWNER),
]  # fmt: skip
BY_COMMAND = {
    "start": EVERYBODY, "due": EVERYBODY, "days": EVERYBODY, "status": EVERYBODY, "board": EVERYBODY, "help": EVERYBODY,
    "undo": WRITERS, "invite": OWNER, "setup": OWNER,
    "export": EVERYBODY, "erase": EVERYBODY,  # of what is theirs: test_own_data
}  # fmt: skip
BY_BUTTON = [  # each made of the numbers of what stands open in the group
    (lambda _: buttons.Say("what's due"), EVERYBODY),
    (lambda _: buttons.Say("chirp B1"), WRITERS),
    (lambda _: buttons.Say("units C"), OWNER),
    (lambda n: buttons.TakeBack(n["set"], n["set"]), OWNER),
    (lambda n: buttons.TakeBack(n["chirp"], n["set"]), OWNER),
    (lambda n: buttons.TakeBack(n["undone set"], n["undone set"]), OWNER),  # puts it back
    (lambda n: buttons.TakeBack(n["chirp"], n["chirp"]), WRITERS),
    (lambda n: buttons.Finish((n["asked"],)), WRITERS),
    (lambda n: buttons.Later(60, (n["asked"],)), WRITERS),
    (lambda n: buttons.LeaveOut((n["asked"],)), WRITERS),
    (lambda _: buttons.SetupStep("units", "C"), OWNER),
    (lambda _: buttons.Answer(1, 0), WRITERS),
]
SHORT_FOR = {
    "what's due": ("ask", {"topic": "due"}),
    "how long on the tubs": ("ask", {"topic": "days_left"}),
    "status": ("ask", {"topic": "status"}),
    "how is the farm": ("ask", {"topic": "status"}),
    "undo": ("undo", {}),
    "help": ("help", {}),
    "chirp B1": ("chirp", {"bin": "B1"}),
    "units C": ("set", {"what": "units", "to": "C"}),
}


@pytest.fixture
def talk():
    """A farm of an owner, a hand and a looker-on."""
    talk = Talk(is_open=False)
    talk.open_farm(*PLACES, *BINS, facts.TrayIn(bin="B2"), people=PEOPLE)
    for text, (kind, slots) in SHORT_FOR.items():
        talk.means(text, Intent(kind=kind, slots=slots))
    return talk


def is_refused(told):
    return bool({OWNER_ONLY, LOOKER_ON} & set(told.lines))


def check(talk, who, may, before, told):
    assert is_refused(told) == (who not in MAY[may]), told.text
    if who not in MAY[may]:
        assert told.text == (LOOKER_ON if who == "Dana" else OWNER_ONLY)
        assert talk.last_number == before
        assert told.labels == ()


def test_the_table_has_every_kind_command_and_button():
    assert {kind for kind, _, _ in BY_INTENT} == (codec.RECORDS.keys() - NOTICES) | {"ask", "help", "die_off"}
    assert {slots["what"] for kind, slots, _ in BY_INTENT if kind == "set"} == set(Setting)
    assert BY_COMMAND.keys() == commands.SHORT_FOR.keys() | {"start"}
    assert {type(make(defaultdict(int))) for make, _ in BY_BUTTON} == set(typing.get_args(buttons.Pressed))


@pytest.mark.parametrize("who", ["Noor", "Tomas", "Dana"])
@pytest.mark.parametrize(("kind", "slots", "may"), BY_INTENT, ids=lambda value: str(value)[:40])
def test_who_may_say_what(talk, who, kind, slots, may):
    before = talk.last_number

    told = talk.tells(who, kind, slots)

    check(talk, who, may, before, told)


@pytest.mark.parametrize("who", ["Noor", "Tomas", "Dana"])
@pytest.mark.parametrize(("command", "may"), BY_COMMAND.items())
def test_who_may_give_which_command(talk, who, command, may):
    before = talk.last_number

    told = talk.say(who, f"/{command}")

    check(talk, who, may, before, told)


@pytest.fixture
def numbers(talk):
    """What stands open in the farm's group, said by the owner: events by number, and a question."""
    numbers = {}
    talk.says("Noor", "hello", group=True)

    def says(name, intent):
        talk.clock.forward(minutes=1)
        talk.means(name, intent)
        talk.says("Noor", name, group=True)
        numbers[name] = talk.last_number

    talk.pass_until(talk.next_due)
    numbers["asked"] = talk.last_number
    says("bin?", Intent(kind="chirp", slots={}, needs=("bin",)))
    says("chirp", Intent(kind="chirp", slots={"bin": "B3"}))
    says("set", Intent(kind="set", slots={"what": "lay_hours", "to": "30"}))
    says("undone", Intent(kind="set", slots={"what": "lay_hours", "to": "31"}))
    says("undone set", Intent(kind="undo", slots={}))
    return numbers


@pytest.mark.parametrize("who", ["Noor", "Tomas", "Dana"])
@pytest.mark.parametrize(("make", "may"), BY_BUTTON, ids=range(len(BY_BUTTON)))
def test_who_may_press_what(talk, numbers, who, make, may):
    before = talk.last_number
    data = buttons.write(make(numbers), buttons.bond(talk.farm_id, "chat:the group"))

    told = one(talk.presses_data(who, data, group=True))

    check(talk, who, may, before, told)


@pytest.mark.parametrize("who", ["Tomas", "Dana"])
def test_a_question_that_somebody_may_not_answer_stays_open(talk, who):
    talk.says("Noor", "hello", group=True)
    talk.means("units", Intent(kind="set", slots={"what": "units"}, needs=("to",)))
    talk.says("Noor", "units", group=True)

    assert is_refused(one(talk.says(who, "C", group=True)))

    assert talk.farm.settings.units == "F"
    with talk.store.begin() as work:
        assert [
            q.slot for q in load(work.dialogs.load("chat:the group", "chat:the group"), talk.farm_id).questions
        ] == ["to"]


def test_a_hand_in_a_group_does_not_answer_a_step_of_setting_up(talk):
    talk.says("Noor", "hello", group=True)
    talk.says("Noor", "/setup", group=True)

    talk.says("Tomas", "C", group=True)
    talk.says("Tomas", "skip", group=True)

    assert talk.farm.settings.units == "F"
    talk.presses("Noor", "°C", group=True)
    assert talk.farm.settings.units == "C"


@pytest.mark.parametrize(("who", "answer"), [("Tomas", OWNER_ONLY), ("Dana", LOOKER_ON)])
def test_a_location_that_somebody_else_shares_sets_no_clock(talk, who, answer):
    assert one(talk.shares(who, 33.4, -112.1)).text == answer
    assert talk.farm.settings.timezone == "America/Denver"


def test_a_hand_does_not_put_right_what_the_owner_set_nor_make_a_setting_of_a_language(talk):
    talk.tells("Tomas", "set", what="language", to="es")

    told = talk.tells("Tomas", "fix", what="units", to="C")

    assert told.text == "Eso solo lo puede hacer quien lleva la granja."
    assert talk.farm.settings.units == "F"


def test_who_only_looks_on_and_edits_an_old_message_takes_nothing_back(talk):
    talk.means("chirp", Intent(kind="chirp", slots={"bin": "B1"}))
    talk.says("Tomas", "chirp")
    with talk.store.begin() as work:
        work.people.put(replace(work.people.member("chat:Tomas"), role=Role.LOOKER_ON))
    before = talk.last_number

    talk.edits("Tomas", "chirp")

    assert talk.last_number == before
