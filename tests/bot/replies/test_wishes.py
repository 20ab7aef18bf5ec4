"""Wants and orders given, restated; each kind of them is among the examples of test_recorded."""

import pytest

from bot.ports.messages import plain
from bot.replies.voice import Voice
from bot.replies.wishes import chore_name, traits, wish_line
from core.journal import wants
from core.journal.kinds import Addable, Chore, Setting
from tests.bot.replies.records import LATER, the_farm
from tests.builders import NOON, an_event


@pytest.mark.parametrize(
    ("body", "told"),
    [
        (wants.Add(what=Addable.PLACE, name="attic", lamp=True), "Attic: added, heat lamp."),
        (wants.Add(what=Addable.PLACE, name="attic", lamp=False), "Attic: added, no lamp or humidifier."),
        (wants.Rename(old="B1", new="nursery"), "Bin 1 is called nursery from now on."),
        (wants.Set(what=Setting.WATER_TIMES, to="06:30,19:00"), "Water reminders at 6:30 am and 7 pm."),
        (wants.Set(what=Setting.QUIET_HOURS, to="22:00-06:00"), "Quiet from 10 pm to 6 am."),
        (wants.Set(what=Setting.TIMEZONE, to="America/Denver"), "Clock set to America/Denver: it is 12 pm here."),
        (wants.Snooze(minutes=60, of=(1,)), "I'll ask again at 1 pm."),
        (wants.Snooze(of=(1,)), "I'll ask again at 1 pm."),
        (wants.Pause(what=Chore.WATER, until=LATER), "No water reminders until 3 pm."),
        (wants.Resume(what=Chore.MOLD_CHECK), "Mold check reminders are on again."),
        (wants.Done(chore=Chore.WATER, of=(1,)), "Lamp shelf: watered."),
        (wants.Done(chore=Chore.WATER), "Noted: water done. I was not waiting for it."),
        (wants.Skip(chore=Chore.HATCH_CHECK), "Skipped: hatch check."),
    ],
    ids=str,
)
def test_a_want_is_restated_in_the_farms_words(body, told):
    assert plain(wish_line(Voice(the_farm(), NOON), an_event(body))) == told


def test_a_place_tells_what_it_has_and_nothing_where_nobody_said():
    voice = Voice(the_farm(), NOON)

    assert traits(voice, lamp=True, humidifier=True) == ", heat lamp and humidifier"
    assert traits(voice, lamp=False, humidifier=None) == ", no lamp or humidifier"
    assert traits(voice, lamp=None, humidifier=None) == ""


@pytest.mark.parametrize("chore", Chore)
def test_every_chore_has_a_name(chore):
    assert chore_name(Voice(the_farm(), NOON), chore)
