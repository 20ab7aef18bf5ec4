"""How long to wait, and when a service counts as out."""

import datetime as dt
import random

import pytest

from bot import outages
from bot.outages import Outage, pause_after
from bot.ports.sending import SendError, Trouble
from tests.contracts.records import NOON, after

CHATS = [f"telegram:{number}" for number in range(outages.CHATS_IN_A_ROW)]
ALICE = CHATS[0]
CUT = SendError("no connection", trouble=Trouble.NETWORK)


@pytest.fixture
def chance():
    return random.Random(1)  # noqa: S311 - no secret hangs on it


@pytest.fixture
def outage(chance):
    return Outage("telegram", chance)


@pytest.mark.parametrize(
    ("trouble", "longest"),
    [
        (Trouble.MESSAGE, [2, 4, 8, 16, 32, 64, 128, 256, 300, 300]),
        (Trouble.NETWORK, [1, 2, 4, 8, 16, 32, 60, 60]),
        (Trouble.SERVER, [2, 4, 8, 16, 32, 60, 60]),
    ],
)
def test_pauses_double_by_class_and_are_shortened_by_chance(chance, trouble, longest):
    error = SendError("x", trouble=trouble)

    for tries, most in enumerate(longest):
        drawn = [pause_after(error, tries, chance) for _ in range(50)]
        assert most / 2 <= min(drawn) < max(drawn) <= most


def test_a_pause_that_was_told_is_kept_and_a_little_more(chance):
    error = SendError("x", trouble=Trouble.FLOOD, retry_after=30)

    assert all(30 < pause_after(error, tries, chance) <= 31 for tries in range(20))


def test_a_few_chats_that_fail_hold_up_no_other(outage):
    for chat in CHATS[1:] * 5:
        outage.failed(chat, CUT, NOON)

    assert outage.lets_through(NOON, 0) is None


def test_what_is_wrong_with_messages_is_no_outage(outage):
    for chat in CHATS:
        outage.failed(chat, SendError("x", is_final=True), NOON)

    assert outage.lets_through(NOON, 0) is None


@pytest.mark.parametrize("trouble", [Trouble.NETWORK, Trouble.SERVER, Trouble.FLOOD])
def test_several_chats_in_a_row_are_an_outage_and_then_one_message_tries(outage, trouble):
    for chat in CHATS:
        outage.failed(chat, SendError("x", trouble=trouble), NOON)

    assert outage.lets_through(NOON, 0) == 0
    assert outage.lets_through(after(seconds=2), 0) == 1
    assert outage.lets_through(after(seconds=2), 1) == 0
    outage.worked()
    assert outage.lets_through(after(seconds=2), 0) is None


def test_a_message_that_left_in_between_says_that_it_is_the_chat(outage):
    for chat in CHATS[1:]:
        outage.failed(chat, CUT, NOON)
    outage.worked()
    outage.failed(ALICE, CUT, NOON)

    assert outage.lets_through(NOON, 0) is None


def test_many_that_fail_at_once_lengthen_the_pause_no_more_than_one(outage):
    for number in range(64):
        outage.failed(f"telegram:{number}", CUT, NOON)

    assert outage.again_at <= after(seconds=1)


def test_tries_of_an_hour_are_one_a_minute_and_it_is_found_to_be_back_within_a_minute(outage):
    now, tries = NOON, 0
    for chat in CHATS:
        outage.failed(chat, CUT, now)
    while now < after(hours=1):
        now = outage.again_at
        assert outage.lets_through(now, 0) == 1
        outage.failed(ALICE, CUT, now)
        tries += 1

    assert 60 <= tries <= 130
    assert outage.again_at - now <= dt.timedelta(seconds=outages.LONGEST_PAUSE[Trouble.NETWORK])


def test_what_the_service_says_about_waiting_counts_for_all(outage):
    for chat in CHATS:
        outage.failed(chat, SendError("x", trouble=Trouble.FLOOD, retry_after=40), NOON)

    assert outage.lets_through(after(seconds=40), 0) == 0
    assert outage.lets_through(after(seconds=41), 0) == 1


def test_a_clock_that_is_set_back_does_not_make_it_longer(outage):
    for chat in CHATS:
        outage.failed(chat, CUT, NOON)

    assert outage.lets_through(after(hours=-1), 0) == 1


def test_its_beginning_and_its_end_are_told_once(outage, log_lines):
    for chat in CHATS:
        outage.failed(chat, CUT, NOON)
    outage.worked()
    outage.worked()

    assert [line.partition(" part=outages ")[2] for line in log_lines()] == [
        'event="the service is out; one message at a time tries whether it is back" service=telegram trouble=network',
        'event="the service works again" service=telegram',
    ]
