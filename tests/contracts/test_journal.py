"""What every journal promises."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from bot.ports.stores import NumberTakenError
from core.journal import facts, wants
from core.journal.kinds import HatchStage
from tests.contracts.records import NOON, after, an_event


def test_events_come_back_as_they_were(store):
    events = [
        an_event(1, facts.TrayOut(bin="B1", place="garage", cover=False)),
        an_event(2, facts.Hatch(tub="T1", stage=HatchStage.STARTED), by="", message=""),
        an_event(3, wants.Undo(of=(1, 2)), happened_at=after(days=-1)),
    ]

    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.journal.append(farm, events)

    with store.begin() as work:
        assert work.journal.since(farm) == events


def test_times_come_back_in_utc_to_the_microsecond(store):
    denver = dt.datetime(2026, 11, 1, 1, 30, 0, 123_457, tzinfo=ZoneInfo("America/Denver"), fold=1)

    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.journal.append(farm, [an_event(1, said_at=denver, happened_at=denver)])
        (event,) = work.journal.since(farm)

    assert event.happened_at == dt.datetime(2026, 11, 1, 8, 30, 0, 123_457, tzinfo=dt.UTC)
    assert event.happened_at.utcoffset() == dt.timedelta(0)


def test_events_come_by_number_and_after_the_one_given(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.journal.append(farm, [an_event(2), an_event(1)])
        work.journal.append(farm, [an_event(3)])

        assert [event.number for event in work.journal.since(farm)] == [1, 2, 3]
        assert [event.number for event in work.journal.since(farm, 2)] == [3]
        assert work.journal.since(farm, 3) == []


def test_a_number_is_taken_once(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.journal.append(farm, [an_event(1)])

    with pytest.raises(NumberTakenError), store.begin() as work:
        work.journal.append(farm, [an_event(2), an_event(1, by="Sol")])

    with store.begin() as work:
        assert work.journal.since(farm) == [an_event(1)]


def test_farms_count_for_themselves(store):
    with store.begin() as work:
        one, two = work.farms.found(NOON), work.farms.found(NOON)
        work.journal.append(one, [an_event(1)])
        work.journal.append(two, [an_event(1, by="Sol")])

        assert work.journal.since(one) == [an_event(1)]
        assert work.journal.since(two) == [an_event(1, by="Sol")]


def test_appending_nothing_is_nothing(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.journal.append(farm, [])

        assert work.journal.since(farm) == []


def test_events_of_several_farms_are_added_and_given_at_once(store):
    with store.begin() as work:
        one, two, three = (work.farms.found(NOON) for _ in range(3))
        work.journal.append_all({one: [an_event(2), an_event(1)], two: [an_event(1, by="Sol")], three: []})

        assert work.journal.of([two, three]) == {two: [an_event(1, by="Sol")], three: []}
        assert work.journal.of([one]) == {one: [an_event(1), an_event(2)]}
        assert work.journal.of([]) == {}
