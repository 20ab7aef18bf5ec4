"""Reminders that could not leave at their time."""

import datetime as dt

import pytest

from bot.assistant import standing
from bot.ports.intents import Intent
from bot.ports.messages import Outgoing
from core.journal.kinds import Setting
from core.rules.agenda import agenda, last_asked
from tests.bot.assistant.talk import one
from tests.builders import NOON

DAY, HOUR = dt.timedelta(days=1), dt.timedelta(hours=1)


@pytest.fixture
def pull(talk):
    """Give the reminder to pull a tray, which did not leave."""
    talk.tells("Noor", "tray_in", bin="B1")
    return one(talk.pass_until(NOON + DAY)).outgoing


def two_tubs(talk):
    """Have two tubs on the lamp shelf, one from each of two bins."""
    talk.pull("B1")
    talk.pull("B2")


def water(talk):
    """Give the reminder of the evening to water two tubs."""
    two_tubs(talk)
    pushed = [t.outgoing for t in talk.pass_until(talk.clock.now() + 7 * HOUR)]
    return next(o for o in pushed if o.about.chores[0].get("tubs") == ["T1", "T2"])


def stands(talk, outgoing, language="en"):
    return standing.as_it_stands(outgoing, talk.farm, talk.clock.now(), language)


def test_a_reminder_names_its_farm_and_other_messages_none(talk, pull):
    assert standing.farm_of(pull) == talk.farm_id
    assert standing.farm_of(Outgoing(key="reply:chat:update:1", chat=pull.chat, text="x")) is None


def test_what_is_still_to_be_done_stands_as_it_was(talk, pull):
    talk.clock.forward(hours=2)

    assert stands(talk, pull) is pull


@pytest.mark.parametrize(
    ("kind", "slots"),
    [("tray_out", {"bin": "B1", "place": "lamp shelf"}), ("undo", {}), ("done", {"chore": "pull_tray"})],
)
def test_a_tray_that_is_out_or_never_was_in_or_was_pulled_unasked_is_not_asked_for(talk, pull, kind, slots):
    talk.tells("Noor", kind, slots)

    assert stands(talk, pull) is None


@pytest.mark.parametrize("label", ["Pulled", "Skip", "In an hour"])
def test_what_somebody_else_did_left_out_or_put_off_is_not_asked_for(talk, pull, label):
    talk.presses("Tomas", label)

    assert stands(talk, pull) is None


def test_what_was_put_off_is_asked_for_again_by_itself(talk, pull):
    talk.presses("Tomas", "In an hour")
    (again,) = talk.pass_until(talk.clock.now() + HOUR)

    assert stands(talk, pull) is None
    assert stands(talk, again.outgoing) is again.outgoing


def test_the_first_of_two_reminders_for_a_tray_gives_way_to_the_second(talk, pull):
    (again,) = talk.pass_until(NOON + DAY + 6 * HOUR)

    assert stands(talk, pull) is None
    assert stands(talk, again.outgoing) is again.outgoing


def test_another_tray_in_the_same_bin_is_not_what_was_asked_for(talk, pull):
    talk.tells("Noor", "tray_out", bin="B1", place="lamp shelf")
    talk.tells("Noor", "tray_in", bin="B1")

    assert stands(talk, pull) is None


def test_tubs_that_were_watered_or_thrown_out_meanwhile_are_not_asked_for(talk):
    push = water(talk)
    assert stands(talk, push) is push

    talk.tells("Noor", "watered", tubs=["T1"])
    talk.tells("Noor", "discarded", tub="T2")

    assert stands(talk, push) is None


def test_where_a_part_is_left_the_reminder_says_that_part_and_when_it_was_due(talk):
    push = water(talk)
    assert push.about.chores[0]["tubs"] == ["T1", "T2"]
    talk.clock.forward(hours=1)
    talk.tells("Noor", "watered", tubs=["T1"])

    left = stands(talk, push)

    assert (left.key, left.chat, left.is_push) == (push.key, push.chat, True)
    assert left.about.chores[0]["tubs"] == ["T2"]
    assert "tub 2" in left.text
    assert "tub 1" not in left.text.lower()
    assert left.text.endswith(left.if_late)
    assert [b.label for row in left.buttons for b in row] == [b.label for row in push.buttons for b in row]


def test_of_two_chores_in_a_message_the_one_that_is_left_is_asked_for(talk):
    talk.pull("B1")
    talk.tells("Noor", "covered", tubs=["T1"], on=True)
    talk.pull("B2")
    pushed = talk.pass_until(talk.clock.now() + 20 * HOUR)
    both = next(t.outgoing for t in pushed if {"Watered", "Looked, no mold"} <= set(t.labels))
    talk.tells("Noor", "watered", tubs=["T2"])

    left = stands(talk, both, "es")

    assert [c["chore"] for c in left.about.chores] == ["mold_check"]
    assert left.buttons[0][0].label == "Revisé, sin moho"
    talk.presses_data("Noor", left.buttons[0][0].data)
    assert stands(talk, both) is None


def test_yesterdays_water_gives_way_to_todays(talk):
    push = water(talk)
    later = [t.outgoing for t in talk.pass_until(talk.clock.now() + DAY) if "Watered" in t.labels]

    assert stands(talk, push) is None
    assert stands(talk, later[-1]) is later[-1]


def test_other_times_of_water_do_not_swallow_what_was_asked_for(talk):
    push = water(talk)
    talk.tells("Noor", "set", what="water_times", to="08:00,19:00")

    again = [t.outgoing for t in talk.pass_until(talk.clock.now() + 2 * HOUR) if "Watered" in t.labels]

    assert (stands(talk, push) is not None) != bool(again)


def test_a_hatch_that_was_seen_ends_the_looking(talk):
    talk.pull()
    looked_for = []
    while not looked_for:
        looked_for = [t.outgoing for t in talk.pass_until(talk.next_due) if "Pinheads" in t.labels]
    talk.means("pinheads", Intent(kind="hatch", slots={"tub": "T1"}))
    assert stands(talk, looked_for[0]) is looked_for[0]

    talk.says("Noor", "pinheads")

    assert [c["chore"] for c in stands(talk, looked_for[0]).about.chores] == ["water"]


def test_in_the_quiet_hours_a_late_reminder_wakes_nobody(talk, pull):
    talk.clock.forward(hours=5)
    assert not stands(talk, pull).is_silent

    talk.tells("Noor", "set", what="quiet_hours", to="16:00-07:00")

    late = stands(talk, pull)
    assert late.is_silent
    assert (late.text, late.buttons) == (pull.text, pull.buttons)


def test_what_somebody_wanted_in_the_quiet_hours_may_ring_then(talk, pull):
    talk.tells("Noor", "set", what="quiet_hours", to="12:30-07:00")
    talk.presses("Noor", "In an hour")
    (again,) = talk.pass_until(talk.clock.now() + HOUR)
    talk.clock.forward(minutes=20)

    assert not stands(talk, again.outgoing).is_silent


def test_reminders_that_were_stopped_meanwhile_are_sent_all_the_same_since_nothing_asks_for_them_again(talk, pull):
    talk.tells("Noor", "pause")

    assert stands(talk, pull) is pull


def test_what_is_dropped_in_a_season_without_answers_is_always_asked_for_again_or_over(talk):
    two_tubs(talk)
    talk.tells("Noor", "chirp", bin="B3")
    talk.tells("Noor", "set", what=Setting.QUIET_HOURS.value, to="20:00-06:30")
    sent = []
    for _ in range(60):
        sent += [t.outgoing for t in talk.pass_until(talk.clock.now() + 7 * HOUR)]
        standing_now = [s for o in sent if (s := stands(talk, o)) is not None]
        asked = {(c["chore"], c.get("bin"), c.get("place")) for o in standing_now for c in o.about.chores}
        assert {(c.chore.value, c.bin, c.place) for c in open_of(talk)} <= asked


def open_of(talk):
    """Give what is open and was asked for."""
    now = talk.clock.now()
    return [chore for chore in agenda(talk.farm, now).open if last_asked(talk.farm, chore) is not None]
