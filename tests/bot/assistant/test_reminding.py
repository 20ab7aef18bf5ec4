"""Reminders: events of the journal and messages to the farm's chats."""

import datetime as dt

import pytest

from core.journal.kinds import Role
from core.journal.notices import Asked
from tests.bot.assistant.talk import Talk
from tests.builders import NOON, after

DAY = dt.timedelta(days=1)


@pytest.fixture
def laid(talk):
    talk.tells("Noor", "tray_in", bin="B1")
    return talk


def test_a_reminder_goes_out_at_its_minute_to_everybody_and_into_the_journal(laid):
    (told,) = laid.pass_until(NOON + DAY)

    assert (told.at, told.to) == (NOON + DAY, ("Noor", "Tomas"))
    assert told.is_push
    (asked,) = [e for e in laid.fold.events if isinstance(e.body, Asked)]
    assert (asked.by, asked.body.bin, asked.body.due) == ("", "B1", NOON + DAY)
    assert told.outgoing.about.chores == [{"chore": "pull_tray", "due": "2026-05-05T12:00-06:00", "bin": "B1"}]


def test_each_is_reminded_in_their_own_language_the_late_line_and_the_buttons_too(laid):
    laid.tells("Tomas", "set", what="language", to="es")
    noor, tomas = laid.pass_until(NOON + DAY)

    assert (noor.to, noor.lines[0]) == (("Noor",), "Bin 1: pull the tray. In since Mon May 4 12 pm.")
    assert tomas.to == ("Tomas",)
    assert tomas.lines[0] == "Caja 1: saca la bandeja. Puesta desde el lun 4 may a las 12 pm."
    assert tomas.labels == ("Ya la saqué", "En una hora", "Esta vez no")
    assert tomas.outgoing.if_late == "Esto tocaba el mar 5 may a las 12 pm."
    assert tomas.outgoing.about == noor.outgoing.about
    assert len([e for e in laid.fold.events if isinstance(e.body, Asked)]) == 1


def test_the_farm_waits_for_what_comes_next(laid):
    assert laid.next_due == NOON + DAY

    laid.pass_until(NOON + DAY)

    assert laid.next_due == after(days=1, hours=6)


def test_a_farm_without_work_waits_for_nothing(talk):
    assert talk.next_due is None


def test_what_is_due_in_one_place_goes_into_one_message(talk):
    talk.pull("B1")
    talk.pull("B2")

    pushed = talk.pass_until(talk.clock.now().replace(hour=13) + DAY)
    mornings = [t for t in pushed if t.outgoing.about.chores[0].get("place") == "lamp shelf"]

    assert all(len(t.outgoing.about.chores) == 1 for t in mornings)
    assert mornings[-1].outgoing.about.chores[0]["tubs"] == ["T1", "T2"]


def test_a_look_for_pinheads_states_the_forecast(talk):
    talk.pull()
    told = []
    while not any("Pinheads" in t.labels for t in told):
        told += talk.pass_until(talk.next_due)

    assert [stated["tub"] for stated in told[-1].outgoing.about.forecast] == ["T1"]


def test_a_reminder_that_was_missed_goes_out_once_and_says_when_it_was_due(laid):
    laid.clock.set(after(days=1, hours=2))

    laid.desk.remind()
    (told,) = laid._drain()

    assert told.lines[-1] == "This was due Tue May 5 at 12 pm."
    assert laid.desk.remind() == 0


def test_a_late_line_is_ready_for_a_message_that_leaves_late(laid):
    (told,) = laid.pass_until(NOON + DAY)

    assert told.outgoing.if_late == "This was due Tue May 5 at 12 pm."
    assert told.outgoing.if_late not in told.text


def test_undo_takes_the_reminder_away(laid):
    laid.press("Noor", "Undo")

    assert laid.next_due is None
    assert laid.pass_until(NOON + 3 * DAY) == []


def test_nothing_is_said_in_the_quiet_hours(talk):
    talk.pull("B1")

    local = [t.at.astimezone(talk.zone) for t in talk.pass_until(NOON + 20 * DAY)]

    assert local
    assert all(7 <= at.hour < 21 for at in local)


def test_two_farms_are_reminded_each_by_itself():
    first = Talk()
    first.tells("Noor", "tray_in", bin="B1")
    second = Talk(store=first.store, is_open=False)
    second._count = 100  # keys of messages of its own
    second.open_farm(people=(("Otis", Role.OWNER),))
    second.tells("Otis", "tray_in", bin="B9")

    told = first.pass_until(NOON + DAY)

    assert [(t.to, t.lines[0].split(":")[0]) for t in told] == [(("Noor", "Tomas"), "Bin 1"), (("Otis",), "Bin 9")]
