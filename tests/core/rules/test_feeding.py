"""The morning's round of feed and water."""

import datetime as dt

import pytest

from core.farm.cohorts import Cohort
from core.journal import facts
from core.journal.kinds import Chore
from core.rules import feeding
from core.rules.agenda import agenda
from tests.builders import DENVER, LORD_HOWE, NOON, Notebook, a_bin, a_farm, after, an_asked, at, settings
from tests.core.rules.asking import season

PINHEADS = Cohort(hatched_at=NOON, told=((NOON, 2000),), is_counted=True)


def stocked(name="B1", **fields):
    return a_bin(name, **({"cohorts": (PINHEADS,), "hatched_at": NOON} | fields))


def to_feed(*houses, now, until=None, zone=DENVER, **chosen):
    farm = a_farm(*houses, settings=settings(zone, **chosen))
    return [(c.due, c.bins) for c in feeding.bins_to_feed(farm, {}, now, until or now)]


def test_all_bins_are_fed_in_one_round_each_morning():
    asked = to_feed(stocked(), stocked("B2"), now=at("05-05 06:00"), until=at("05-06 12:00"))

    assert asked == [(at("05-05 07:00"), ("B1", "B2")), (at("05-06 07:00"), ("B1", "B2"))]


def test_a_bin_that_was_fed_that_day_is_left_out():
    fed = stocked("B2", fed_at=at("05-05 06:40"))

    assert to_feed(stocked(), fed, now=at("05-05 07:00")) == [(at("05-05 07:00"), ("B1",))]
    assert to_feed(fed, now=at("05-05 07:00")) == []


def test_crickets_that_came_in_that_day_were_seen_to():
    assert to_feed(stocked(), now=at("05-04 18:00")) == []


def test_the_day_is_that_of_the_farms_clocks():
    fed = stocked(fed_at=at("05-05 23:30"))

    assert to_feed(fed, now=at("05-06 06:00"), until=at("05-06 07:00")) == [(at("05-06 07:00"), ("B1",))]
    assert to_feed(stocked(), now=at("05-06 07:00", LORD_HOWE), zone=LORD_HOWE) == [
        (at("05-06 07:00", LORD_HOWE), ("B1",))
    ]


@pytest.mark.parametrize(
    "house",
    [
        pytest.param(a_bin(hatched_at=NOON), id="of which nobody told what is in it"),
        pytest.param(stocked(cohorts=(), emptied_at=NOON, fed_at=NOON), id="that is empty"),
        pytest.param(stocked(cohorts=(Cohort(told=((after(days=-50), 9),)),)), id="not spoken of for 45 days"),
    ],
)
def test_nothing_is_asked_of_a_bin(house):
    assert to_feed(house, now=at("05-05 08:00")) == []


def test_where_somebody_fed_a_bin_it_is_asked_for_although_nobody_said_what_is_in_it():
    assert to_feed(a_bin(fed_at=NOON), now=at("05-05 08:00")) == [(at("05-05 07:00"), ("B1",))]


def test_a_time_that_was_chosen_after_it_waits_for_the_next_morning():
    told = {"water_times_told_at": at("05-05 09:00")}

    assert to_feed(stocked(), now=at("05-05 09:00"), **told) == []
    assert to_feed(stocked(), now=at("05-06 09:00"), **told) == [(at("05-06 07:00"), ("B1",))]


def test_in_the_quiet_hours_nobody_is_asked():
    farm = a_farm(stocked(), settings=settings(quiet_hours=(dt.time(21), dt.time(9))))

    asked = feeding.bins_to_feed(farm, {}, at("05-05 20:00"), at("05-06 20:00"))

    assert [c.ask_at for c in asked] == [at("05-05 09:00"), at("05-06 09:00")]


def test_a_bin_is_watered_by_its_own_time():
    watered = stocked("B2", watered_at=at("05-05 06:00"), fed_at=NOON)
    farm = a_farm(stocked(fed_at=at("05-05 06:00")), watered)

    assert [(c.chore, c.bins) for c in feeding.bins_to_water(farm, {}, at("05-05 08:00"), at("05-05 08:00"))] == [
        (Chore.BIN_WATER, ("B1",))
    ]


def test_pinheads_are_young_for_two_weeks():
    assert feeding.is_young(stocked(), after(days=13))
    assert not feeding.is_young(stocked(), after(days=14))
    assert not feeding.is_young(a_bin(), NOON)


def test_a_round_is_asked_for_once_a_morning_until_nobody_told_of_the_bin_for_45_days():
    note = Notebook(start=at("05-04 08:00"))
    note.write(facts.Stocked(bin="B1", count=2000))

    asked = [now for now, chore in season(note, 60) if chore.chore is Chore.FEED]

    assert asked == [at(f"05-{day:02} 07:00") for day in range(5, 32)] + [
        at(f"06-{day:02} 07:00") for day in range(1, 19)
    ]


def test_what_was_fed_on_the_button_is_not_asked_for_again():
    asked = an_asked(Chore.FEED, due=at("05-05 07:00"), bins=("B1",), ended_at=at("05-05 07:10"))
    farm = a_farm(stocked(), asked)

    assert [c.chore for c in agenda(farm, at("05-05 07:20")).open] == [Chore.BIN_WATER]


def test_a_bin_that_is_new_since_the_morning_waits_for_the_next():
    new = a_farm(a_bin(fed_at=at("05-05 10:00")))

    asked = feeding.bins_to_water(new, {}, at("05-05 10:00"), at("05-06 10:00"))

    assert [c.due for c in asked] == [at("05-06 07:00")]


def test_water_that_was_asked_for_is_still_due_once_the_feed_is_in():
    asked = an_asked(Chore.BIN_WATER, due=at("05-05 07:00"), bins=("B1",))
    farm = a_farm(a_bin(fed_at=at("05-05 07:10")), asked)

    assert [c.chore for c in agenda(farm, at("05-05 07:20")).open] == [Chore.BIN_WATER]
