"""Water where tubs keep damp for days, as it is asked for in real time."""

import pytest

from core.journal import facts, wants
from core.journal.kinds import Chore
from core.rules import hours
from core.rules.agenda import agenda, coming
from tests.builders import Notebook, after, at
from tests.core.rules.asking import ask_all, season

PULLED = at("05-04 08:00")


class TestSeldomWater:
    """Where tubs keep damp for days; hatch checks are paused, so that water alone wakes the agenda."""

    def humid(self, rh):
        note = Notebook(start=PULLED)
        note.add_place("humid room", humidifier=True)
        note.write(facts.Reading(place="humid room", temp_c=29.4, rh=rh))
        note.write(wants.Pause(what=Chore.HATCH_CHECK))
        note.write(facts.TrayOut(bin="B1", tub="T1", place="humid room"))
        return note

    def watered_on(self, note, days):
        """Answer each reminder after ten minutes; give the days that were asked on."""
        found, end = [], after(note.now, days=days)
        while (now := agenda(note.farm, note.now).next_at) < end:  # never None
            (chore,) = ask_all(note, now)
            assert (chore.chore, chore.due) == (Chore.WATER, now)
            note.write(wants.Done(chore=Chore.WATER, of=(note.farm.last_number,)), after(now, minutes=10))
            found.append(hours.local(note.farm, now).date().day)
        return found

    @pytest.mark.parametrize(("rh", "expected"), [(85.0, [6, 8, 10, 12]), (95.0, [11])], ids=["2 days", "a week"])
    def test_it_is_asked_for_in_real_time_every_so_many_days(self, rh, expected):
        assert self.watered_on(self.humid(rh), 9) == expected

    @pytest.mark.parametrize(("rh", "expected"), [(85.0, [6, 8, 10, 12]), (95.0, [11])], ids=["2 days", "a week"])
    def test_it_is_listed_every_so_many_days(self, rh, expected):
        note = self.humid(rh)

        work = [c for c in coming(note.farm, note.now, after(note.now, days=8)) if c.chore is Chore.WATER]

        assert [hours.local(note.farm, c.due).date().day for c in work] == expected

    def test_unanswered_it_is_asked_for_again_only_when_its_days_are_over(self):
        asked = season(self.humid(85.0), 8)

        assert [now for now, _ in asked] == [at(f"05-{day:02} 07:00") for day in (6, 8, 10, 12)]

    def test_a_drier_reading_brings_the_next_water_forward(self):
        note = self.humid(95.0)
        note.write(facts.Reading(place="humid room", temp_c=29.4, rh=40.0), at("05-07 12:00"))

        found = agenda(note.farm, note.now)

        assert [(c.chore, c.due) for c in found.to_ask] == [(Chore.WATER, at("05-07 07:00"))]
        assert found.next_at == at("05-07 18:00")
