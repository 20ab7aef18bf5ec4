"""Warnings by figure, and safety words where the hand is."""

import pytest

from core.farm.fold import fold
from core.journal import facts, notices, wants
from core.journal.kinds import Addable
from core.rules.cautions import Concern, Safety, safety_words, warnings
from core.rules.space import ROOM
from tests.builders import NOON, a_journal, after, an_event

LATER = after(hours=6)
COOL_C, WARM_C = 25.0, 29.0  # 77 and 84 F
LAMP = wants.Add(what=Addable.PLACE, name="lamp shelf", lamp=True)
TRAY = facts.TrayIn(bin="B1")
PULLED = facts.TrayOut(bin="B1", tub="T1", place="lamp shelf")


def warned(*before, body, happened_at=LATER, said_at=None):
    journal = a_journal(*before)
    entry = an_event(body, len(journal) + 1, happened_at, said_at=said_at or happened_at)
    found = warnings(fold(journal), fold([*journal, entry]), entry)
    return [(caution.topic, caution.subject, caution.figure) for caution in found]


class TestCoolBin:
    def test_a_bin_under_80_f_with_a_tray_in_it(self):
        assert warned(TRAY, body=facts.Reading(bin="B1", temp_c=COOL_C)) == [(Concern.COOL_BIN, "B1", COOL_C)]

    def test_a_tray_set_into_a_bin_that_was_cool_today(self):
        assert warned(facts.Reading(bin="B1", temp_c=COOL_C), body=TRAY) == [(Concern.COOL_BIN, "B1", COOL_C)]

    @pytest.mark.parametrize(
        ("before", "body"),
        [
            pytest.param([TRAY], facts.Reading(bin="B1", temp_c=WARM_C), id="a warm bin"),
            pytest.param([], facts.Reading(bin="B1", temp_c=COOL_C), id="a cool bin without a tray"),
            pytest.param([facts.Reading(bin="B1", temp_c=WARM_C)], TRAY, id="a tray into a warm bin"),
            pytest.param([], TRAY, id="a tray into a bin nobody read"),
            pytest.param([(facts.Reading(bin="B1", temp_c=COOL_C), after(days=-2))], TRAY, id="an old reading"),
            pytest.param([wants.Rename(old="B1", new="nest")], facts.TrayIn(bin="nest"), id="a bin by its nickname"),
        ],
    )
    def test_no_warning_for(self, before, body):
        assert warned(*before, body=body) == []


@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        pytest.param(facts.Reading(place="attic", temp_c=36.0), [(Concern.HOT_PLACE, "attic", 36.0)], id="a hot place"),
        pytest.param(
            facts.Reading(place="attic", low_c=20.0, high_c=36.5), [(Concern.HOT_PLACE, "attic", 36.5)], id="a hot high"
        ),
        pytest.param(facts.Reading(tub="T1", temp_c=36.0), [(Concern.HOT_PLACE, "T1", 36.0)], id="a hot tub"),
        pytest.param(facts.Reading(place="attic", temp_c=35.0), [], id="95 F itself"),
        pytest.param(facts.Reading(bin="B1", temp_c=36.0), [], id="a bin"),
    ],
)
def test_a_place_over_95_f_is_warned_of(reading, expected):
    assert warned(body=reading) == expected


class TestDryAir:
    DRY = facts.Reading(place="lamp shelf", rh=55.0)

    def test_dry_air_where_an_uncovered_tub_stands(self):
        assert warned(PULLED, body=self.DRY) == [(Concern.DRY_AIR, "lamp shelf", 55.0)]

    @pytest.mark.parametrize(
        "body",
        [PULLED, facts.Placed(tubs=("T1",), place="lamp shelf")],
        ids=["pulled into it", "moved into it"],
    )
    def test_an_uncovered_tub_into_dry_air(self, body):
        assert warned(TRAY, self.DRY, body=body) == [(Concern.DRY_AIR, "lamp shelf", 55.0)]

    @pytest.mark.parametrize(
        ("before", "body"),
        [
            pytest.param([], DRY, id="no tub there"),
            pytest.param([PULLED, facts.Covered(all=True, on=True)], DRY, id="a covered tub"),
            pytest.param([PULLED], facts.Reading(place="lamp shelf", rh=70.0), id="humid air"),
            pytest.param([], PULLED, id="a place nobody read"),
        ],
    )
    def test_no_warning_for(self, before, body):
        assert warned(*before, body=body) == []


class TestLongLay:
    def test_a_tray_pulled_after_more_than_36_hours(self):
        assert warned(TRAY, body=PULLED, happened_at=after(hours=40)) == [(Concern.LONG_LAY, "B1", 40.0)]
        assert warned(TRAY, body=PULLED, happened_at=after(hours=36)) == []

    def test_a_tray_told_of_more_than_36_hours_late(self):
        late = warned(body=TRAY, happened_at=NOON, said_at=after(hours=48))

        assert late == [(Concern.LONG_LAY, "B1", 48.0)]

    def test_a_tray_that_nobody_put_in(self):
        assert warned(body=PULLED, happened_at=after(hours=99)) == []


class TestSafetyWords:
    @pytest.mark.parametrize(
        ("body", "words"),
        [
            pytest.param(facts.Chirp(bin="B1"), (Safety.PEAT,), id="before substrate is made"),
            pytest.param(facts.Mold(all=True, removed=True), (Safety.MOLD,), id="mold"),
            pytest.param(PULLED, (Safety.LAMP, Safety.WATER), id="under a lamp"),
            pytest.param(
                facts.Placed(tubs=("T1",), place="lamp shelf"), (Safety.LAMP, Safety.WATER), id="moved under it"
            ),
            pytest.param(wants.Add(what=Addable.PLACE, name="attic", lamp=True), (Safety.LAMP,), id="a new lamp"),
            pytest.param(facts.Hatch(tub="T1"), (Safety.ALLERGY,), id="pinheads"),
            pytest.param(facts.Harvested(bin="B1", count=9), (Safety.HARVEST,), id="harvest"),
            pytest.param(facts.Sold(count=9), (Safety.FOOD,), id="sale"),
            pytest.param(facts.Cleaned(bins=("B1",)), (Safety.LIFTING,), id="cleaning"),
            pytest.param(facts.Placed(tubs=("T1",), place="rack"), (), id="no lamp"),
            pytest.param(facts.Watered(all=True), (), id="water"),
        ],
    )
    def test_they_come_with_the_work(self, body, words):
        entry = an_event(body, 2)

        assert safety_words(fold([*a_journal(LAMP), entry]), entry) == words

    def test_they_come_once(self):
        shown = a_journal(LAMP, notices.Cautioned(topic=Safety.LAMP.value))
        entry = an_event(PULLED, 3)

        assert safety_words(fold([*shown, entry]), entry) == (Safety.WATER,)


class TestMixedAges:
    OLD = (facts.Stocked(bin="B4", tubs=("T1",), count=500), after(days=-5))
    YOUNG = facts.Stocked(bin="B4", tubs=("T2",), count=500)

    def test_pinheads_put_to_older_ones(self):
        assert warned(self.OLD, body=self.YOUNG) == [(Concern.MIXED_AGES, "B4", 5.25)]

    def test_young_ones_moved_to_older_ones(self):
        young = facts.Stocked(bin="B5", tubs=("T2",), count=500)

        assert warned(self.OLD, young, body=facts.Moved(from_="B5", to="B4")) == [(Concern.MIXED_AGES, "B4", 5.0)]

    @pytest.mark.parametrize(
        ("age", "body"),
        [
            pytest.param(-2, YOUNG, id="two days apart"),
            pytest.param(-5, facts.Moved(from_="B4", to="B6"), id="moved into a bin of their own"),
            pytest.param(-5, facts.Dead(bin="B4", count=3), id="nothing came in"),
        ],
    )
    def test_no_warning_for(self, age, body):
        assert warned((facts.Stocked(bin="B4", tubs=("T1",), count=500), after(days=age)), body=body) == []

    def test_grown_enough_they_may_mix(self):
        old = (facts.Stocked(bin="B4", tubs=("T1",), count=500), after(days=-40))
        older = (facts.Stocked(bin="B5", tubs=("T2",), count=500), after(days=-20))

        assert warned(old, older, body=facts.Moved(from_="B5", to="B4")) == []


def test_more_crickets_than_a_bin_has_room_for():
    crowd = facts.Stocked(bin="B4", tubs=("T1",), count=2 * ROOM)

    assert warned(body=crowd) == [(Concern.CROWDED, "B4", 1.5 * ROOM)]
    assert warned(body=facts.Stocked(bin="B4", tubs=("T1",), count=ROOM)) == []
