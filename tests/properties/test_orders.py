"""Over any orders, sales, calling off and undoing, in whatever order they are told, what was promised adds up."""

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from core.farm.fold import FarmFold, fold
from core.farm.orders import delivered
from core.journal import facts, wants
from core.rules.promises import promises
from core.units import SizeGrade
from tests.builders import NOON, after, an_event

TODAY = NOON.date()
WHO = st.sampled_from(("Delgado", "Pete"))
SIZES = st.sampled_from((SizeGrade.HALF, SizeGrade.QUARTER))
DAYS = st.integers(0, 40).map(lambda days: TODAY + dt.timedelta(days=days))
EVERY = st.sampled_from((None, "week", "2 weeks", "month"))
TOLD = st.one_of(
    st.builds(wants.Order, who=WHO, count=st.integers(1, 900), size=SIZES, due=DAYS, every=EVERY),
    st.builds(facts.Sold, who=st.none() | WHO, count=st.integers(1, 2000), size=SIZES),
    st.builds(wants.Cancel, order=st.integers(1, 8), day=st.none() | DAYS),
    st.builds(wants.Undo, of=st.tuples(st.integers(1, 12))),
)


def journal(told):
    return [
        an_event(body, number, after(days=day), said_at=after(days=31)) for number, (body, day) in enumerate(told, 1)
    ]


TALES = st.lists(st.tuples(TOLD, st.integers(0, 30)), min_size=1, max_size=14).map(journal)


@given(TALES)
def test_what_was_delivered_and_what_is_open_is_what_was_promised(events):
    folded = FarmFold(events)
    given_of, known = {}, FarmFold()
    for number, entry in enumerate(folded.in_force, start=1):  # as it happened, one after another
        if isinstance(body := entry.body, facts.Sold):
            on = entry.happened_at.date()
            _, touched = delivered(known.farm.orders, who=body.who, size=body.size, count=body.count, on=on)
            assert sum(d.given for d in touched) <= body.count
            for d in touched:
                given_of[d.order, d.due] = given_of.get((d.order, d.due), 0) + d.given
                assert given_of[d.order, d.due] + d.open == d.count
        known = FarmFold(folded.in_force[:number])

    for promise in promises(folded.farm, after(days=31), TODAY + dt.timedelta(days=90)):
        ordered = next(o.count for o in folded.farm.orders if o.number == promise.number)
        assert promise.count > 0
        assert promise.count + given_of.get((promise.number, promise.due), 0) == ordered


@given(TALES)
def test_orders_come_to_the_same_however_they_are_folded(events):
    grown = FarmFold()
    for entry in events:
        grown.add([entry])

    assert grown.farm.orders == fold(events).orders
    assert grown.farm.orders.open == fold(events).orders.open
