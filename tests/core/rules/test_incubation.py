"""Chores of the tubs of eggs."""

import datetime as dt

import pytest

from core.journal.kinds import Chore
from core.rules import hours, incubation
from core.rules.forecasts import forecasts
from tests.builders import DENVER, LORD_HOWE, a_climate, a_farm, a_place, a_tub, at, settings

PULLED = at("05-04 08:00")
LAMP = a_place("lamp shelf", lamp=True, humidifier=False)
HUMID = a_place("humid room", lamp=False, humidifier=True)
RACK = a_place("rack")


def asked(rule, farm, now, days=2.0):
    until = now + dt.timedelta(days=days)
    found = rule(farm, forecasts(farm), now, until)
    return [(c.due, c.place, c.tubs) for c in found]


def dues(rule, farm, now, days=2.0):
    return [due for due, _, _ in asked(rule, farm, now, days)]


class TestWater:
    def test_under_a_lamp_at_the_farms_two_times(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="lamp shelf"), LAMP)

        assert asked(incubation.tubs_to_water, farm, PULLED, 1) == [
            (at("05-04 18:00"), "lamp shelf", ("T1",)), (at("05-05 07:00"), "lamp shelf", ("T1",)),
        ]  # fmt: skip

    @pytest.mark.parametrize("place", ["rack", None], ids=["in a room", "nobody said where"])
    def test_once_a_day_elsewhere(self, place):
        farm = a_farm(a_tub(pulled_at=PULLED, place=place), RACK)

        assert dues(incubation.tubs_to_water, farm, PULLED) == [at("05-05 07:00"), at("05-06 07:00")]

    def test_not_where_it_is_humidified(self):
        assert dues(incubation.tubs_to_water, a_farm(a_tub(pulled_at=PULLED, place="humid room"), HUMID), PULLED) == []

    def test_under_a_lamp_although_it_is_humidified(self):
        both = a_place("lamp shelf", lamp=True, humidifier=True)

        assert (
            len(dues(incubation.tubs_to_water, a_farm(a_tub(pulled_at=PULLED, place=both.name), both), PULLED, 1)) == 2
        )

    def test_not_under_a_cover(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="lamp shelf", is_covered=True), LAMP)

        assert dues(incubation.tubs_to_water, farm, PULLED) == []

    def test_one_chore_a_place_with_all_its_tubs(self):
        tubs = [
            a_tub(f"T{n}", pulled_at=PULLED, place=place) for n, place in enumerate(["rack", "rack", "lamp shelf"], 1)
        ]

        found = asked(incubation.tubs_to_water, a_farm(*tubs, LAMP, RACK), at("05-05 06:00"), 0.1)

        assert [(place, names) for _, place, names in found if place == "rack"] == [("rack", ("T1", "T2"))]

    def test_water_given_shortly_before_counts(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="lamp shelf", watered_at=at("05-04 16:00")), LAMP)

        assert dues(incubation.tubs_to_water, farm, at("05-04 17:00"), 1) == [at("05-05 07:00")]

    def test_what_was_not_watered_stays_open_until_the_next_time(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="lamp shelf"), LAMP)

        assert dues(incubation.tubs_to_water, farm, at("05-05 06:00"), 0.1) == [at("05-04 18:00"), at("05-05 07:00")]

    def test_a_tub_is_not_asked_for_at_a_time_before_anyone_told_of_it(self):
        farm = a_farm(a_tub(pulled_at=PULLED, told_at=at("05-05 09:00"), place="lamp shelf"), LAMP)

        assert dues(incubation.tubs_to_water, farm, at("05-05 10:00"), 0.5) == [at("05-05 18:00")]

    def test_pinheads_want_water_for_three_days(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="rack", hatch_at=at("05-15 12:00")), RACK)

        assert dues(incubation.tubs_to_water, farm, at("05-17 12:00"), 1)
        assert dues(incubation.tubs_to_water, farm, at("05-18 12:00"), 1) == []

    def test_water_times_close_together_are_both_asked_for(self):
        times = (dt.time(7), dt.time(9))
        farm = a_farm(
            a_tub(pulled_at=PULLED, place="lamp shelf", watered_at=at("05-05 07:05")), LAMP,
            settings=settings(water_times=times),
        )  # fmt: skip

        assert incubation.soon_enough(farm) == dt.timedelta(hours=1)
        assert dues(incubation.tubs_to_water, farm, at("05-05 07:10"), 0.5) == [at("05-05 09:00")]

    @pytest.mark.parametrize(
        ("zone", "times", "pulled", "expected"),
        [
            pytest.param(DENVER, "02:30", "2026-03-07 08:00", ["03-08 03:30", "03-09 02:30"], id="Denver, not there"),
            pytest.param(DENVER, "01:30", "2026-10-31 08:00", ["11-01 01:30", "11-02 01:30"], id="Denver, twice"),
            pytest.param(
                LORD_HOWE, "02:15", "2026-10-03 08:00", ["10-04 02:45", "10-05 02:15"], id="Lord Howe, not there"
            ),
            pytest.param(LORD_HOWE, "01:45", "2026-04-04 08:00", ["04-05 01:45", "04-06 01:45"], id="Lord Howe, twice"),
        ],
    )
    def test_water_is_due_once_a_day_when_the_clocks_change(self, zone, times, pulled, expected):
        pulled_at = at(pulled, zone)
        kept = settings(zone, water_times=(dt.time.fromisoformat(times),))
        farm = a_farm(a_tub(pulled_at=pulled_at, place="rack"), RACK, settings=kept)

        assert dues(incubation.tubs_to_water, farm, pulled_at) == [at(time, zone) for time in expected]


class TestMold:
    def test_daily_under_a_cover(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="lamp shelf", is_covered=True), LAMP)

        assert dues(incubation.tubs_to_check_for_mold, farm, PULLED) == [at("05-05 07:00"), at("05-06 07:00")]

    def test_not_without_a_cover(self):
        assert dues(incubation.tubs_to_check_for_mold, a_farm(a_tub(pulled_at=PULLED), RACK), PULLED) == []

    def test_a_look_counts_for_the_day(self):
        farm = a_farm(a_tub(pulled_at=PULLED, is_covered=True, checked_at=at("05-05 07:20")))

        assert dues(incubation.tubs_to_check_for_mold, farm, at("05-05 08:00"), 1) == [at("05-06 07:00")]


class TestHatch:
    WARM = a_place("rack", readings=(a_climate(PULLED, temp_c=32.0),))

    def window(self, farm, tub="T1"):
        return forecasts(farm)[tub].window

    def test_daily_from_the_day_before_the_earliest_until_five_days_past_the_latest(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="rack"), self.WARM)
        window = self.window(farm)

        found = dues(incubation.tubs_to_check_for_hatch, farm, PULLED, 60)

        days, earliest, latest = (
            [hours.local(farm, moment).date() for moment in moments]
            for moments in (found, [window.earliest], [window.latest])
        )
        assert days[0] == earliest[0] - dt.timedelta(days=1)
        assert days[-1] == latest[0] + dt.timedelta(days=5)
        assert days == [days[0] + dt.timedelta(days=n) for n in range(len(days))]

    def test_not_once_pinheads_are_seen(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="rack", hatch_at=at("05-14 08:00")), self.WARM)

        assert dues(incubation.tubs_to_check_for_hatch, farm, at("05-14 09:00"), 9) == []

    def test_the_first_look_is_met_however_far_off_it_is(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="rack"), self.WARM)

        assert len(dues(incubation.tubs_to_check_for_hatch, farm, PULLED, 1)) == 1

    def test_a_tub_that_never_hatched_does_not_hide_the_next_one(self):
        farm = a_farm(
            a_tub("T1", pulled_at=at("04-01 08:00"), place="rack"),
            a_tub("T2", pulled_at=PULLED, place="rack"),
            self.WARM,
        )

        assert [tubs for _, _, tubs in asked(incubation.tubs_to_check_for_hatch, farm, PULLED, 1)] == [("T2",)]

    def test_each_tub_is_looked_at_in_its_own_days(self):
        farm = a_farm(
            a_tub("T1", pulled_at=PULLED, place="rack"),
            a_tub("T2", pulled_at=PULLED + dt.timedelta(days=2), place="rack"),
            self.WARM,
        )

        found = asked(incubation.tubs_to_check_for_hatch, farm, PULLED, 60)

        assert [tubs for _, _, tubs in found][:3] == [("T1",), ("T1",), ("T1", "T2")]
        assert found[-1][2] == ("T2",)

    def test_where_it_is_too_cold_nothing_is_looked_for(self):
        cold = a_place("rack", readings=(a_climate(PULLED, temp_c=10.0),))

        assert (
            dues(incubation.tubs_to_check_for_hatch, a_farm(a_tub(pulled_at=PULLED, place="rack"), cold), PULLED) == []
        )

    def test_a_look_counts_for_the_day_and_not_for_the_next(self):
        farm = a_farm(a_tub(pulled_at=PULLED, place="rack", hatch_checked_at=at("05-13 07:10")), self.WARM)

        assert dues(incubation.tubs_to_check_for_hatch, farm, at("05-13 08:00"), 1) == [at("05-14 07:00")]


def test_what_falls_into_the_quiet_hours_is_asked_for_after_them():
    farm = a_farm(a_tub(pulled_at=PULLED), settings=settings(water_times=(dt.time(5, 30),)))

    (chore,) = incubation.tubs_to_water(farm, {}, PULLED, PULLED + dt.timedelta(days=1))

    assert (chore.chore, chore.due, chore.ask_at) == (Chore.WATER, at("05-05 05:30"), at("05-05 07:00"))
