"""Chores of one growing bin now and then."""

import pytest

from core.farm.cohorts import Cohort
from core.journal import facts
from core.journal.kinds import Chore, Holds
from core.rules import grow_out
from core.rules.agenda import agenda
from core.rules.grow_out import FIRST_CHIRP, GROWING_DAYS, STILL_TO_SEE
from core.rules.growth import course_of
from core.rules.space import ROOM
from core.units import SizeGrade
from tests.builders import NOON, Notebook, a_bin, a_climate, a_farm, after, an_asked, at
from tests.core.rules.asking import season

NEXT_DAY = after(days=1)
WARM = (a_climate(NOON, temp_c=30.0),)
SIZED = [SizeGrade.EIGHTH, SizeGrade.QUARTER, SizeGrade.THREE_EIGHTHS, SizeGrade.HALF]


def cohort(count=2000, came_at=NOON, hatched_at=NOON):
    return Cohort(hatched_at=hatched_at, told=((came_at, count),), is_counted=True)


def stocked(name="B1", count=2000, **fields):
    known = {"cohorts": (cohort(count),), "count": count, "hatched_at": NOON, "holds": Holds.PINHEADS, "readings": WARM}
    return a_bin(name, **(known | fields))


def asked_by(rule, *houses, now, reminders=()):
    return list(rule(a_farm(*houses, *reminders), {}, now, now))


class TestCleaning:
    def asked(self, *houses, now=NEXT_DAY):
        return [(c.due, c.bins) for c in asked_by(grow_out.bins_to_clean, *houses, now=now)]

    def test_two_weeks_after_crickets_came_in_and_after_each_time(self):
        assert self.asked(stocked()) == [(at("05-18 07:00"), ("B1",))]
        assert self.asked(stocked(cleaned_at=at("05-10 16:00"))) == [(at("05-24 07:00"), ("B1",))]

    def test_bins_of_one_day_are_cleaned_in_one_round(self):
        houses = (stocked(), stocked("B2"), stocked("B3", cleaned_at=at("05-05 08:00")))

        assert self.asked(*houses) == [(at("05-18 07:00"), ("B1", "B2")), (at("05-19 07:00"), ("B3",))]

    def test_crickets_that_are_put_to_them_put_nothing_off(self):
        later = stocked(cohorts=(cohort(), cohort(500, came_at=after(days=10))))

        assert self.asked(later, now=after(days=11)) == [(at("05-18 07:00"), ("B1",))]

    def test_nobody_is_asked_to_clean_a_bin_that_nobody_told_of(self):
        assert self.asked(a_bin(cleaned_at=NOON, hatched_at=NOON)) == []
        assert self.asked(a_bin(fed_at=NOON)) == []

    def test_the_round_of_another_day_is_asked_for_of_its_own(self):
        farm = a_farm(stocked(), stocked("B2", cleaned_at=at("05-05 08:00")), *self.reminder("B1", number=1))

        found = [c.bins for c in agenda(farm, at("05-19 07:00")).to_ask if c.chore is Chore.CLEAN]

        assert found == [("B2",)]

    def test_of_a_round_that_was_asked_for_the_bins_that_are_left_are_not_asked_for_again(self):
        farm = a_farm(stocked(), stocked("B2", cleaned_at=at("05-18 09:00")), *self.reminder("B1", "B2", number=1))

        found = agenda(farm, at("05-18 09:10"))

        assert [c.bins for c in found.open if c.chore is Chore.CLEAN] == [("B1",)]
        assert Chore.CLEAN not in {c.chore for c in found.to_ask}

    def reminder(self, *names, number):
        return [an_asked(Chore.CLEAN, number, due=at("05-18 07:00"), bins=names)]


class TestSplitting:
    def asked(self, house, now=NEXT_DAY):
        return [c.due for c in asked_by(grow_out.bins_to_split, house, now=now)]

    def test_a_bin_with_too_many_is_split_two_days_before_they_are_big(self):
        assert self.asked(stocked(count=2 * ROOM)) == [at("05-17 07:00")]

    def test_a_bin_that_big_ones_came_into_is_split_the_morning_after(self):
        house = stocked(cohorts=(cohort(2 * ROOM, came_at=at("06-04 12:00")),), count=2 * ROOM)

        assert self.asked(house, now=at("06-04 13:00")) == [at("06-05 07:00")]

    @pytest.mark.parametrize(
        "house",
        [
            pytest.param(stocked(count=ROOM), id="room enough"),
            pytest.param(stocked(count=None, cohorts=(Cohort(hatched_at=NOON),)), id="nobody said how many"),
        ],
    )
    def test_nothing_is_asked_where_there_is(self, house):
        assert self.asked(house) == []


class TestSizes:
    def asked(self, house, now, reminders=()):
        found = asked_by(grow_out.sizes_to_check, house, now=now, reminders=reminders)
        return [(grow_out.grade_of(c.step), c.due) for c in found]

    def test_each_grade_is_looked_for_on_the_morning_after_it_is_due(self):
        house = stocked()
        expected = dict(course_of(a_farm(house), house).sizes)

        asked = dict(self.asked(house, after(days=1)))

        assert list(asked)[:4] == SIZED
        assert all(0 <= (due - expected[size]).total_seconds() < 86400 for size, due in asked.items())
        assert {due.astimezone(at("05-04 07:00").tzinfo).hour for due in asked.values()} == {at("05-04 07:00").hour}

    def test_what_was_seen_is_not_looked_for_nor_what_came_in_that_big(self):
        assert next(iter(self.asked(stocked(size=SizeGrade.QUARTER), after(days=1))))[0] is SizeGrade.THREE_EIGHTHS
        moved = stocked(cohorts=(cohort(came_at=after(days=20)),))
        assert next(iter(self.asked(moved, after(days=20))))[0] is SizeGrade.THREE_EIGHTHS

    def test_only_the_newest_of_what_is_past_is_left_and_not_for_long(self):
        house = stocked()
        due = dict(self.asked(house, after(days=1)))[SizeGrade.QUARTER]

        assert self.asked(house, due)[0] == (SizeGrade.QUARTER, due)
        assert self.asked(house, due + STILL_TO_SEE)[0] == (SizeGrade.QUARTER, due)
        assert self.asked(house, after(due + STILL_TO_SEE, hours=1))[0][0] is SizeGrade.THREE_EIGHTHS

    @pytest.mark.parametrize(
        "house",
        [
            pytest.param(stocked(holds=Holds.ADULTS), id="grown"),
            pytest.param(
                stocked(cohorts=(Cohort(hatched_at=NOON, told=((after(days=-1 - GROWING_DAYS), 9),)),)), id="old"
            ),
            pytest.param(a_bin(hatched_at=NOON), id="not told of"),
            pytest.param(a_bin(fed_at=NOON), id="only fed"),
        ],
    )
    def test_no_size_is_asked_for_of_crickets(self, house):
        assert self.asked(house, after(days=1)) == []

    def test_a_season_without_an_answer_asks_once_a_grade(self):
        note = Notebook(start=at("05-04 08:00"))
        note.write(facts.Stocked(bin="B1", count=2000))

        asked = [grow_out.grade_of(c.step) for _, c in season(note, 100) if c.chore is Chore.SIZE_CHECK]

        assert asked == sorted(set(asked), key=list(SizeGrade).index)
        assert asked[-1] is SizeGrade.FIVE_EIGHTHS

    def test_a_bin_that_turns_out_slower_is_not_asked_for_the_same_grade_again(self):
        due = dict(self.asked(stocked(), after(days=1)))[SizeGrade.QUARTER]
        step = list(SizeGrade).index(SizeGrade.QUARTER)
        done = an_asked(Chore.SIZE_CHECK, due=due, step=step, bin="B1", ended_at=after(due, hours=1))
        colder = stocked(readings=(*WARM, a_climate(after(days=2), temp_c=27.0)))

        found = agenda(a_farm(colder, done), after(due, days=3))

        assert (SizeGrade.QUARTER, due) not in self.asked(colder, after(days=1))
        assert step not in {c.step for c in found.waiting if c.chore is Chore.SIZE_CHECK}

    def test_a_new_batch_in_the_same_bin_is_looked_at_again(self):
        step = list(SizeGrade).index(SizeGrade.HALF)
        before = an_asked(Chore.SIZE_CHECK, due=after(days=-3), step=step, bin="B1", ended_at=after(days=-3))

        waiting = agenda(a_farm(stocked(), before), after(days=1)).waiting

        assert {list(SizeGrade).index(size) for size in SIZED} <= {
            c.step for c in waiting if c.chore is Chore.SIZE_CHECK
        }

    def test_what_was_not_asked_for_in_its_morning_waits_for_the_next(self):
        due = dict(self.asked(stocked(), NEXT_DAY))[SizeGrade.QUARTER]
        step = list(SizeGrade).index(SizeGrade.QUARTER)
        snoozed = an_asked(
            Chore.SIZE_CHECK, due=due, step=step, bin="B1", snoozed_until=after(due, hours=2)
        )  # fmt: skip

        def ask_at(now, *reminders):
            return asked_by(grow_out.sizes_to_check, stocked(), now=now, reminders=reminders)[0].ask_at

        assert ask_at(after(due, minutes=40)) == due
        assert ask_at(after(due, hours=5)) == after(due, days=1)
        assert ask_at(after(due, hours=5), snoozed) == due


class TestFirstChirp:
    def asked(self, house, now=NEXT_DAY):
        return [(c.step, c.due) for c in asked_by(grow_out.chirps_to_hear, house, now=now)]

    def test_it_is_listened_for_when_the_first_have_wings_and_when_most_males_should_sing(self):
        house = stocked()
        course = course_of(a_farm(house), house)

        first, most = self.asked(house)

        assert (first[0], most[0]) == (0, 1)
        assert course.first_adults <= first[1] < after(course.first_adults, days=1)
        assert course.adults + FIRST_CHIRP <= most[1] < after(course.adults + FIRST_CHIRP, days=1)

    def test_adults_that_were_seen_date_it(self):
        seen = at("06-10 12:00")
        house = stocked(holds=Holds.ADULTS, size=SizeGrade.ADULT, sizes=((seen, SizeGrade.ADULT),))

        assert [step for step, _ in self.asked(house)] == [1]
        assert seen + FIRST_CHIRP <= self.asked(house)[0][1] < after(seen + FIRST_CHIRP, days=1)

    def test_a_chirp_ends_it_but_not_one_of_the_crickets_before(self):
        assert self.asked(stocked(chirped_at=after(days=40)), after(days=41)) == []
        assert len(self.asked(stocked(chirped_at=after(days=-20)))) == 2

    @pytest.mark.parametrize(
        "house",
        [
            pytest.param(stocked(readings=(a_climate(NOON, temp_c=10.0),)), id="too cold"),
            pytest.param(stocked(holds=Holds.ADULTS), id="nobody said since when they are grown"),
            pytest.param(a_bin(fed_at=NOON), id="nobody said since when they are there"),
        ],
    )
    def test_nothing_is_listened_for(self, house):
        assert self.asked(house) == []

    def test_two_weeks_on_nobody_is_asked_any_more(self):
        last = self.asked(stocked())[-1][1]

        assert self.asked(stocked(), after(last, days=14)) == [(1, last)]
        assert self.asked(stocked(), after(last, days=15)) == []

    def test_a_season_leads_from_the_pinheads_to_the_tray(self):
        note = Notebook(start=at("05-04 08:00"))
        note.write(facts.Stocked(bin="B1", count=2000))
        before = [(now, c.step) for now, c in season(note, 70) if c.chore is Chore.FIRST_CHIRP]
        note.write(facts.Chirp(bin="B1"))

        after_it = {c.chore for _, c in season(note, 20)}

        assert [step for _, step in before] == [0, 1]
        assert Chore.TRAY_IN in after_it
        assert Chore.FIRST_CHIRP not in after_it
