"""What facts about tubs and their warmth make of the farm."""

import datetime as dt

import pytest

from core.farm.fold import fold
from core.journal import facts
from core.journal.kinds import Density, HatchStage, MoldLevel
from tests.builders import NOON, a_journal, after, an_event

PULLED = (facts.TrayOut(bin="B1", tub="T1", place="lamp shelf"), NOON)
OTHER = (facts.TrayOut(bin="B2", tub="T2", place="humid room"), NOON)


def folded(*entries):
    return fold(a_journal(*entries))


def test_a_pulled_tray_is_a_tub_of_eggs():
    farm = folded(
        (facts.TrayIn(bin="B1"), NOON),
        (facts.TrayOut(bin="B1", place="lamp shelf", cover=True, density=Density.MANY), after(hours=26)),
    )

    tub = farm.tubs["T1"]

    assert (tub.bin, tub.pulled_at, tub.laid_for) == ("B1", after(hours=26), dt.timedelta(hours=26))
    assert (tub.place, tub.is_covered, tub.density) == ("lamp shelf", True, Density.MANY)
    assert farm.bins["B1"].tray is None
    assert farm.bins["B1"].tray_out_at == after(hours=26)


def test_a_tray_that_nobody_put_in_has_an_unknown_lay():
    assert folded(PULLED).tubs["T1"].laid_for is None


def test_swapping_trays_in_one_breath_leaves_the_new_one_in():
    farm = folded((facts.TrayIn(bin="B1"), after(days=1)), (facts.TrayOut(bin="B1", tub="T1"), after(days=1)))

    assert farm.bins["B1"].tray is not None
    assert farm.tubs["T1"].pulled_at == after(days=1)


def test_a_tub_that_moves_remembers_where_it_stood():
    tub = folded(PULLED, (facts.Placed(tubs=("T1",), place="garage"), after(days=2))).tubs["T1"]

    assert tub.place == "garage"
    assert tub.placements == ((NOON, "lamp shelf"), (after(days=2), "garage"))


def test_all_tubs_can_be_moved_covered_and_watered():
    farm = folded(
        PULLED,
        OTHER,
        (facts.Placed(all=True, place="garage"), after(days=1)),
        (facts.Covered(all=True, on=True), after(days=1)),
        (facts.Watered(all=True), after(days=2)),
    )

    assert [(t.place, t.is_covered, t.watered_at) for t in farm.tubs.values()] == [("garage", True, after(days=2))] * 2


def test_a_tub_named_twice_in_one_breath_is_moved_once():
    tub = folded(PULLED, (facts.Placed(tubs=("T1", "T1"), all=True, place="garage"), after(days=1))).tubs["T1"]

    assert [place for _, place in tub.placements] == ["lamp shelf", "garage"]


def test_a_cover_by_place_is_on_the_tubs_of_that_place():
    farm = folded(PULLED, OTHER, (facts.Covered(place="lamp shelf", on=True), after(hours=1)))

    assert [t.is_covered for t in farm.tubs.values()] == [True, False]


def test_water_by_place_is_for_the_tubs_that_stood_there_then():
    farm = folded(
        PULLED,
        (facts.Watered(place="lamp shelf"), after(hours=5)),
        (facts.TrayOut(bin="B3", tub="T3", place="lamp shelf"), after(hours=6)),
    )

    assert [t.watered_at for t in farm.tubs.values()] == [after(hours=5), None]


def test_water_by_place_passes_over_tubs_that_are_done():
    farm = folded(
        PULLED, (facts.Discarded(tub="T1"), after(days=1)), (facts.Watered(place="lamp shelf"), after(days=2))
    )

    assert farm.tubs["T1"].watered_at is None


@pytest.mark.parametrize(
    ("owner", "slots"),
    [("places", {"place": "lamp shelf"}), ("bins", {"bin": "B1"}), ("tubs", {"tub": "T1"})],
    ids=["place", "bin", "tub"],
)
def test_readings_go_to_what_they_are_of_in_the_order_of_time(owner, slots):
    farm = folded(
        PULLED,
        (facts.Reading(temp_c=31.0, **slots), after(hours=4)),
        (facts.Reading(low_c=20.0, high_c=29.0, rh=60.0, **slots), after(hours=2)),
    )

    (name,) = slots.values()
    readings = getattr(farm, owner)[name].readings
    assert [(r.at, r.temp_c, r.high_c, r.rh) for r in readings] == [
        (after(hours=2), None, 29.0, 60.0),
        (after(hours=4), 31.0, None, None),
    ]


def test_mold_that_was_taken_out_is_gone_and_the_tub_was_looked_at():
    farm = folded(
        PULLED,
        (facts.Mold(tubs=("T1",), removed=False, level=MoldLevel.SOME), after(days=1)),
        (facts.Mold(tubs=("T1",), removed=True), after(days=2)),
    )

    tub = farm.tubs["T1"]
    assert (tub.checked_at, tub.mold_at, tub.mold_level) == (after(days=2), None, None)


def test_mold_that_was_seen_stays_until_it_is_taken_out():
    tub = folded(PULLED, (facts.Mold(place="lamp shelf", removed=False, level=MoldLevel.HEAVY), after(days=1))).tubs[
        "T1"
    ]

    assert (tub.mold_at, tub.mold_level) == (after(days=1), MoldLevel.HEAVY)


def test_a_dry_tub_is_noted():
    assert folded(PULLED, (facts.Dry(tubs=("T1",)), after(days=1))).tubs["T1"].dry_at == after(days=1)


def test_a_tub_remembers_when_it_was_covered_and_uncovered():
    farm = folded(
        (facts.TrayOut(bin="B1", tub="T1", place="lamp shelf", cover=True), NOON),
        OTHER,
        (facts.Covered(tubs=("T1",), on=False), after(days=2)),
        (facts.Covered(all=True, on=True), after(days=4)),
    )

    assert farm.tubs["T1"].covers == ((NOON, True), (after(days=2), False), (after(days=4), True))
    assert farm.tubs["T2"].covers == ((NOON, False), (after(days=4), True))


def test_a_cover_told_of_late_goes_where_it_belongs():
    journal = a_journal(PULLED, (facts.Covered(tubs=("T1",), on=False), after(days=3)))
    journal.append(an_event(facts.Covered(tubs=("T1",), on=True), 9, after(days=1), said_at=after(days=4)))

    tub = fold(journal).tubs["T1"]

    assert tub.covers == ((NOON, False), (after(days=1), True), (after(days=3), False))
    assert not tub.is_covered


class TestFoundDry:
    WATERED = (facts.Watered(tubs=("T1",)), after(hours=10))

    def found_dry(self, *entries):
        return folded(PULLED, *entries).tubs["T1"].found_dry

    def dry(self, **span):
        return (facts.Dry(tubs=("T1",)), after(**span))

    def test_it_is_kept_with_the_water_before_it(self):
        assert self.found_dry(self.WATERED, self.dry(hours=18)) == ((after(hours=18), after(hours=10)),)

    def test_a_tub_never_watered_was_damp_when_it_was_pulled(self):
        assert self.found_dry(self.dry(hours=9)) == ((after(hours=9), NOON),)

    def test_found_again_before_it_is_watered_it_is_no_news(self):
        assert self.found_dry(self.dry(hours=9), self.dry(hours=20)) == ((after(hours=9), NOON),)

    def test_each_drying_counts(self):
        found = self.found_dry(self.dry(hours=9), self.WATERED, self.dry(hours=18))

        assert found == ((after(hours=9), NOON), (after(hours=18), after(hours=10)))

    def test_water_told_of_late_is_what_it_dried_from(self):
        journal = a_journal(PULLED, self.dry(hours=18))
        journal.append(an_event(facts.Watered(tubs=("T1",)), 9, after(hours=10), said_at=after(days=2)))

        assert fold(journal).tubs["T1"].found_dry == ((after(hours=18), after(hours=10)),)

    def test_of_a_tub_that_nobody_knows_to_have_been_damp_it_tells_nothing(self):
        farm = folded((facts.Placed(tubs=("T1",), place="rack"), NOON), self.dry(hours=9))

        assert (farm.tubs["T1"].dry_at, farm.tubs["T1"].found_dry) == (after(hours=9), ())


def test_a_hatch_begins_once_and_may_be_over():
    farm = folded(
        PULLED,
        (facts.Hatch(tub="T1"), after(days=11)),
        (facts.Hatch(tub="T1", count=700), after(days=12)),
        (facts.Hatch(tub="T1", stage=HatchStage.DONE), after(days=14)),
    )

    tub = farm.tubs["T1"]
    assert (tub.hatch_at, tub.hatch_count, tub.hatch_done_at) == (after(days=11), 700, after(days=14))
    assert list(farm.incubating()) == []


def test_a_tub_thrown_out_waits_for_nothing():
    farm = folded(PULLED, (facts.Discarded(tub="T1", reason="mold"), after(days=3)))

    assert farm.tubs["T1"].emptied_at == after(days=3)
    assert list(farm.incubating()) == []


def test_a_tub_is_known_since_it_was_first_spoken_of_and_told_when_it_was_said():
    journal = [an_event(facts.Watered(tubs=("T3",)), 1, NOON, said_at=after(hours=2))]

    tub = fold(journal).tubs["T3"]

    assert (tub.known_since, tub.told_at, tub.pulled_at) == (NOON, after(hours=2), None)
