"""Where crickets come from, and who got them."""

from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from core.farm import lineage
from core.farm.fold import FarmFold
from core.journal import facts, wants
from core.journal.kinds import Trouble
from core.units import SizeGrade
from tests.builders import NOON, a_journal, after

LAID = (
    (facts.TrayIn(bin="B1", substrate="coir"), after(days=-21)),
    (facts.TrayOut(bin="B1", tub="T1", place="lamp shelf"), after(days=-20)),
    (facts.Reading(place="lamp shelf", temp_c=31.0), after(days=-15)),
    (facts.Hatch(tub="T1"), after(days=-10)),
    (facts.Reading(place="lamp shelf", temp_c=20.0), after(days=-5)),
)
GROWN = (
    (facts.Stocked(bin="B4", tubs=("T1",), count=2000), after(days=-9)),
    (facts.Fed(bins=("B4",), feed="oats"), after(days=-8)),
    (facts.Moved(from_="B4", to="B5", count=600), after(days=-6)),
    (facts.Fed(bins=("B4",), feed="carrots"), after(days=-5)),
    (facts.Dead(bin="B5", count=9), after(days=-4)),
    (facts.Problem(what=Trouble.MITES, bin="B5"), after(days=-3)),
)
SOLD = (facts.Sold(who="Delgado", count=100, size=SizeGrade.HALF, bin="B5"), NOON)


def known(*journal):
    return FarmFold(a_journal(*journal))


def traced(*journal, sale=0):
    fold = known(*journal)
    return lineage.of_sale(fold.farm, fold.in_force, fold.farm.sales[sale])


def kinds(found):
    return [type(entry.body).__name__ for entry in found.steps]


def test_a_sale_goes_back_over_its_bins_to_its_tub_and_the_bin_that_laid():
    found = traced(*LAID, *GROWN, SOLD)

    assert (found.bins, found.tubs, found.parents) == (("B5", "B4"), ("T1",), ("B1",))
    assert kinds(found) == [
        "TrayIn", "TrayOut", "Reading", "Hatch", "Stocked", "Fed", "Moved", "Dead", "Problem",
    ]  # fmt: skip


def test_what_befell_a_bin_after_they_had_left_it_is_not_of_them():
    found = traced(*LAID, *GROWN, SOLD)

    assert [e.body.feed for e in found.steps if isinstance(e.body, facts.Fed)] == ["oats"]
    assert [e.body.temp_c for e in found.steps if isinstance(e.body, facts.Reading)] == [31.0]


def test_what_was_thrown_out_before_is_not_of_them():
    old = (
        (facts.Stocked(bin="B5", tubs=("T0",), count=50), after(days=-40)),
        (facts.Fed(bins=("B5",)), after(days=-39)),
    )
    thrown = (facts.Discarded(bin="B5"), after(days=-30))

    found = traced(*old, thrown, *LAID, *GROWN, SOLD)

    assert found.tubs == ("T1",)
    assert kinds(found).count("Fed") == 1


def test_where_two_tubs_were_put_together_both_are_named():
    second = (facts.Stocked(bin="B5", tubs=("T2",), count=300), after(days=-7))

    assert set(traced(*LAID, *GROWN, second, SOLD).tubs) == {"T1", "T2"}


def test_a_sale_of_what_was_taken_out_just_before_is_of_that_bin():
    harvested = (facts.Harvested(bin="B5", count=100), after(hours=-1))
    sale = (facts.Sold(who="Delgado", count=100, size=SizeGrade.HALF), NOON)

    assert traced(*LAID, *GROWN, harvested, sale).bins == ("B5", "B4")


def test_what_was_taken_back_is_not_in_it():
    journal = (*LAID, *GROWN, SOLD)
    mites = next(n for n, (body, _) in enumerate(journal, start=1) if isinstance(body, facts.Problem))

    assert "Problem" not in kinds(traced(*journal, (wants.Undo(of=(mites,)), after(hours=1))))


def test_a_bin_and_a_tub_are_traced_too():
    fold = known(*LAID, *GROWN)

    of_bin = lineage.of_bin(fold.farm, fold.in_force, "B4", NOON)
    of_tub = lineage.of_tub(fold.farm, fold.in_force, "T1", NOON)

    assert (of_bin.bins, of_bin.tubs) == (("B4",), ("T1",))
    assert [e.body.feed for e in of_bin.steps if isinstance(e.body, facts.Fed)] == ["oats", "carrots"]
    assert (of_tub.bins, kinds(of_tub)) == ((), ["TrayIn", "TrayOut", "Reading", "Hatch"])


def test_who_got_crickets_of_a_tub_or_a_bin_is_found():
    farm = known(*LAID, *GROWN, SOLD).farm

    assert [sale.who for sale in lineage.sales_of(farm, tub="T1")] == ["Delgado"]
    assert [sale.who for sale in lineage.sales_of(farm, bin_="B5")] == ["Delgado"]
    assert lineage.sales_of(farm, tub="T2") == ()


BINS = st.sampled_from(["B1", "B2", "B3"])
ACTS = st.one_of(
    st.builds(lambda b, t: facts.Stocked(bin=b, tubs=(t,), count=100), BINS, st.sampled_from(["T1", "T2", "T3"])),
    st.builds(lambda a, b, n: facts.Moved(from_=a, to=b, count=n), BINS, BINS, st.integers(1, 60)),
    st.builds(lambda b, n: facts.Dead(bin=b, count=n), BINS, st.integers(1, 30)),
    st.builds(lambda b: facts.Discarded(bin=b), BINS),
    st.builds(lambda b, n: facts.Sold(who="Delgado", count=n, bin=b), BINS, st.integers(1, 50)),
)


# Recounted by hand: of which tubs each bin holds crickets, as sets, over moves, deaths, clearings and sales. The trace
# may name no other tub than these.
@hypothesis_settings(deadline=None)
@given(st.lists(ACTS, max_size=14))
def test_a_trace_names_no_tub_whose_crickets_cannot_be_in_it(acts):
    acts = [act for act in acts if not (isinstance(act, facts.Moved) and act.from_ == act.to)]
    fold = known(*((act, after(hours=n)) for n, act in enumerate(acts)))
    held = {name: set() for name in ("B1", "B2", "B3")}
    may_be = []
    for act in acts:
        match act:
            case facts.Stocked():
                held[act.bin] |= set(act.tubs)
            case facts.Moved(from_=source):
                held[act.to] |= held[source]
            case facts.Discarded():
                held[act.bin] = set()
            case facts.Sold():
                may_be.append(set(held[act.bin]))

    for sale, tubs in zip(fold.farm.sales, may_be, strict=True):
        found = lineage.of_sale(fold.farm, fold.in_force, sale)
        assert set(found.tubs) <= tubs
        assert len(found.steps) == len({entry.number for entry in found.steps})
