"""Crickets neither appear nor vanish, whatever is moved, split, merged, sold, thrown away, taken back."""

from hypothesis import given
from hypothesis import strategies as st

from core.farm.fold import FarmFold
from core.journal import facts, wants
from tests.builders import after, an_event

BINS = st.sampled_from(("B1", "B2", "B3"))
COUNTS = st.integers(1, 1500)
STOCKED = st.builds(facts.Stocked, bin=BINS, tubs=st.sampled_from(((), ("T1",), ("T2", "T3"))), count=COUNTS)
CHANGES = st.one_of(
    STOCKED,
    st.builds(facts.Moved, from_=BINS, to=BINS, count=st.one_of(st.none(), COUNTS)),
    st.builds(facts.Dead, bin=BINS, count=COUNTS),
    st.builds(facts.Harvested, bin=BINS, count=COUNTS),
    st.builds(facts.Sold, bin=st.one_of(st.none(), BINS), count=COUNTS),
    st.builds(facts.Discarded, bin=BINS),
    st.builds(wants.Undo, of=st.tuples(st.integers(1, 12))),
)


def accounted_for(farm):
    """All crickets that the book knows of, alive or not."""
    return sum(
        (house.count or 0) + house.lost + house.sold + house.discarded + sum(taken.count for taken in house.in_hand)
        for house in farm.bins.values()
    )


def brought_in(folded):
    return sum(entry.body.count for entry in folded.in_force if isinstance(entry.body, facts.Stocked))


@given(st.lists(st.tuples(CHANGES, st.integers(0, 40)), min_size=1, max_size=14))
def test_where_all_were_counted_every_cricket_is_accounted_for(steps):
    counted = [(facts.Stocked(bin=name, tubs=("T9",), count=50), -1) for name in ("B1", "B2", "B3")]
    said = [step for step in steps if not (isinstance(step[0], wants.Undo) and step[0].of[0] <= len(counted))]
    journal = [
        an_event(body, number, after(days=days), said_at=after(days=41))
        for number, (body, days) in enumerate([*counted, *said], start=1)
    ]

    folded = FarmFold(journal)

    assert accounted_for(folded.farm) == brought_in(folded)
    assert all(house.count is None or house.count > 0 for house in folded.farm.bins.values())
