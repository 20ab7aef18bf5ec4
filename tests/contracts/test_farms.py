"""What every list of farms promises."""

import datetime as dt

from tests.contracts.records import NOON, after


def test_a_new_farm_has_an_id_of_its_own_and_waits_for_nothing(store):
    with store.begin() as work:
        assert work.farms.ids() == []
        one, two = work.farms.found(NOON), work.farms.found(NOON)

        assert work.farms.ids() == sorted({one, two})
        assert work.farms.next_due() is None
        assert list(work.farms.claim_due(after(days=1000))) == []


def test_farms_fall_due_at_their_time_and_the_longest_due_come_first(store):
    with store.begin() as work:
        one, two, three = (work.farms.found(NOON) for _ in range(3))
        work.farms.set_next_due(one, after(minutes=2))
        work.farms.set_next_due(two, after(minutes=1))
        work.farms.set_next_due(three, after(minutes=2, microseconds=1))

        assert list(work.farms.claim_due(NOON)) == []
        assert list(work.farms.claim_due(after(minutes=1))) == [two]
        assert list(work.farms.claim_due(after(minutes=2))) == [two, one]
        assert list(work.farms.claim_due(after(hours=1))) == [two, one, three]
        assert list(work.farms.claim_due(after(hours=1), limit=2)) == [two, one]


def test_the_next_time_is_the_earliest_that_is_still_waited_for(store):
    with store.begin() as work:
        one, two = work.farms.found(NOON), work.farms.found(NOON)
        work.farms.set_next_due(one, after(minutes=1))
        work.farms.set_next_due(two, after(minutes=2))
        assert work.farms.next_due() == after(minutes=1)

        work.farms.set_next_due(one, None)
        assert work.farms.next_due() == after(minutes=2)


def test_a_due_time_of_any_zone_is_that_moment(store):
    lord_howe = dt.timezone(dt.timedelta(hours=10, minutes=30))
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.farms.set_next_due(farm, NOON.astimezone(lord_howe))

        assert work.farms.next_due() == NOON
        assert work.farms.next_due().utcoffset() == dt.timedelta(0)
        assert list(work.farms.claim_due(NOON)) == [farm]


def test_due_times_of_several_farms_are_set_at_once(store):
    with store.begin() as work:
        one, two, three = (work.farms.found(NOON) for _ in range(3))
        work.farms.set_next_due(three, NOON)
        work.farms.set_next_dues({one: after(minutes=1), two: NOON, three: None})
        work.farms.set_next_dues({})

        assert list(work.farms.claim_due(after(hours=1))) == [two, one]


def test_a_farm_has_an_edition_and_one_that_is_not_there_has_none(store):
    with store.begin() as work:
        farm = work.farms.found(NOON)
        work.farms.set_next_due(farm, NOON)

        assert work.farms.lock(farm) == 0
        assert work.farms.claim_due(NOON) == {farm: 0}
        assert work.farms.lock(farm + 1) is None
