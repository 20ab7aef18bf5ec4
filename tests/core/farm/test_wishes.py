"""What the wants of people and the reminders that went out make of the farm."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.farm.wishes import LONGEST_SNOOZE_MINUTES, USUAL_SNOOZE_MINUTES
from core.journal import facts, notices, wants
from core.journal.kinds import Addable, Chore, Role, Setting
from core.units import SizeGrade, TemperatureUnit
from tests.builders import NOON, a_journal, after

PULLED = facts.TrayOut(bin="B1", tub="T1", place="lamp shelf")
WATER = notices.Asked(chore=Chore.WATER, due=NOON, place="lamp shelf", tubs=("T1",))


def folded(*entries):
    return fold(a_journal(*entries))


def test_bins_and_tubs_without_a_name_get_the_next_number():
    farm = folded(
        *[wants.Add(what=Addable.BIN)] * 2, wants.Add(what=Addable.TUB), wants.Add(what=Addable.BIN, name="B9")
    )

    assert (list(farm.bins), list(farm.tubs)) == (["B1", "B2", "B9"], ["T1"])


def test_what_is_said_of_a_place_later_adds_to_what_is_known():
    farm = folded(
        wants.Add(what=Addable.PLACE, name="closet", lamp=True),
        wants.Add(what=Addable.PLACE, name="closet", humidifier=False),
    )

    assert (farm.places["closet"].lamp, farm.places["closet"].humidifier) == (True, False)


def test_settings_and_name_of_the_farm():
    farm = folded(wants.Set(what=Setting.NAME, to="Cricket Bend"), wants.Set(what=Setting.UNITS, to="C"))

    assert (farm.name, farm.settings.units) == ("Cricket Bend", TemperatureUnit.CELSIUS)


def test_a_setting_that_a_fix_made_impossible_changes_nothing():
    farm = folded(wants.Set(what=Setting.LAY_HOURS, to="30"), wants.Fix(of=1, slots={"to": "soon"}))

    assert farm.settings.lay_hours == 24.0


def test_each_person_chooses_their_own_language_until_it_is_taken_back():
    known = [wants.Joined(name="Ines", role=Role.HAND), wants.Joined(name="Walt", role=Role.HAND)]
    chosen = [*known, wants.Set(what=Setting.LANGUAGE, to="ES"), wants.Joined(name="Ines", role=Role.OWNER)]

    farm, before = folded(*chosen), folded(*chosen, wants.Undo(of=(3,)))

    assert {p.name: p.language for p in farm.people.values()} == {"Ines": "es", "Walt": None}
    assert farm.settings.language is None
    assert before.people["Ines"].language is None


def test_a_language_set_by_nobody_who_is_known_is_the_farms():
    farm = folded(wants.Set(what=Setting.LANGUAGE, to="es"))

    assert (farm.settings.language, farm.people) == ("es", {})


def test_people_come_change_their_role_and_go():
    farm = folded(
        wants.Joined(name="Ines", role=Role.HAND),
        wants.Joined(name="Ines", role=Role.OWNER),
        wants.Joined(name="Omar", role=Role.HAND),
        (wants.Left(name="Omar"), after(hours=1)),
    )

    assert {p.name: p.role for p in farm.people.values()} == {"Ines": Role.OWNER}


def test_orders_and_reminders_are_kept():
    farm = folded(
        wants.Order(who="Pet shop", count=500, size=SizeGrade.HALF, due=dt.date(2026, 6, 1)),
        wants.Remind(text="order feed", when=after(days=1), every="week"),
    )

    assert [(o.who, o.count, o.due) for o in farm.orders] == [("Pet shop", 500, dt.date(2026, 6, 1))]
    assert [(r.text, r.when, r.by) for r in farm.reminders] == [("order feed", after(days=1), "Ines")]


class TestPlans:
    PLAN = wants.Plan(
        bins=("B2", "B1", "B2"),
        days=(dt.date(2026, 6, 3), dt.date(2026, 6, 1), dt.date(2026, 6, 2)),
        count=500,
        size=SizeGrade.HALF,
        every="week",
    )

    def test_its_days_are_kept_by_bin_in_order(self):
        plan = folded(self.PLAN).plan

        assert plan.days == {"B2": (dt.date(2026, 6, 2), dt.date(2026, 6, 3)), "B1": (dt.date(2026, 6, 1),)}
        assert (plan.count, plan.size, plan.every) == (500, SizeGrade.HALF, "week")

    def test_a_new_plan_takes_the_place_of_the_old(self):
        plan = folded(self.PLAN, wants.Plan(bins=("B1",), days=(dt.date(2026, 7, 1),))).plan

        assert plan.days == {"B1": (dt.date(2026, 7, 1),)}
        assert plan.count is None

    def test_a_bin_is_meant_by_whatever_it_is_called(self):
        plan = folded(wants.Rename(old="B1", new="nursery"), wants.Plan(bins=("nursery",), days=(NOON.date(),))).plan

        assert plan.days == {"B1": (NOON.date(),)}

    def test_taken_back_the_old_one_holds_again(self):
        farm = folded(self.PLAN, wants.Plan(), wants.Undo(of=(2,)))

        assert set(farm.plan.days) == {"B1", "B2"}


def test_cautions_are_remembered():
    assert folded(notices.Cautioned(topic="lamp")).cautioned == {"lamp"}


class TestPauses:
    def test_a_newer_pause_of_the_same_goes_before(self):
        farm = folded(wants.Pause(what=Chore.WATER), wants.Pause(what=Chore.WATER, until=after(days=1)), wants.Pause())

        assert [(p.chore, p.until) for p in farm.pauses] == [(Chore.WATER, after(days=1)), (None, None)]

    def test_all_can_go_on_again(self):
        assert folded(wants.Pause(what=Chore.WATER), wants.Pause(), wants.Resume()).pauses == ()

    def test_one_can_go_on_while_others_are_paused(self):
        farm = folded(wants.Pause(what=Chore.WATER), wants.Pause(what=Chore.FEED), wants.Resume(what=Chore.WATER))

        assert [p.chore for p in farm.pauses] == [Chore.FEED]

    def test_one_can_go_on_while_all_is_paused(self):
        farm = folded(wants.Pause(until=after(days=9)), wants.Resume(what=Chore.WATER))

        assert {p.chore for p in farm.pauses} == set(Chore) - {Chore.WATER}
        assert {p.until for p in farm.pauses} == {after(days=9)}


class TestDone:
    @pytest.mark.parametrize(
        ("chore", "field"),
        [(Chore.WATER, "watered_at"), (Chore.MOLD_CHECK, "checked_at"), (Chore.HATCH_CHECK, "hatch_checked_at")],
    )
    def test_work_on_tubs_is_done_when_it_is_said(self, chore, field):
        asked = notices.Asked(chore=chore, due=NOON, place="lamp shelf", tubs=("T1",))

        farm = folded(PULLED, asked, (wants.Done(chore=chore, of=(2,)), after(minutes=20)))

        assert getattr(farm.tubs["T1"], field) == after(minutes=20)
        assert (farm.asked[2].ended_at, farm.asked[2].ended_by) == (after(minutes=20), "Ines")

    def test_a_tray_that_was_asked_for_is_pulled(self):
        asked = notices.Asked(chore=Chore.PULL_TRAY, due=after(hours=24), bin="B1")
        done = wants.Done(chore=Chore.PULL_TRAY, of=(2,))

        farm = folded(facts.TrayIn(bin="B1"), (asked, after(hours=24)), (done, after(hours=25)))

        assert farm.tubs["T1"].pulled_at == after(hours=25)
        assert farm.bins["B1"].tray is None

    def test_a_tray_swapped_as_the_button_is_pressed_stays_in(self):
        farm = folded(
            (facts.TrayIn(bin="B1"), NOON),
            (notices.Asked(chore=Chore.PULL_TRAY, due=after(hours=24), bin="B1"), after(hours=24)),
            (facts.TrayOut(bin="B1", tub="T1"), after(hours=25)),
            (facts.TrayIn(bin="B1", substrate="peat"), after(hours=25)),
            (wants.Done(chore=Chore.PULL_TRAY, of=(2,)), after(hours=25)),
        )

        assert farm.bins["B1"].tray.substrate == "peat"
        assert list(farm.tubs) == ["T1"]

    def test_the_button_of_last_week_does_not_pull_the_tray_of_this_one(self):
        farm = folded(
            (facts.TrayIn(bin="B1"), NOON),
            (notices.Asked(chore=Chore.PULL_TRAY, due=after(hours=24), bin="B1"), after(hours=24)),
            (facts.TrayOut(bin="B1", tub="T1"), after(hours=25)),
            (facts.TrayIn(bin="B1"), after(days=7)),
            (wants.Done(chore=Chore.PULL_TRAY, of=(2,)), after(days=7, hours=2)),
        )

        assert farm.bins["B1"].tray.put_in_at == after(days=7)
        assert list(farm.tubs) == ["T1"]

    def test_a_look_sets_no_tray_but_the_work_of_a_later_step_does(self):
        look, tray = (notices.Asked(chore=Chore.TRAY_IN, due=NOON, bin="B1", step=step) for step in (0, 1))

        assert folded(look, wants.Done(chore=Chore.TRAY_IN, of=(1,))).bins["B1"].tray is None
        assert folded(tray, wants.Done(chore=Chore.TRAY_IN, of=(1,))).bins["B1"].tray.put_in_at == NOON

    @pytest.mark.parametrize(
        "since", [[], [(facts.TrayOut(bin="B1", tub="T1"), after(days=1))]], ids=["in", "out again"]
    )
    def test_a_tray_that_was_set_meanwhile_is_not_set_again(self, since):
        farm = folded(
            (notices.Asked(chore=Chore.TRAY_IN, due=NOON, bin="B1", step=1), NOON),
            (facts.TrayIn(bin="B1"), after(hours=1)),
            *since,
            (wants.Done(chore=Chore.TRAY_IN, of=(1,)), after(days=2)),
        )

        assert farm.bins["B1"].tray_in_at == after(hours=1)

    def test_the_same_button_twice_counts_once(self):
        done = wants.Done(chore=Chore.WATER, of=(2,))

        farm = folded(PULLED, WATER, (done, after(minutes=5)), (done, after(minutes=50)))

        assert farm.tubs["T1"].watered_at == after(minutes=5)

    def test_a_skip_ends_the_reminder_and_does_no_work(self):
        farm = folded(PULLED, WATER, (wants.Skip(chore=Chore.WATER, of=(2,)), after(minutes=5)))

        assert farm.tubs["T1"].watered_at is None
        assert farm.asked[2].is_skipped

    def test_a_button_of_a_reminder_that_is_not_known_does_nothing(self):
        assert folded(PULLED, wants.Done(chore=Chore.WATER, of=(99,))).asked == {}


class TestSnooze:
    @pytest.mark.parametrize(
        ("snooze", "minutes"),
        [
            pytest.param(wants.Snooze(of=(1,)), USUAL_SNOOZE_MINUTES, id="an hour where nothing is said"),
            pytest.param(wants.Snooze(of=(1,), minutes=20), 20, id="so many minutes"),
            pytest.param(wants.Snooze(of=(1,), until=after(hours=3)), 180, id="until then"),
            pytest.param(wants.Snooze(of=(1,), minutes=10**15), LONGEST_SNOOZE_MINUTES, id="no longer than a year"),
            pytest.param(wants.Snooze(of=(1,), minutes=-5), 0, id="not into the past"),
        ],
    )
    def test_a_reminder_is_put_off(self, snooze, minutes):
        assert folded(WATER, snooze).asked[1].snoozed_until == after(minutes=minutes)
