"""The desk: one unit of work a message, whatever happens in it."""

import datetime as dt
from contextlib import contextmanager

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.assistant import buttons
from bot.assistant.desk import MOST_TRIES
from bot.ports.intents import Intent
from bot.ports.stores import NumberTakenError
from core.journal.kinds import Role
from tests.bot.assistant.talk import Talk
from tests.builders import NOON, after
from tests.conversations.stage import Stage
from tests.memory import MemoryStore


class RivalStore(MemoryStore):
    """A store in which another process has written to the journal just before: `times` over, or for ever."""

    def __init__(self):
        super().__init__()
        self.times = 0

    @contextmanager
    def begin(self):
        with super().begin() as work:
            append = work.journal.append

            def rival(farm, events):
                if events and self.times:
                    self.times -= 1
                    raise NumberTakenError
                append(farm, events)

            work.journal.append = rival
            yield work


class TornStore(MemoryStore):
    """A store whose journal cannot be read while `is_torn`."""

    is_torn = False

    @contextmanager
    def begin(self):
        with super().begin() as work:
            since = work.journal.since

            def torn(farm, number=0):
                if self.is_torn:
                    raise ValueError("a page is missing")
                return since(farm, number)

            work.journal.since = torn
            yield work


def texts(told):
    return [t.text for t in told]


def test_a_message_is_taken_once(talk):
    talk.means("chirp", Intent(kind="chirp", slots={"bin": "B1"}))
    talk.says("Noor", "chirp")
    before = talk.last_number

    talk._count -= 2  # the service sends the same update again
    assert talk.says("Noor", "chirp") == []
    assert talk.last_number == before


def test_a_message_that_fails_is_tried_three_times_and_then_apologized_for(talk, log_lines):
    talk.means("boom", Intent(kind="chirp", slots={"bin": "B1"}))
    talk.reader.known["boom"] = RuntimeError("secret words of Noor")

    told = talk.says("Noor", "boom")

    assert len([text for text, _ in talk.reader.heard if text == "boom"]) == MOST_TRIES == 3
    assert len(told) == 1
    assert told[0].text.startswith("Something went wrong on my side. Your message is kept (no. ")
    lines = [line for line in log_lines() if 'event="message failed"' in line]
    assert [f"tries={number} error=RuntimeError trace=" in line for number, line in enumerate(lines, 1)] == [True] * 3
    assert "secret words" not in "".join(lines)


def test_an_apology_is_in_the_language_that_the_person_chose(talk):
    talk.tells("Noor", "set", what="language", to="es")
    talk.reader.known["boom"] = RuntimeError

    told = [t for _ in range(MOST_TRIES) for t in talk.says("Noor", "boom")]

    assert told[0].text.startswith("Algo salió mal de mi lado.")


def test_an_apology_goes_out_though_the_farm_cannot_be_read():
    talk = Talk(store=TornStore())
    talk.languages["Noor"] = "es-MX"
    talk.store.is_torn = True
    talk.desk._shelf.forget(None)

    told = talk.says("Noor", "hi")

    assert [t.text[:15] for t in told] == ["Algo salió mal "]


def test_after_a_failure_nothing_half_done_is_left_and_others_go_on(talk):
    before = talk.last_number
    failing = Intent(kind="chirp", slots={"bin": "B1"})
    talk.means("boom", failing, Intent(kind="ask", slots={"topic": "no such topic"}))

    told = talk.says("Noor", "boom")

    assert told[0].text.startswith("Something went wrong")
    assert talk.last_number == before
    assert talk.tells("Noor", "chirp", bin="B2").lines[0] == "Bin 2: first chirp."
    assert talk.farm.bins["B1"].chirped_at is None


def test_a_message_behind_one_that_fails_is_handled(talk):
    talk.reader.known["boom"] = RuntimeError("boom")
    desk, talk.desk = talk.desk, Patient(talk.desk)
    talk.says("Noor", "boom")
    talk.says("Tomas", "/due")
    talk.desk = desk

    assert desk.work() == 1
    assert {t.to for t in talk._drain()} == {("Noor",), ("Tomas",)}


class Patient:
    """A desk that takes messages and does not work on them yet."""

    def __init__(self, desk):
        self._desk = desk

    def take(self, *messages):
        return self._desk.take(*messages)

    def work(self):
        return 0


def test_where_another_process_was_quicker_the_message_is_done_again(caplog):
    talk = Talk(store=RivalStore())
    talk.store.times = 2

    told = talk.tells("Noor", "chirp", bin="B1")

    assert told.lines[0] == "Bin 1: first chirp."
    assert talk.store.times == 0
    assert caplog.records == []


def test_where_another_process_was_quicker_the_reminder_comes_up_again():
    talk = Talk(store=RivalStore())
    talk.tells("Noor", "tray_in", bin="B1")
    talk.store.times = 1

    assert len(talk.pass_until(after(days=1))) == 1


def test_two_desks_on_one_store_go_by_each_others_events(talk):
    other = Stage(talk.reader, NOON, store=talk.store)
    other._count, other.farm_id = 1000, talk.farm_id
    talk.tells("Noor", "chirp", bin="B1")
    talk.means("tray", Intent(kind="tray_in", slots={"bin": "B1"}))

    other.says("Tomas", "tray")
    told = talk.tells("Noor", "tray_in", bin="B1")

    assert told.text.startswith("Bin 1 has had a tray since")


def test_a_question_outlives_the_desk(talk):
    talk.tells("Noor", "chirp", needs=("bin",))

    talk.restart()

    assert talk.press("Noor", "Bin 2").lines[0] == "Bin 2: first chirp."


def test_a_stranger_is_refused_once_and_nothing_is_kept():
    talk = Talk(owners=frozenset({"chat:Noor"}))

    first = talk.says("Lupe", "hi, it is my birthday")
    again = talk.says("Lupe", "hello?")

    assert texts(first) == ["This is a private farm assistant. Ask its owner for an invite."]
    assert not first[0].outgoing.is_kept
    assert again == []
    with talk.store.begin() as work:
        assert work.people.member("chat:Lupe") is None
        assert work.people.chat("chat:Lupe") is None
        assert work.dialogs.load("chat:Lupe", "chat:Lupe") is None
        assert work.inbox.claim() == []
        assert work.farms.ids() == [1]
    assert "birthday" not in repr(talk.fold.events)


def test_an_owner_lets_a_helper_in():
    talk = Talk(owners=frozenset({"chat:Noor"}))
    link = talk.say("Noor", "/invite").lines[-1]
    assert talk.say("Tomas", "/invite").text == "Only the owner can do that."

    told = talk.say("Lupe", link)

    assert told.text == "You're on the farm now, as hand."
    assert told.labels == ("What's due",)
    assert talk.farm.people["Lupe"].role is Role.HAND
    assert talk.say("Otis", link).text.startswith("That invite is used up or too old.")


def test_the_farm_waits_anew_after_each_message_that_recorded_something(talk):
    talk.tells("Noor", "tray_in", bin="B1")
    assert talk.next_due == after(days=1)

    talk.tells("Noor", "tray_out", bin="B1", place="lamp shelf")

    assert talk.next_due == after(hours=6)


def test_a_message_of_an_hour_ago_happened_then(talk):
    talk.means("chirp", Intent(kind="chirp", slots={"bin": "B1"}))

    talk.says("Noor", "chirp", sent_at=NOON - dt.timedelta(hours=1))

    assert talk.farm.bins["B1"].chirped_at == after(hours=-1)


@pytest.fixture(scope="module")
def private(reader):
    """A chat with the real reader, kept over all examples."""
    stage = Stage(reader, NOON)
    stage.open_farm()
    return stage


SAID = (
    "bin tub 1 2 3 tray in out pulled the lamp shelf watered mold 88 F % yesterday at 5 no undo done skip why how long "
    "pinheads chirping put 900 -40 tomorrow last week every 10000 all set units quiet hours , . ? : / {x} |"
)
WORDS = st.sampled_from(SAID.split())
TEXT = st.one_of(
    st.text(max_size=60), st.lists(WORDS, max_size=12).map(" ".join), st.text("\u202e\x02\x00\n\t é🦗", max_size=9)
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=TEXT)
def test_every_text_gets_an_answer_in_a_private_chat(private, caplog, text):
    told = private.says("Noor", text)

    assert len(told) == 1
    assert told[0].text.strip()
    assert "Something went wrong" not in told[0].text, caplog.text
    assert caplog.records == []


@pytest.mark.parametrize(
    "text", ["x" * 4096, "tub 1 " * 682, "1" * 4096, "bin 2 is chirping. " * 215, "\n" * 4096], ids=range(5)
)
def test_the_longest_text_gets_an_answer(private, text):
    (told,) = private.says("Noor", text[:4096])

    assert told.text.strip()
    assert "Something went wrong" not in told.text


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.one_of(st.text(max_size=64), st.from_regex(r"[auzkdso](\|[-0-9,]{0,25}){0,3}", fullmatch=True)))
def test_every_press_gets_an_answer(private, caplog, data):
    bond = buttons.bond(private.farm_id, "chat:Noor")
    for form in (data, f"2|{bond}|{data}"):
        (told,) = private.presses_data("Noor", form)

        assert told.text.strip()
        assert "Something went wrong" not in told.text, caplog.text
