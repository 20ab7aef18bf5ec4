"""Playing a file of timed messages."""

import datetime as dt

import pytest

from bot.channels.json_lines import Line, LineError
from bot.channels.replay import Player, SimulatedClock, StuckError, address
from tests.bot.channels.desks import EchoDesk
from tests.memory import MemoryStore

NINE = dt.datetime(2026, 5, 1, 9, tzinfo=dt.UTC)


def a_line(number, sender="Noor", *, minutes=0, **said):
    return Line(number=number, at=NINE + dt.timedelta(minutes=minutes), sender=sender, **said)


@pytest.fixture
def clock():
    return SimulatedClock(NINE)


@pytest.fixture
def store():
    return MemoryStore()


@pytest.fixture
def desk(store, clock):
    return EchoDesk(store, clock)


@pytest.fixture
def player(store, desk, clock):
    return Player(store, desk, clock)


def test_a_message_gives_a_line_with_empty_fields_left_out(player):
    said = list(player.play([a_line(1, text="hello")]))

    assert said == [
        {"at": "2026-05-01T09:00+00:00", "to": ["Noor"], "type": "reply", "text": "heard hello", "buttons": ["Yes"]}
    ]


def test_reminders_come_at_their_own_time_between_two_messages(player):
    said = list(player.play([a_line(1, text="a"), a_line(2, minutes=150, text="b")]))

    assert [(line["at"][11:16], line["type"]) for line in said] == [
        ("09:00", "reply"),
        ("10:00", "push"),
        ("11:00", "push"),
        ("11:30", "reply"),
    ]
    assert said[1]["chores"] == [{"chore": "water"}]
    assert said[1]["text"] == "Shelf: water."


def test_it_goes_on_with_reminders_until_told(player):
    said = list(player.play([a_line(1, text="a")], NINE + dt.timedelta(hours=2)))

    assert [line["at"][11:16] for line in said] == ["09:00", "10:00", "11:00"]


def test_a_reminder_at_the_time_of_a_message_comes_before_its_answer(player):
    said = list(player.play([a_line(1, text="a"), a_line(2, minutes=60, text="b")]))

    assert [line["type"] for line in said] == ["reply", "push", "reply"]


def test_a_second_sender_is_a_hand_of_the_same_farm_and_a_push_to_both_is_one_line(player, store):
    said = list(player.play([a_line(1, text="a"), a_line(2, "Tomas", text="b")], NINE + dt.timedelta(hours=1)))

    assert said[-1]["to"] == ["Noor", "Tomas"]
    with store.begin() as work:
        assert {m.name: m.role for m in work.people.members(1)} == {"Noor": "owner", "Tomas": "hand"}
        assert [(e.body.name, e.body.role) for e in work.journal.since(1)] == [("Tomas", "hand")]


def test_a_line_may_tell_the_language_of_its_sender_as_a_service_does(player, desk):
    list(player.play([a_line(1, text="a", language="es-MX"), a_line(2, "Tomas", text="b")]))

    assert [incoming.sender.language for incoming in desk.heard] == ["es-MX", None]


def test_a_name_in_other_letters_is_the_same_person(player, store):
    said = list(player.play([a_line(1, text="a"), a_line(2, "NOOR", text="b")]))

    assert [line["to"] for line in said] == [["Noor"], ["Noor"]]


def test_a_press_finds_the_newest_button_of_that_label(player, desk):
    list(
        player.play(
            [a_line(1, text="a"), a_line(2, minutes=61, press="in an hour"), a_line(3, minutes=62, press="Yes")]
        )
    )

    assert [incoming.press for incoming in desk.heard] == [None, "1:later", "1:yes"]


def test_a_press_of_a_button_that_was_not_shown_names_the_line(player):
    with pytest.raises(LineError, match=r"^Line 2: Noor was shown no button 'No'\.$"):
        list(player.play([a_line(1, text="a"), a_line(2, press="No")]))


def test_a_message_from_before_the_start_arrives_late(player, desk, clock):
    said = list(player.play([a_line(1, minutes=-30, text="a")]))

    assert said[0]["at"] == "2026-05-01T09:00+00:00"
    assert desk.heard[0].sent_at == NINE - dt.timedelta(minutes=30)
    assert clock.now() == NINE


def test_rules_that_do_not_move_on_end_in_an_error(store, clock):
    class StuckDesk(EchoDesk):
        def remind(self):
            return 0

    with pytest.raises(StuckError):
        list(Player(store, StuckDesk(store, clock), clock).play([a_line(1, text="a")], NINE + dt.timedelta(days=1)))


def test_addresses_are_of_this_channel():
    assert address("Noor") == "replay:Noor"
