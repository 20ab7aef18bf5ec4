"""Events: aware times, kept in UTC, and the order of the fold."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from core.journal import event, facts, notices, wants
from core.journal.event import Event, NaiveTimeError
from core.journal.kinds import Addable, Chore
from tests.builders import DENVER, NOON, after, an_event


@pytest.mark.parametrize("field", ["said_at", "happened_at"])
def test_a_time_without_a_zone_is_refused(field):
    times = {"said_at": NOON, "happened_at": NOON} | {field: dt.datetime(2026, 5, 4, 12)}  # noqa: DTZ001 - the point

    with pytest.raises(NaiveTimeError, match=f"{field} of event 7"):
        Event(number=7, by="Ines", body=facts.Chirp(bin="B1"), **times)


def test_times_are_kept_in_utc_so_that_the_hour_that_comes_twice_is_told_apart():
    first, second = (dt.datetime(2026, 11, 1, 1, 30, tzinfo=ZoneInfo(DENVER), fold=fold) for fold in (0, 1))

    earlier, later = an_event(number=2, happened_at=first), an_event(number=1, happened_at=second)

    assert later.happened_at - earlier.happened_at == dt.timedelta(hours=1)
    assert sorted([later, earlier], key=event.order) == [earlier, later]
    assert earlier.happened_at.tzinfo is dt.UTC


def test_events_go_by_when_they_happened_and_then_by_number():
    late, early, same = (an_event(number=n, happened_at=t) for n, t in ((1, after(hours=1)), (2, NOON), (3, NOON)))

    assert sorted([same, late, early], key=event.order) == [early, same, late]


def test_at_one_moment_things_exist_before_they_are_spoken_of():
    said = [
        wants.Done(chore=Chore.WATER),
        notices.Asked(chore=Chore.WATER, due=NOON),
        facts.Discarded(tub="T1"),
        facts.Stocked(bin="B2", tubs=("T1",)),
        facts.Hatch(tub="T1"),
        facts.Watered(tubs=("T1",)),
        facts.Placed(tubs=("T1",), place="lamp shelf"),
        facts.TrayIn(bin="B1"),
        facts.TrayOut(bin="B1", tub="T1"),
        wants.Add(what=Addable.BIN, name="B1"),
    ]
    events = [an_event(body, number) for number, body in enumerate(said, start=1)]

    assert [e.body for e in sorted(events, key=event.order)] == said[::-1]
