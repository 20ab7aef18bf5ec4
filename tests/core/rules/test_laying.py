"""Chores of the lay tray."""

import datetime as dt

import pytest

from core.farm.farm import TrayPlan
from core.journal.kinds import Chore, Holds
from core.rules import laying
from tests.builders import DENVER, LORD_HOWE, a_bin, a_farm, after, at, settings


def to_set(house, now, zone=DENVER):
    farm = a_farm(house, settings=settings(zone))
    return [(c.step, c.due, c.ask_at) for c in laying.trays_to_set(farm, {}, now, now)]


def to_pull(house, now, zone=DENVER, **kept):
    farm = a_farm(house, settings=settings(zone, **kept))
    return [(c.step, c.due, c.ask_at) for c in laying.trays_to_pull(farm, {}, now, now)]


class TestSettingATray:
    CHIRPED = at("05-04 19:30")

    def test_a_look_at_7_days_a_tray_on_day_14_and_the_latest_on_day_21(self):
        asked = to_set(a_bin(chirped_at=self.CHIRPED), self.CHIRPED)

        assert [(step, due) for step, due, _ in asked] == [
            (0, at("05-11 19:30")), (1, at("05-18 19:30")), (2, at("05-25 19:30")),
        ]  # fmt: skip

    def test_of_what_is_past_only_the_newest_is_left(self):
        asked = to_set(a_bin(chirped_at=self.CHIRPED), at("05-19 08:00"))

        assert [step for step, _, _ in asked] == [1, 2]

    def test_after_day_21_the_last_call_stays_open(self):
        assert [step for step, _, _ in to_set(a_bin(chirped_at=self.CHIRPED), at("07-01 08:00"))] == [2]

    def test_a_chirp_in_the_night_is_asked_about_when_the_quiet_hours_are_over(self):
        asked = to_set(a_bin(chirped_at=at("05-04 23:10")), at("05-05 08:00"))

        assert asked[0] == (0, at("05-11 23:10"), at("05-12 07:00"))

    @pytest.mark.parametrize(
        "house",
        [
            pytest.param(a_bin(), id="that does not chirp"),
            pytest.param(a_bin(chirped_at=CHIRPED, hatched_at=after(CHIRPED, days=2)), id="with a younger batch in it"),
            pytest.param(a_bin(chirped_at=CHIRPED, tray_in_at=after(CHIRPED, days=9)), id="with a tray in it"),
            pytest.param(a_bin(chirped_at=CHIRPED, tray=None, tray_in_at=after(CHIRPED, days=9)), id="that had one"),
        ],
    )
    def test_no_tray_is_asked_for_in_a_bin(self, house):
        assert to_set(house, at("05-20 08:00")) == []

    def test_a_tray_of_the_generation_before_does_not_count(self):
        house = a_bin(chirped_at=self.CHIRPED, tray=None, tray_in_at=after(self.CHIRPED, days=-30))

        assert len(to_set(house, self.CHIRPED)) == 3

    @pytest.mark.parametrize(
        ("zone", "chirped", "looked"),
        [
            pytest.param(DENVER, "03-01 02:30", "03-08 03:30", id="Denver, does not exist"),
            pytest.param(DENVER, "10-25 01:30", "11-01 01:30", id="Denver, comes twice"),
            pytest.param(LORD_HOWE, "09-27 02:15", "10-04 02:45", id="Lord Howe, does not exist"),
            pytest.param(LORD_HOWE, "03-29 01:45", "04-05 01:45", id="Lord Howe, comes twice"),
        ],
    )
    def test_the_look_is_at_the_time_of_the_chirp_when_the_clocks_change(self, zone, chirped, looked):
        chirped_at = at(chirped, zone)

        assert to_set(a_bin(chirped_at=chirped_at), chirped_at, zone)[0][1] == at(looked, zone)


class TestPullingATray:
    def test_after_24_hours_again_6_hours_later_and_past_36_hours(self):
        put_in_at = at("05-04 08:00")

        asked = to_pull(a_bin(tray_in_at=put_in_at), put_in_at)

        assert asked == [
            (0, at("05-05 08:00"), at("05-05 08:00")),
            (1, at("05-05 08:00"), at("05-05 14:00")),
            (2, at("05-05 08:00"), at("05-05 20:00")),
        ]

    def test_a_tray_due_in_the_quiet_hours_is_asked_for_just_before_them(self):
        put_in_at = at("05-04 22:00")

        asked = to_pull(a_bin(tray_in_at=put_in_at), put_in_at)

        assert asked[0] == (0, at("05-05 22:00"), at("05-05 20:45"))
        assert [ask_at for _, _, ask_at in asked[1:]] == [at("05-06 07:00"), at("05-06 10:00")]

    def test_a_tray_is_not_asked_for_before_it_was_put_in(self):
        put_in_at = at("05-04 20:50")

        assert to_pull(a_bin(tray_in_at=put_in_at), put_in_at, lay_hours=1.0)[0][2] == put_in_at

    def test_the_farms_lay_hours_count(self):
        put_in_at = at("05-04 08:00")

        asked = to_pull(a_bin(tray_in_at=put_in_at), put_in_at, lay_hours=48.0, quiet_hours=None)

        assert [ask_at - put_in_at for _, _, ask_at in asked] == [dt.timedelta(hours=h) for h in (48, 54, 60)]

    def test_of_what_is_past_only_the_newest_is_left(self):
        asked = to_pull(a_bin(tray_in_at=at("05-04 08:00")), at("05-07 12:00"))

        assert [step for step, _, _ in asked] == [laying.PULL_STEP_LONG]

    def test_a_bin_without_a_tray_has_none_to_pull(self):
        assert to_pull(a_bin(), at("05-04 08:00")) == []
        assert laying.pull_steps(a_farm(), a_bin()) == []

    @pytest.mark.parametrize(
        ("zone", "put_in", "due"),
        [
            pytest.param(DENVER, "03-07 08:00", "03-08 09:00", id="Denver, a day of 23 hours"),
            pytest.param(DENVER, "10-31 08:00", "11-01 07:00", id="Denver, a day of 25 hours"),
            pytest.param(LORD_HOWE, "10-03 08:00", "10-04 08:30", id="Lord Howe, half an hour less"),
            pytest.param(LORD_HOWE, "04-04 08:00", "04-05 07:30", id="Lord Howe, half an hour more"),
        ],
    )
    def test_24_hours_are_24_hours_when_the_clocks_change(self, zone, put_in, due):
        put_in_at = at(put_in, zone)

        assert to_pull(a_bin(tray_in_at=put_in_at), put_in_at, zone)[0][1] == at(due, zone)

    def test_it_is_the_tray_of_its_bin_that_is_asked_for(self):
        (first, *_) = laying.pull_steps(a_farm(), a_bin("B4", tray_in_at=at("05-04 08:00")))

        assert (first.chore, first.bin, first.tubs) == (Chore.PULL_TRAY, "B4", ())


class TestThePlan:
    DAYS = (dt.date(2026, 5, 18), dt.date(2026, 5, 20), dt.date(2026, 5, 26))

    def planned(self, now, until=None, **house):
        fields = {"chirped_at": at("05-04 19:30"), "holds": Holds.ADULTS} | house
        other = a_bin("B2", chirped_at=at("05-04 19:30"))
        farm = a_farm(a_bin(**fields), other, plan=TrayPlan(number=1, days={"B1": self.DAYS}))
        found = list(laying.trays_to_set(farm, {}, now, until or now))
        return [(c.step, c.due) for c in found if c.bin == "B1"], [c.step for c in found if c.bin == "B2"]

    def test_its_trays_are_asked_for_on_their_mornings_and_no_others(self):
        asked, _ = self.planned(at("05-17 12:00"), at("05-31 12:00"))

        assert asked == [(3, at(f"05-{day} 07:00")) for day in (18, 20, 26)]

    def test_no_further_is_looked_than_to_the_next_one(self):
        asked, _ = self.planned(at("05-17 12:00"))

        assert asked == [(3, at("05-18 07:00"))]

    def test_a_bin_without_planned_trays_goes_by_its_chirp(self):
        _, others = self.planned(at("05-17 12:00"))

        assert others == [0, 1, 2]

    def test_a_tray_that_went_in_that_day_is_the_planned_one(self):
        asked, _ = self.planned(at("05-19 12:00"), tray_in_at=at("05-18 08:00"), tray=None)

        assert [due for _, due in asked] == [at("05-20 07:00")]

    def test_one_that_is_late_waits_until_the_old_tray_is_out(self):
        still_in, _ = self.planned(at("05-20 08:00"), tray_in_at=at("05-18 08:00"))
        out, _ = self.planned(at("05-20 08:00"), tray_in_at=at("05-18 08:00"), tray=None)

        assert [due for _, due in still_in] == [at("05-26 07:00")]
        assert [due for _, due in out] == [at("05-20 07:00"), at("05-26 07:00")]

    def test_after_two_days_one_is_given_up(self):
        asked, _ = self.planned(at("05-23 08:00"))

        assert [due for _, due in asked] == [at("05-26 07:00")]

    @pytest.mark.parametrize(
        "house", [{"held_since": at("05-16 08:00")}, {"holds": Holds.NOTHING}], ids=["held back", "empty"]
    )
    def test_no_tray_is_asked_for_where_none_lay(self, house):
        assert self.planned(at("05-17 12:00"), **house)[0] == []

    def test_when_all_are_past_the_bin_goes_by_its_chirp_again(self):
        asked, _ = self.planned(at("06-10 08:00"), chirped_at=at("06-05 08:00"))

        assert [step for step, _ in asked] == [0, 1, 2]
