"""The verdict of the crash test finds what was lost, doubled or put out of order."""

import dataclasses

import pytest

from core.journal import codec
from core.journal.facts import Remark, TrayIn, TrayOut
from core.journal.kinds import Chore
from core.journal.notices import Asked
from tests.builders import at
from tests.crash.ledger import PULLED, PUSH, REPLY, Act, Ledger, Mark, told
from tests.crash.records import Entry, Post, Records
from tests.crash.verdict import judge

CHAT = 7
CHATS = {0: [CHAT]}
PUSHED = Mark(what=PUSH, number=102, chat=CHAT)


def entry(number, message, body):
    return Entry(number=number, message=message, body=body, text=codec.encode(body).decode())


@pytest.fixture
def ledger():
    """A note and a tray, both answered, and the tray's reminder."""
    made = Ledger(kills=[(5.0, "at random")])
    for number in (101, 102):
        mark = Mark(what=REPLY, number=number, chat=CHAT)
        made.acts.append(
            Act(mark=mark, farm=0, update=number, message=f"m{number}", is_tray=number == 102, at=float(number))
        )
        made.seen[mark] = [number + 1.0]
        made.order.setdefault(CHAT, []).append(mark)
    made.seen[PUSHED] = [104.0]
    return made


@pytest.fixture
def records():
    journal = [
        entry(1, "m101", Remark(text="number 101")),
        entry(2, "m102", TrayIn(bin="B102")),
        entry(3, "", Asked(chore=Chore.PULL_TRAY, due=at("2026-06-01 12:00"), bin="B102")),
    ]
    keys = ("reply:telegram:update:101", "reply:telegram:update:102", "push:1:3")
    posts = [Post(chat=CHAT, key=key, is_sent=True) for key in keys]
    return Records(journals={CHAT: journal}, posts=posts, waiting=0, failed=0)


def found(ledger, records):
    verdict = judge(ledger, CHATS, records)
    return {name for name in ("lost", "doubled", "disordered", "faults") if getattr(verdict, name)}


def journal_of(records, *entries):
    return dataclasses.replace(records, journals={CHAT: list(entries)})


def test_all_done_once_and_in_order_is_well(ledger, records):
    verdict = judge(ledger, CHATS, records)

    assert verdict.is_well
    assert (verdict.messages, verdict.presses, verdict.reminders) == (2, 0, 1)


def test_a_message_that_is_not_in_the_journal_is_lost(ledger, records):
    assert found(ledger, journal_of(records, *records.journals[CHAT][1:])) == {"lost"}


def test_a_message_whose_number_is_not_in_the_journal_is_lost(ledger, records):
    note, *rest = records.journals[CHAT]
    assert note.message == "m101"

    assert found(ledger, journal_of(records, entry(1, "m101", Remark(text="number 9")), *rest)) == {"lost"}


def test_a_message_twice_in_the_journal_is_doubled(ledger, records):
    assert found(ledger, journal_of(records, records.journals[CHAT][0], *records.journals[CHAT])) == {"doubled"}


def test_an_event_of_no_message_is_doubled(ledger, records):
    stray = entry(4, "m999", Remark(text="number 999"))
    assert found(ledger, journal_of(records, *records.journals[CHAT], stray)) == {"doubled"}


def test_events_not_in_the_order_sent_are_found(ledger, records):
    note, tray, asked = records.journals[CHAT]
    assert found(ledger, journal_of(records, tray, note, asked)) == {"disordered"}


def test_answers_not_in_the_order_sent_are_found(ledger, records):
    ledger.order[CHAT].reverse()
    assert found(ledger, records) == {"disordered"}


def test_a_reminder_recorded_twice_is_doubled(ledger, records):
    twice = journal_of(records, *records.journals[CHAT], records.journals[CHAT][2])
    again = Post(chat=CHAT, key="push:1:4", is_sent=True)
    assert found(ledger, dataclasses.replace(twice, posts=[*records.posts, again])) == {"doubled"}


def test_a_reminder_that_was_never_recorded_is_lost(ledger, records):
    without = journal_of(records, *records.journals[CHAT][:2])
    assert found(ledger, dataclasses.replace(without, posts=records.posts[:2])) == {"lost"}


@pytest.mark.parametrize("unseen", [PUSHED, Mark(what=REPLY, number=101, chat=CHAT)])
def test_what_nobody_saw_is_lost(ledger, records, unseen):
    del ledger.seen[unseen]
    assert found(ledger, records) == {"lost"}


@pytest.mark.parametrize("number", range(3))
def test_what_is_not_in_the_outbox_or_not_sent_is_lost(ledger, records, number):
    less = [post for place, post in enumerate(records.posts) if place != number]
    unsent = [*less, dataclasses.replace(records.posts[number], is_sent=False)]

    assert found(ledger, dataclasses.replace(records, posts=less)) == {"lost"}
    assert found(ledger, dataclasses.replace(records, posts=unsent)) == {"lost"}


def test_a_reminder_may_be_dropped_where_the_tray_was_pulled_and_only_there(ledger, records):
    del ledger.seen[PUSHED]
    dropped = dataclasses.replace(records.posts[2], is_sent=False, is_overtaken=True)
    records = dataclasses.replace(records, posts=[*records.posts[:2], dropped])
    assert found(ledger, records) == {"lost"}

    pulled = Mark(what=PULLED, number=102, chat=CHAT)
    ledger.acts.append(Act(mark=pulled, farm=0, update=103, message="m103", is_tray=False, at=103.0))
    ledger.seen[pulled] = [105.0]
    answer = Post(chat=CHAT, key="reply:telegram:update:103", is_sent=True)
    journal = [*records.journals[CHAT], entry(4, "m103", TrayOut(bin="B102"))]
    records = dataclasses.replace(records, posts=[*records.posts, answer], journals={CHAT: journal})
    assert judge(ledger, CHATS, records).is_well


def test_a_second_reminder_in_the_outbox_is_doubled(ledger, records):
    again = Post(chat=CHAT, key="push:1:4", is_sent=True)
    assert found(ledger, dataclasses.replace(records, posts=[*records.posts, again])) == {"doubled"}


@pytest.mark.parametrize("field", ["waiting", "failed"])
def test_what_the_inbox_still_holds_is_lost(ledger, records, field):
    assert found(ledger, dataclasses.replace(records, **{field: 1})) == {"lost"}


def test_a_message_may_come_again_over_a_kill_and_only_then(ledger, records):
    ledger.seen[PUSHED] = [4.0, 6.0]
    verdict = judge(ledger, CHATS, records)
    assert verdict.is_well
    assert (verdict.repeated, verdict.reminders_repeated, verdict.most_repeated_by_a_kill) == (1, 1, 1)

    ledger.seen[PUSHED] = [4.0, 6.0, 7.0]
    assert found(ledger, records) == {"doubled"}


def test_two_messages_of_a_chat_that_come_again_for_one_kill_are_doubled(ledger, records):
    for mark in ledger.seen:
        ledger.seen[mark] = [4.0, 6.0]

    assert found(ledger, records) == {"doubled"}


def test_a_message_that_nothing_asked_for_is_doubled(ledger, records):
    ledger.saw(CHAT, "Something is wrong here.", 9.0)
    assert found(ledger, records) == {"doubled"}


def test_a_process_that_ended_by_itself_is_found(ledger, records):
    ledger.faults.append("a process ended by itself with 1")
    assert found(ledger, records) == {"faults"}


@pytest.mark.parametrize(
    ("text", "what", "number"),
    [
        ("Bin 312: lay tray in, Sun May 31 8 am.\nNew bin: bin 312.", "reply", 312),
        ("Bin 313: fed.", "reply", 313),
        ("Bin 1: harvested 1,314 adults.\nNew bin: bin 1.", "reply", 1314),
        ("Noted: number 315", "reply", 315),
        ("Bin 316: pull the tray. In since Sun May 31 8 am.", "push", 316),
        ("Taken back: Bin 1: harvested 317 adults.", "undone", 317),
        ("Taken back: Bin 318: fed.", "undone", 318),
        ("Taken back: Noted: number 319", "undone", 319),
        ("Tub 4: pulled from bin 320 after 26 h.", "pulled", 320),
    ],
)
def test_a_message_of_the_bot_is_known_by_its_number(text, what, number):
    assert told(CHAT, text) == Mark(what=what, number=number, chat=CHAT)
