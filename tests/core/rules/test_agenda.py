"""What is due, what to ask for now, and when there is next something to say."""

import datetime as dt

import pytest

from core.journal import facts, wants
from core.journal.kinds import Chore, Setting
from core.rules import hours
from core.rules.agenda import agenda, coming, last_asked, left_of
from tests.builders import DENVER, LORD_HOWE, Notebook, a_bin, a_chore, a_farm, a_place, a_tub, after, an_asked, at
from tests.core.rules.asking import ask_all, season

PULLED = at("05-04 08:00")
LAMP = a_place("lamp shelf", lamp=True)
TUB = a_tub(pulled_at=PULLED, place="lamp shelf")


def is_quiet(farm, now):
    return hours.after_quiet(farm, now) != now


class TestAsking:
    def test_what_is_due_is_open_and_asked_for(self):
        found = agenda(a_farm(TUB, LAMP), at("05-04 18:00"))

        assert [(c.chore, c.place, c.tubs) for c in found.to_ask] == [(Chore.WATER, "lamp shelf", ("T1",))]
        assert found.open == found.to_ask
        assert found.next_at == at("05-05 07:00")

    def test_what_was_asked_for_stays_open_and_is_not_asked_for_again(self):
        asked = an_asked(due=at("05-04 18:00"), place="lamp shelf", tubs=("T1",))

        found = agenda(a_farm(TUB, LAMP, asked), at("05-04 18:30"))

        assert [c.chore for c in found.open] == [Chore.WATER]
        assert found.to_ask == ()

    @pytest.mark.parametrize("is_skipped", [False, True], ids=["done", "skipped"])
    def test_what_was_done_or_skipped_is_open_no_more(self, is_skipped):
        asked = an_asked(
            due=at("05-04 18:00"), place="lamp shelf", ended_at=at("05-04 18:10"), is_skipped=is_skipped
        )  # fmt: skip

        found = agenda(a_farm(TUB, LAMP, asked), at("05-04 18:30"))

        assert (found.open, found.to_ask, found.next_at) == ((), (), at("05-05 07:00"))

    def test_the_button_of_the_first_reminder_ends_the_second_too(self):
        first = an_asked(number=1, due=at("05-04 18:00"), place="lamp shelf", ended_at=at("05-04 19:30"))
        again = an_asked(number=2, due=at("05-04 18:00"), at=at("05-04 19:00"), place="lamp shelf")

        assert agenda(a_farm(TUB, LAMP, first, again), at("05-04 19:40")).open == ()

    def test_a_reminder_sent_late_does_not_count_twice_nor_is_it_sent_twice(self):
        asked = an_asked(due=at("05-05 07:00"), at=at("05-05 17:50"), place="lamp shelf")

        assert agenda(a_farm(TUB, LAMP, asked), at("05-05 18:00")).to_ask == ()

    def test_another_time_for_water_moves_the_reminder(self):
        note = Notebook(start=PULLED)
        note.add_place(lamp=True)
        note.write(facts.TrayOut(bin="B1", tub="T1", place="lamp shelf"))
        note.write(wants.Set(what=Setting.WATER_TIMES, to="08:00,16:00"))

        assert agenda(note.farm, note.now).next_at == at("05-04 16:00")

    def test_a_farm_without_work_has_nothing_to_say(self):
        found = agenda(a_farm(), PULLED)

        assert (found.open, found.to_ask, found.next_at) == ((), (), None)

    def test_the_newest_reminder_for_a_chore_is_found(self):
        first, again = an_asked(number=1), an_asked(number=2, at=after(hours=1))

        assert last_asked(a_farm(first, again), a_chore()) == again
        assert last_asked(a_farm(first), a_chore(due=after(days=1))) is None


class TestLeft:
    def test_what_is_left_names_the_tubs_that_still_want_it(self):
        asked = an_asked(due=at("05-04 18:00"), at=at("05-04 18:00"), place="lamp shelf", tubs=("T1", "T2"))
        seen_to = a_tub("T2", pulled_at=PULLED, place="lamp shelf", watered_at=at("05-04 18:20"))

        left = left_of(a_farm(TUB, seen_to, LAMP, asked), asked, at("05-04 18:30"))

        assert left.tubs == ("T1",)

    @pytest.mark.parametrize(
        "became",
        [{"ended_at": at("05-04 18:10")}, {"snoozed_until": at("05-04 19:00")}],
        ids=["done or skipped", "put off"],
    )
    def test_nothing_is_left_of_what_was_answered(self, became):
        asked = an_asked(due=at("05-04 18:00"), at=at("05-04 18:00"), place="lamp shelf", tubs=("T1",), **became)

        assert left_of(a_farm(TUB, LAMP, asked), asked, at("05-04 18:30")) is None

    def test_a_newer_reminder_takes_the_place_of_an_older_one(self):
        first = an_asked(number=1, due=at("05-04 18:00"), at=at("05-04 18:00"), place="lamp shelf", tubs=("T1",))
        again = an_asked(number=2, due=at("05-04 18:00"), at=at("05-04 19:00"), place="lamp shelf", tubs=("T1",))
        farm = a_farm(TUB, LAMP, first, again)

        assert left_of(farm, first, at("05-04 19:30")) is None
        assert left_of(farm, again, at("05-04 19:30")) is not None


class TestTrays:
    def test_a_tray_is_asked_for_three_times(self):
        note = Notebook(start=PULLED)
        note.write(facts.TrayIn(bin="B1"))

        asked = season(note, 60)

        assert [(now, c.chore, c.step) for now, c in asked] == [
            (at("05-05 08:00"), Chore.PULL_TRAY, 0),
            (at("05-05 14:00"), Chore.PULL_TRAY, 1),
            (at("05-05 20:00"), Chore.PULL_TRAY, 2),
        ]

    def test_a_tray_is_open_only_when_it_is_due_although_it_was_asked_for_before_the_quiet_hours(self):
        farm = a_farm(a_bin(tray_in_at=at("05-04 22:00")))

        found = agenda(farm, at("05-05 20:45"))

        assert [(c.due, c.step) for c in found.to_ask] == [(at("05-05 22:00"), 0)]
        assert found.open == ()

    def test_a_tray_told_of_in_the_quiet_hours_is_asked_for_after_them(self):
        farm = a_farm(a_bin(tray_in_at=at("05-04 20:00")))

        found = agenda(farm, at("05-05 22:30"))

        assert (found.to_ask, found.next_at) == ((), at("05-06 07:00"))
        assert [c.chore for c in found.open] == [Chore.PULL_TRAY]

    def test_a_tray_is_one_piece_of_work_however_often_it_is_asked_for(self):
        farm = a_farm(a_bin(tray_in_at=at("05-04 08:00")))

        assert len(list(coming(farm, at("05-04 09:00"), at("05-11 09:00")))) == 1
        assert len(agenda(farm, at("05-05 09:00")).open) == 1

    def test_put_right_the_tray_is_asked_for_at_its_new_time(self):
        note = Notebook(start=PULLED)
        number = note.write(facts.TrayIn(bin="B1"))
        note.write(wants.Fix(of=number, at=after(PULLED, hours=-2)))

        assert agenda(note.farm, note.now).next_at == at("05-04 20:45")

    def test_taken_back_it_is_not_asked_for(self):
        note = Notebook(start=PULLED)
        number = note.write(facts.TrayIn(bin="B1"))
        note.write(wants.Undo(of=(number,)))

        assert agenda(note.farm, note.now).next_at is None

    def test_a_chirp_leads_to_a_look_a_tray_and_a_last_call(self):
        note = Notebook(start=at("05-04 19:30"))
        note.write(facts.Chirp(bin="B1"))

        asked = season(note, 60)

        assert [(now, c.step) for now, c in asked] == [
            (at("05-11 19:30"), 0), (at("05-18 19:30"), 1), (at("05-25 19:30"), 2),
        ]  # fmt: skip

    def test_a_look_that_was_had_does_not_end_the_tray_to_come(self):
        note = Notebook(start=at("05-04 19:30"))
        note.write(facts.Chirp(bin="B1"))
        ask_all(note, at("05-11 19:30"))
        note.write(wants.Done(chore=Chore.TRAY_IN, of=(note.farm.last_number,)), at("05-11 19:40"))

        found = agenda(note.farm, note.now)

        assert (found.open, found.next_at) == ((), at("05-18 19:30"))


class TestSnooze:
    def snoozed(self, start, **how):
        note = Notebook(start=start)
        note.write(facts.TrayIn(bin="B1"))
        ask_all(note, agenda(note.farm, note.now).next_at)
        note.write(wants.Snooze(of=(note.farm.last_number,), **how))
        return note

    def test_it_is_asked_for_again_when_the_time_is_up_and_then_no_more(self):
        note = self.snoozed(PULLED, minutes=60)

        assert agenda(note.farm, note.now).next_at == at("05-05 09:00")
        assert [c.step for c in ask_all(note, at("05-05 09:00"))] == [0]
        assert agenda(note.farm, at("05-05 09:00")).next_at == at("05-05 14:00")

    def test_it_may_be_asked_for_in_the_quiet_hours_where_somebody_wants_it(self):
        note = self.snoozed(at("05-04 22:00"), minutes=60)

        assert agenda(note.farm, note.now).next_at == at("05-05 21:45")
        assert [c.step for c in agenda(note.farm, at("05-05 21:45")).to_ask] == [0]

    def test_it_holds_off_what_would_be_asked_for_sooner(self):
        note = self.snoozed(PULLED, until=at("05-05 16:00"))

        assert agenda(note.farm, note.now).next_at == at("05-05 16:00")
        assert [c.step for c in ask_all(note, at("05-05 16:00"))] == [1]

    def test_it_does_not_hold_off_another_bins_tray(self):
        note = self.snoozed(PULLED, until=at("05-06 16:00"))
        note.write(facts.TrayIn(bin="B2"), at("05-05 08:00"))

        assert agenda(note.farm, at("05-05 12:00")).next_at == at("05-06 08:00")

    def test_it_does_not_hold_off_the_next_tray_of_the_bin(self):
        note = self.snoozed(PULLED, until=at("05-09 12:00"))
        note.write(facts.TrayOut(bin="B1", tub="T1", place="x", cover=False), at("05-05 09:00"))
        note.write(facts.TrayIn(bin="B1"), at("05-05 09:05"))

        asked = agenda(note.farm, at("05-06 09:05")).to_ask

        assert (Chore.PULL_TRAY, 0) in [(c.chore, c.step) for c in asked]

    def test_snoozed_past_the_next_water_it_is_one_reminder(self):
        asked = an_asked(due=at("05-04 18:00"), place="lamp shelf", snoozed_until=at("05-05 07:30"))

        found = agenda(a_farm(TUB, LAMP, asked), at("05-05 07:00"))

        assert (found.to_ask, found.next_at) == ((), at("05-05 07:30"))


class TestPause:
    @pytest.mark.parametrize("what", [None, Chore.WATER], ids=["all", "water"])
    def test_nothing_is_asked_for_while_it_lasts(self, what):
        note = Notebook(start=PULLED)
        note.write(facts.TrayOut(bin="B1", tub="T1", place="rack"))
        note.write(wants.Pause(what=what))
        note.write(wants.Pause(what=Chore.HATCH_CHECK))

        found = agenda(note.farm, at("05-05 08:00"))

        assert (found.to_ask, found.next_at) == ((), None)
        assert [c.chore for c in found.open] == [Chore.WATER]

    def test_it_ends_by_itself(self):
        note = Notebook(start=PULLED)
        note.write(facts.TrayOut(bin="B1", tub="T1", place="rack"))
        note.write(wants.Pause(until=at("05-10 12:00")))

        assert agenda(note.farm, note.now).next_at == at("05-10 12:00")
        assert [(c.chore, c.due) for c in agenda(note.farm, at("05-10 12:00")).to_ask] == [
            (Chore.WATER, at("05-10 07:00"))
        ]

    def test_a_pause_that_ends_in_the_quiet_hours_goes_on_to_their_end(self):
        note = Notebook(start=PULLED)
        note.write(facts.TrayOut(bin="B1", tub="T1", place="rack"))
        note.write(wants.Pause(until=at("05-10 23:00")))

        assert agenda(note.farm, note.now).next_at == at("05-11 07:00")
        assert agenda(note.farm, at("05-10 23:00")).to_ask == ()

    def test_it_can_be_ended(self):
        note = Notebook(start=PULLED)
        note.write(facts.TrayOut(bin="B1", tub="T1", place="rack"))
        note.write(wants.Pause())
        note.write(wants.Resume(what=Chore.WATER))

        assert agenda(note.farm, at("05-05 08:00")).to_ask != ()


def a_busy_farm(zone, start):
    note = Notebook(zone, start)
    note.add_place("lamp shelf", lamp=True)
    note.add_place("humid room", humidifier=True)
    for number, (place, cover) in enumerate(
        [("lamp shelf", False), ("lamp shelf", True), ("humid room", False), ("rack", False), (None, True)], start=1
    ):
        note.write(facts.TrayOut(bin="B1", tub=f"T{number}", place=place, cover=cover))
    note.write(facts.Chirp(bin="B2"))
    note.write(facts.TrayIn(bin="B3"))
    note.write(facts.Stocked(bin="B4", count=2000))
    note.write(facts.Bought(item="feed", mass_g=300.0))
    return note


@pytest.mark.parametrize(
    ("zone", "start", "quiet"),
    [
        pytest.param(DENVER, "2026-02-20 09:00", "21:00-07:00", id="Denver, into summer time"),
        pytest.param(DENVER, "2026-10-15 22:15", "22:30-06:15", id="Denver, out of summer time"),
        pytest.param(LORD_HOWE, "2026-09-20 13:00", "21:00-02:15", id="Lord Howe, into summer time"),
        pytest.param(LORD_HOWE, "2026-03-20 01:40", "21:00-01:45", id="Lord Howe, out of summer time"),
        pytest.param(DENVER, "2026-05-04 03:00", "off", id="no quiet hours"),
    ],
)
def test_a_season_without_an_answer_asks_for_each_chore_once_and_never_in_the_quiet_hours(zone, start, quiet):
    note = a_busy_farm(zone, at(start, zone))
    note.write(wants.Set(what=Setting.QUIET_HOURS, to=quiet))

    asked = season(note, 60)

    keys = [(c.subject, c.due, c.step) for _, c in asked]
    assert len(keys) == len(set(keys))
    assert not [now for now, _ in asked if is_quiet(note.farm, now)]
    assert {c.chore for _, c in asked} >= {
        Chore.TRAY_IN,
        Chore.PULL_TRAY,
        Chore.WATER,
        Chore.MOLD_CHECK,
        Chore.HATCH_CHECK,
    }
    watered = [hours.local(note.farm, now).date() for now, c in asked if c.chore is Chore.WATER and c.place == "rack"]
    assert watered == [watered[0] + dt.timedelta(days=n) for n in range(len(watered))]
    assert len(watered) >= 59


def test_a_season_of_work_well_done_leaves_nothing_open():
    note = a_busy_farm(DENVER, at("2026-02-20 09:00"))
    now, end = note.now, after(note.now, days=60)

    while now is not None and now < end:
        last = note.farm.last_number
        for number, chore in enumerate(ask_all(note, now), start=last + 1):
            note.write(wants.Done(chore=chore.chore, of=(number,)), now)
        found = agenda(note.farm, now)
        assert (found.open, found.to_ask) == ((), ())
        now = found.next_at

    assert note.farm.bins["B2"].tray_in_at == at("2026-03-06 09:00")
    assert note.farm.tubs["T7"].bin == "B2"


def test_reminders_that_were_held_back_come_together():
    note = a_busy_farm(DENVER, at("05-04 09:00"))
    note.write(wants.Set(what=Setting.WATER_TIMES, to="05:00,22:30"))

    morning = [c for now, c in season(note, 3) if now == at("05-06 07:00")]

    assert {c.chore for c in morning} >= {Chore.WATER, Chore.MOLD_CHECK}
