"""What is told of people's days, and of their absences, is kept with them."""

import datetime as dt

from core.farm.farm import Absence
from core.farm.fold import fold
from core.journal import wants
from core.journal.kinds import Role, Weekday
from tests.builders import NOON, a_journal, after

SAT, SUN, MON = Weekday.SAT, Weekday.SUN, Weekday.MON
TOMAS = wants.Joined(name="Tomas", role=Role.HAND)


def tomas(*entries):
    return fold(a_journal(TOMAS, *entries)).people["Tomas"]


def duty(*days, on=True):
    return wants.Duty(name="Tomas", days=days, on=on)


def test_days_that_are_taken_on_add_up_until_they_are_given_up():
    assert tomas(duty(SAT), duty(SUN, MON)).days == {SAT, SUN, MON}

    person = tomas(duty(SAT, SUN), duty(SUN, on=False))

    assert (person.days, person.off) == ({SAT}, {SUN})


def test_a_day_off_that_is_taken_on_is_off_no_more():
    person = tomas(duty(MON, on=False), duty(MON))

    assert (person.days, person.off) == ({MON}, set())


def test_an_absence_begins_when_it_is_said_or_when_it_is_said_to_and_the_last_holds():
    later = after(days=3)

    assert tomas(wants.Away(name="Tomas")).away == Absence(start=NOON, until=None)
    assert tomas(wants.Away(name="Tomas"), wants.Away(name="Tomas", start=later, until=later)).away == Absence(
        start=later, until=later
    )


def test_times_of_an_absence_are_kept_in_utc():
    until = NOON.astimezone(dt.timezone(dt.timedelta(hours=-7)))

    assert tomas(wants.Away(name="Tomas", start=until, until=until)).away.until.tzinfo is dt.UTC


def test_who_is_back_is_away_no_more():
    assert tomas(wants.Away(name="Tomas"), wants.Away(name="Tomas", on=False)).away is None


def test_what_is_told_of_somebody_who_is_not_of_the_farm_changes_nothing():
    farm = fold(a_journal(TOMAS, wants.Duty(name="Walt", days=(SAT,)), wants.Away(name="Walt")))

    assert list(farm.people) == ["Tomas"]


def test_who_leaves_and_comes_back_begins_anew():
    assert tomas(duty(SAT), (wants.Left(name="Tomas"), after(days=1)), (TOMAS, after(days=2))).days == set()
