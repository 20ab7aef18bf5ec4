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


class TestSeldomWater:
    """Where tubs keep damp for two days or more."""

    DAMP = a_place("rack", readings=(a_climate(PULLED, temp_c=29.4, rh=85.0),))
    WET = a_place("cave", readings=(a_climate(PULLED, temp_c=29.4, rh=95.0),))

    def farm(self, *tubs, **fields):
        return a_farm(*(tubs or [a_tub(pulled_at=PULLED, place="rack")]), self.DAMP, self.WET, **fields)

    def water(self, *tubs, now=PULLED, days=7.0, **fields):
        return dues(incubation.tubs_to_water, self.farm(*tubs, **fields), now, days)

    def test_every_other_day_at_the_first_of_the_farms_times(self):
        assert self.water() == [at("05-06 07:00"), at("05-08 07:00"), at("05-10 07:00")]

    def test_counted_from_the_last_water_and_never_later_than_it_keeps(self):
        evening, morning = (
            self.water(a_tub(pulled_at=PULLED, place="rack", watered_at=at(f"05-09 {time}")), now=at("05-09 19:00"))[:2]
            for time in ("18:00", "07:20")
        )

        assert evening == morning == [at("05-11 07:00"), at("05-13 07:00")]

    def test_days_apart_as_many_as_it_keeps(self):
        found = self.water(a_tub(pulled_at=PULLED, place="cave"), days=20)

        assert found == [at("05-11 07:00"), at("05-18 07:00")]

    def test_the_next_one_is_met_however_short_the_look_ahead(self):
        assert self.water(a_tub(pulled_at=PULLED, place="cave"), days=0.1) == [at("05-11 07:00")]

    def test_unanswered_it_stays_open_until_the_next_one(self):
        assert self.water(now=at("05-07 12:00"))[:2] == [at("05-06 07:00"), at("05-08 07:00")]

    def test_tubs_of_a_place_are_watered_together(self):
        later = PULLED + dt.timedelta(days=1)
        farm = self.farm(a_tub("T1", PULLED, place="rack"), a_tub("T2", later, place="rack"))

        found = asked(incubation.tubs_to_water, farm, later, 3)

        assert found == [
            (at("05-06 07:00"), "rack", ("T1",)),  # the other one has been damp for less than half of the time
            (at("05-08 07:00"), "rack", ("T1", "T2")),
        ]

    def test_a_tub_that_was_left_out_is_not_left_for_longer_than_it_keeps(self):
        later, watered = PULLED + dt.timedelta(days=1), at("05-06 07:10")
        farm = self.farm(a_tub("T1", PULLED, place="rack", watered_at=watered), a_tub("T2", later, place="rack"))

        (first, *_) = asked(incubation.tubs_to_water, farm, watered, 3)

        assert first == (at("05-07 07:00"), "rack", ("T2",))

    def test_of_a_tub_that_nobody_said_more_of_it_is_asked_after_so_many_days(self):
        tub = a_tub(pulled_at=None, known_since=PULLED, told_at=PULLED, place="rack")

        assert self.water(tub)[0] == at("05-06 07:00")

    def test_a_tub_told_of_late_is_asked_for_the_next_morning(self):
        told_at = at("05-20 09:00")

        assert self.water(a_tub(pulled_at=PULLED, place="rack", told_at=told_at), now=told_at)[0] == at("05-21 07:00")

    def test_who_found_it_dry_was_told_so_and_is_asked_the_next_morning(self):
        dry_at = at("05-06 13:00")

        found = self.water(a_tub(pulled_at=PULLED, place="rack", dry_at=dry_at), now=dry_at)

        assert found[0] == at("05-07 07:00")

    def test_a_time_of_day_chosen_later_holds_from_the_next_morning_on(self):
        kept = settings(water_times=(dt.time(8),), water_times_told_at=at("05-06 12:00"))

        assert self.water(now=at("05-06 12:00"), settings=kept)[0] == at("05-07 08:00")

    @pytest.mark.parametrize(
        ("zone", "pulled", "expected"),
        [
            pytest.param(DENVER, "2026-03-07 08:00", ["03-09 07:00", "03-11 07:00"], id="Denver"),
            pytest.param(LORD_HOWE, "2026-04-03 08:00", ["04-05 07:00", "04-07 07:00"], id="Lord Howe"),
        ],
    )
    def test_a_change_of_clocks_moves_no_day(self, zone, pulled, expected):
        pulled_at = at(pulled, zone)
        damp = a_place("rack", readings=(a_climate(pulled_at, temp_c=29.4, rh=85.0),))
        farm = a_farm(a_tub(pulled_at=pulled_at, place="rack"), damp, settings=settings(zone))

        assert dues(incubation.tubs_to_water, farm, pulled_at, 4.5) == [at(time, zone) for time in expected]


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
