"""Who does the chores at a time. Mon May 4 2026 is the first day of these weeks."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.farm.farm import Absence, Person
from core.journal.kinds import Role, Weekday
from core.rules.duty import away_until, by_day, is_away, on_duty
from tests.builders import LORD_HOWE, a_farm, at, settings

MONDAY, SATURDAY = at("05-04 12:00"), at("05-09 12:00")
WEEKEND = frozenset({Weekday.SAT, Weekday.SUN})
ALWAYS = Absence(start=at("05-01 00:00"), until=None)


def a_person(name, **fields):
    return Person(name=name, **({"role": Role.HAND} | fields))


def farm_of(*people, **fields):
    return a_farm(people={person.name: person for person in people}, **fields)


NOOR, WALT = a_person("Noor", role=Role.OWNER), a_person("Walt")
TOMAS = a_person("Tomas", days=WEEKEND)
DANA = a_person("Dana", role=Role.LOOKER_ON)


def test_where_nothing_was_arranged_all_who_may_are_on_duty():
    assert on_duty(farm_of(NOOR, WALT, DANA), MONDAY) == ("Noor", "Walt")


def test_a_day_that_somebody_took_on_is_theirs_and_the_others_are_not():
    farm = farm_of(NOOR, WALT, TOMAS)

    assert on_duty(farm, SATURDAY) == ("Tomas",)
    assert on_duty(farm, MONDAY) == ("Noor", "Walt")


def test_while_the_one_whose_day_it_is_is_away_it_is_everybodys():
    assert on_duty(farm_of(NOOR, WALT, a_person("Tomas", days=WEEKEND, away=ALWAYS)), SATURDAY) == ("Noor", "Walt")


def test_who_is_off_that_day_is_not_on_duty():
    assert on_duty(farm_of(NOOR, a_person("Walt", off=frozenset({Weekday.MON}))), MONDAY) == ("Noor",)


@pytest.mark.parametrize(
    ("people", "expected"),
    [
        pytest.param([TOMAS], ("Tomas",), id="nobody took the day on"),
        pytest.param([a_person("Noor", away=ALWAYS), TOMAS], ("Tomas",), id="the only one here has other days"),
        pytest.param([a_person("Noor", off=frozenset(Weekday))], ("Noor",), id="the only one is off"),
        pytest.param([a_person("Noor", away=ALWAYS), a_person("Walt", away=ALWAYS)], ("Noor", "Walt"), id="all away"),
        pytest.param([DANA], (), id="nobody may"),
    ],
)
def test_nothing_is_left_undone_because_nobody_is_there(people, expected):
    assert on_duty(farm_of(*people), MONDAY) == expected


def test_the_day_is_that_of_the_farms_clocks():
    farm = farm_of(NOOR, TOMAS, settings=settings(LORD_HOWE))

    assert on_duty(farm, at("05-09 00:30", LORD_HOWE)) == ("Tomas",)
    assert on_duty(farm, at("05-08 23:30", LORD_HOWE)) == ("Noor",)


def test_an_absence_ends_at_the_very_time():
    person = a_person("Tomas", away=Absence(start=MONDAY, until=SATURDAY))
    times = [MONDAY - dt.timedelta(minutes=1), MONDAY, SATURDAY - dt.timedelta(minutes=1), SATURDAY]

    assert [is_away(person, time) for time in times] == [False, True, True, False]
    assert [away_until(person, time) for time in (MONDAY, SATURDAY)] == [SATURDAY, None]


def test_the_days_of_a_week_by_who_is_on_duty():
    found = by_day(farm_of(NOOR, TOMAS), dt.date(2026, 5, 8), 3)

    assert found == (
        (dt.date(2026, 5, 8), ("Noor",)),
        (dt.date(2026, 5, 9), ("Tomas",)),
        (dt.date(2026, 5, 10), ("Tomas",)),
    )


@given(
    st.lists(
        st.tuples(
            st.sampled_from(Role),
            st.frozensets(st.sampled_from(Weekday)),
            st.frozensets(st.sampled_from(Weekday)),
            st.booleans(),
        ),
        max_size=4,
    ),
    st.integers(0, 6),
)
def test_somebody_is_always_on_duty_and_never_a_looker_on(people, day):
    known = [
        a_person(f"P{n}", role=role, days=days, off=off, away=ALWAYS if away else None)
        for n, (role, days, off, away) in enumerate(people)
    ]
    workers = {person.name for person in known if person.role is not Role.LOOKER_ON}

    found = on_duty(farm_of(*known), MONDAY + day * dt.timedelta(days=1))

    assert set(found) <= workers
    assert bool(found) == bool(workers)
