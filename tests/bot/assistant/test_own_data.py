"""A file of the records, and an erasure, for who asks for it."""

import csv
import io
import re

import pytest

from bot.ports.intents import Intent
from bot.ports.stores import Member
from bot.storage.sql_store import SqlStore
from core.journal import codec
from core.journal.kinds import Role, Setting
from core.journal.wants import Left, Set
from tests.bot.assistant.talk import Talk, one
from tests.memory import MemoryStore

OWNERS = frozenset({"chat:Noor", "chat:Ines"})


@pytest.fixture(params=["memory", "sqlite"])
def talk(request):
    """Ocotillo Flats, with something that Noor and Tomas have told."""
    store = MemoryStore() if request.param == "memory" else SqlStore("sqlite://")
    talk = Talk(Set(what=Setting.NAME, to="Ocotillo Flats"), store=store, owners=OWNERS)
    talk.tells("Noor", "chirp", bin="B1")
    talk.tells("Tomas", "tray_in", bin="B1")
    talk.tells("Tomas", "remark", text="=1+1, says Tomas")
    yield talk
    store.close()


def rows(told):
    return list(csv.DictReader(io.StringIO(told.outgoing.file.text, newline="")))


def texts(told):
    return [t.text for t in told]


# a copy


@pytest.mark.parametrize("words", ["/export", "/EXPORT", "export my data", "Export everything!", "exporta mis datos"])
def test_the_owner_gets_all_records(talk, words):
    told = talk.say("Noor", words)

    assert told.text == f"Here are all {talk.last_number} records of Ocotillo Flats, as a table for a spreadsheet."
    assert [row["number"] for row in rows(told)] == [str(n) for n in range(1, talk.last_number + 1)]
    assert rows(told)[-1]["text"] == "'=1+1, says Tomas"
    assert told.outgoing.file.name == "ovipost-records-2026-05-04.csv"


def test_a_hand_gets_what_they_told_themselves(talk):
    told = talk.say("Tomas", "/export")

    assert told.text == "Here are the 2 records that you made on Ocotillo Flats."
    assert {row["by"] for row in rows(told)} == {"Tomas"}


def test_who_told_nothing_gets_no_file(talk):
    link = talk.say("Noor", "/invite").lines[-1]
    talk.says("Lupe", link)

    told = talk.say("Lupe", "/export")

    assert told.text == "There is no record of yours yet, so there is no file."
    assert told.outgoing.file is None


@pytest.mark.parametrize("words", ["/export", "/erase", "/erase Tomas", "/erase Ocotillo Flats"])
def test_in_a_group_nothing_is_handed_out_or_erased(talk, words):
    talk.says("Noor", "hello", group=True)

    told = one(talk.says("Noor", words, group=True))

    assert told.text == "Ask me that in our own chat, not in the group."
    assert told.outgoing.file is None
    assert "Tomas" in talk.farm.people


def test_words_that_nobody_says_to_the_assistant_export_nothing(talk):
    talk.says("Noor", "hello", group=True)

    assert talk.says("Noor", "export my data", group=True, addressed=False) == []


# the farm


def kept(talk):
    """Give all that is kept of the farm and its people, as text."""
    with talk.store.begin() as work:
        return repr(
            (
                work.farms.ids(),
                work.journal.since(talk.farm_id),
                work.people.members(talk.farm_id),
                work.people.chats(talk.farm_id),
                [work.dialogs.load(f"chat:{who}", f"chat:{who}") for who in ("Noor", "Tomas")],
                work.inbox.claim(),
                work.outbox.waiting(talk.clock.now()),
                work.farms.next_due(),
            )
        )


def test_a_farm_is_erased_once_its_name_is_typed(talk):
    number = talk.last_number
    asked = talk.say("Noor", "/erase")
    assert asked.lines == [
        f"Erasing Ocotillo Flats takes away {number} records and 2 people, for good. For a copy, send /export first.",
        "To go on, type this within 10 minutes: Ocotillo Flats",
    ]
    talk.clock.forward(minutes=10)

    (told,) = talk.says("Noor", "ocotillo  flats")

    assert told.text == (
        f"Ocotillo Flats is erased: {number} records, 2 people. Backups that were made before still hold it."
    )
    assert told.to == ("Noor",)
    assert not told.outgoing.is_kept
    assert kept(talk) == repr(([], [], [], [], [None, None], [], [], None))
    assert texts(talk.says("Tomas", "status")) == ["This is a private farm assistant. Ask its owner for an invite."]
    assert talk.pass_until(talk.clock.now().replace(month=7)) == []


def test_an_owner_may_begin_anew(talk):
    talk.says("Noor", "/erase")
    talk.says("Noor", "Ocotillo Flats")

    assert talk.say("Noor", "/start").lines[0].startswith("I'm Ovipost.")
    with talk.store.begin() as work:
        assert work.people.member("chat:Noor").farm != talk.farm_id


def test_whatever_else_is_said_calls_the_erasure_off(talk):
    talk.says("Noor", "/erase")

    told = talk.say("Noor", "/due")

    assert told.lines[0] == "Nothing was erased."
    assert talk.says("Noor", "Ocotillo Flats")
    assert talk.farm.bins["B1"].chirped_at is not None
    with talk.store.begin() as work:
        assert work.farms.ids() == [talk.farm_id]


def test_the_name_comes_too_late_after_ten_minutes(talk):
    talk.says("Noor", "/erase")
    talk.clock.forward(minutes=10, seconds=1)

    assert talk.say("Noor", "Ocotillo Flats").text.startswith("That came too late, so nothing was erased.")
    with talk.store.begin() as work:
        assert work.farms.ids() == [talk.farm_id]


def test_a_name_that_is_typed_without_having_asked_erases_nothing(talk):
    talk.says("Noor", "Ocotillo Flats")
    talk.says("Tomas", "/erase")
    talk.says("Tomas", "Ocotillo Flats")

    with talk.store.begin() as work:
        assert work.farms.ids() == [talk.farm_id]


def test_an_owner_who_is_none_any_more_erases_nothing(talk):
    talk.says("Noor", "/erase")
    with talk.store.begin() as work:
        work.people.put(Member(address="chat:Noor", farm=talk.farm_id, name="Noor", role=Role.HAND))

    assert talk.say("Noor", "Ocotillo Flats").text.startswith("That came too late")
    with talk.store.begin() as work:
        assert work.farms.ids() == [talk.farm_id]


# a person


@pytest.mark.parametrize(("who", "words"), [("Noor", "/erase Tomas"), ("Tomas", "/erase tomas")])
def test_a_person_is_taken_out_and_what_they_told_stays(talk, who, words):
    before = talk.farm.bins
    link = talk.say("Noor", "/invite").lines[-1]

    told = talk.say(who, words)

    assert told.text == "Tomas is taken out. 2 records now say: a former hand."
    assert told.outgoing.is_kept == (who == "Noor")
    with talk.store.begin() as work:
        events = work.journal.since(talk.farm_id)
        bodies = [codec.encode(e.body).decode() for e in events]
        assert work.people.member("chat:Tomas") is work.people.chat("chat:Tomas") is None
        assert work.dialogs.load("chat:Tomas", "chat:Tomas") is None
        assert work.farms.lock(talk.farm_id) == 1
    assert not any(re.search("Tomas", f"{e.by} {e.message} {body}") for e, body in zip(events, bodies, strict=True))
    assert [e.by for e in events if e.by] == ["Noor", "a former hand", "a former hand"]
    assert isinstance(events[-1].body, Left)
    talk._fold = type(talk._fold)()
    assert talk.farm.bins == before
    assert list(talk.farm.people) == ["Noor"]
    assert texts(talk.says("Lupe", link)) == ["That invite is used up or too old. Ask the owner for a new one."]
    assert "Tomas" not in talk.say("Noor", "/export").outgoing.file.text


def test_the_farm_goes_on_from_the_journal_as_it_is_now(talk):
    talk.says("Noor", "/erase Tomas")

    told = talk.tells("Noor", "ask", topic="who", of="tray_in")

    assert "a former hand" in told.text
    assert "Tomas" not in told.text


def test_a_newcomer_does_not_get_the_name_of_those_who_are_gone(talk):
    talk.says("Noor", "/erase Tomas")
    talk.languages["a former hand"] = "en"
    link = talk.say("Noor", "/invite").lines[-1]

    talk.says("a former hand", link)

    talk._fold = type(talk._fold)()
    assert "a former hand 2" in talk.farm.people


@pytest.mark.parametrize(
    ("who", "words", "answer"),
    [
        ("Tomas", "/erase", "Only the owner erases more than that. To be taken out yourself, send: /erase Tomas"),
        (
            "Tomas",
            "delete my data",
            "Only the owner erases more than that. To be taken out yourself, send: /erase Tomas",
        ),
        ("Tomas", "/erase Noor", "Only the owner erases more than that. To be taken out yourself, send: /erase Tomas"),
        ("Tomas", "/erase Dana", "Only the owner erases more than that. To be taken out yourself, send: /erase Tomas"),
        ("Noor", "/erase Noor", "Noor is the owner. /erase alone erases the whole farm."),
        ("Noor", "/erase Dana", "There is nobody called Dana here. People: Noor and Tomas."),
    ],
)
def test_nobody_else_is_taken_out(talk, who, words, answer):
    before = talk.last_number

    assert talk.say(who, words).text == answer
    assert talk.last_number == before
    assert {"Noor", "Tomas"} <= talk.farm.people.keys()


def test_one_who_has_gone_to_another_farm_is_forgotten_here_alone(talk):
    second = Talk(store=talk.store, owners=OWNERS, is_open=False)
    second._count = 1000
    second.open_farm(people=(("Ines", Role.OWNER),))
    second.says("Tomas", second.say("Ines", "/invite").lines[-1])

    talk.says("Noor", "/erase Tomas")

    with talk.store.begin() as work:
        assert work.people.member("chat:Tomas").farm == second.farm_id
        assert "Tomas" not in {e.by for e in work.journal.since(talk.farm_id)}
    assert "Tomas" in second.farm.people


def test_another_desk_drops_the_farm_that_it_keeps(talk):
    other = Talk(store=talk.store, owners=OWNERS, is_open=False)
    other._count, other.farm_id = 2000, talk.farm_id
    other.means("who", Intent(kind="ask", slots={"topic": "who", "of": "tray_in"}))
    assert "Tomas" in other.say("Noor", "who").text

    talk.says("Noor", "/erase Tomas")

    assert "Tomas" not in other.say("Noor", "who").text
