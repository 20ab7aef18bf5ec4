"""What a farm's own hatches teach, and which do."""

import datetime as dt

import pytest

from core.journal import facts, wants
from core.journal.kinds import HatchStage
from core.rules.evidence import HOUSE_CRICKET, LONGEST, MOST_HATCHES, hatches_seen, lay_days_of, taught_by
from core.science.calibration import untaught
from core.science.warmth import Gauge
from tests.builders import NOON, Notebook, a_climate, a_farm, a_place, a_tub, after

NOTHING = untaught(HOUSE_CRICKET.egg)
SHELF = a_place("shelf", lamp=True, readings=(a_climate(NOON, temp_c=30.0),))
LATE_DAYS = 16.5  # under a lamp at 86 F about 14 are expected


def a_hatched(name="T1", pulled_at=NOON, days=LATE_DAYS, **fields):
    return a_tub(name, pulled_at, hatch_at=pulled_at + dt.timedelta(days=days), **({"place": "shelf"} | fields))


def a_shelf_with_a_hatch(note=None):
    """Write a reading, a pull and a hatch that comes late; give the notebook and the numbers of all three."""
    note = note or Notebook()
    note.add_place("shelf", lamp=True)
    read = note.write(facts.Reading(place="shelf", temp_c=30.0), NOON)
    pulled = note.write(facts.TrayOut(bin="B1", tub="T1", place="shelf", cover=False), NOON)
    hatched = note.write(facts.Hatch(tub="T1"), after(days=LATE_DAYS))
    return note, read, pulled, hatched


def test_a_farm_that_has_seen_nothing_holds_the_figures_of_the_species():
    assert taught_by(a_farm()) == NOTHING
    assert taught_by(a_farm(a_tub(place="shelf"), SHELF)) == NOTHING


def test_a_late_hatch_is_learned_from():
    held = taught_by(a_farm(a_hatched(), SHELF))

    assert held.seen == 1
    assert [gauge.name for gauge in held.gauges] == ["shelf"]
    assert held.offset_c(held.gauges[0]) < 0
    assert held.constant > NOTHING.constant


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"hatch_done_at": after(days=LATE_DAYS)}, id="first told of when it was over"),
        pytest.param({"hatch_at": NOON + LONGEST + dt.timedelta(minutes=1)}, id="told of more than 90 days late"),
        pytest.param({"pulled_at": None, "known_since": NOON, "told_at": NOON}, id="of which nobody said since when"),
        pytest.param({"hatch_at": NOON}, id="that hatched as it was pulled"),
        pytest.param({"hatch_at": after(days=-1)}, id="that hatched before it was pulled"),
        pytest.param({"hatch_at": None}, id="that is still waited for"),
    ],
)
def test_nothing_is_learned_from_a_tub(fields):
    hatched = {"pulled_at": NOON, "hatch_at": after(days=LATE_DAYS), "place": "shelf"}
    farm = a_farm(a_tub(**(hatched | fields)), SHELF)

    assert taught_by(farm) == NOTHING
    assert hatches_seen(farm, "shelf") == 0


@pytest.mark.parametrize(
    "fields",
    [
        pytest.param({"hatch_done_at": after(days=LATE_DAYS + 3)}, id="that is over since"),
        pytest.param({"emptied_at": after(days=LATE_DAYS + 3)}, id="that was thrown out since"),
    ],
)
def test_a_hatch_goes_on_teaching_when_the_tub_is_gone(fields):
    assert taught_by(a_farm(a_hatched(**fields), SHELF)).seen == 1


def test_hatches_are_counted_where_they_were_seen():
    farm = a_farm(a_hatched(), a_hatched("T2"), a_hatched("T3", place="garage"), a_tub("T4", place="shelf"), SHELF)

    assert [hatches_seen(farm, place) for place in ("shelf", "garage", "cellar")] == [2, 1, 0]


def test_a_hatch_told_of_when_it_was_over_teaches_nothing_but_one_that_began_before_does():
    note, *_ = a_shelf_with_a_hatch()
    note.write(facts.TrayOut(bin="B2", tub="T2", place="shelf"), after(days=20))
    note.write(facts.Hatch(tub="T2", stage=HatchStage.DONE), after(days=36))
    note.write(facts.Hatch(tub="T1", stage=HatchStage.DONE), after(days=20))

    assert taught_by(note.farm).seen == 1


def test_a_hatch_that_is_taken_back_is_unlearned():
    note, *_, hatched = a_shelf_with_a_hatch()
    taught = taught_by(note.farm)

    undo = note.write(wants.Undo(of=(hatched,)))
    unlearned = taught_by(note.farm)
    note.write(wants.Undo(of=(undo,)))

    assert unlearned == NOTHING
    assert taught_by(note.farm) == taught


def test_what_was_learned_is_at_hand_while_nothing_of_it_changes():
    note, *_ = a_shelf_with_a_hatch()
    held = taught_by(note.farm)

    note.write(facts.Chirp(bin="B2"))
    note.write(facts.TrayOut(bin="B2", tub="T2", place="shelf"))
    note.write(facts.Reading(place="shelf", temp_c=25.0), after(note.now, days=1))

    assert taught_by(note.farm) is held


def test_an_old_reading_put_right_changes_what_was_learned():
    note, read, *_ = a_shelf_with_a_hatch()
    held = taught_by(note.farm)

    note.write(wants.Fix(of=read, slots={"temp_c": 27.5}))

    fixed = taught_by(note.farm)
    assert fixed != held
    assert fixed.offset_c(fixed.gauges[0]) > held.offset_c(held.gauges[0])  # at 27.5 C it was no later than it should


def test_a_reading_told_of_late_counts():
    note, *_ = a_shelf_with_a_hatch()
    held = taught_by(note.farm)

    note.write(facts.Reading(place="shelf", temp_c=25.0), after(days=5), said_at=after(days=30))

    assert taught_by(note.farm) != held


def test_a_hatch_put_right_to_another_day_is_learned_anew():
    note, *_, hatched = a_shelf_with_a_hatch()
    late = taught_by(note.farm)

    note.write(wants.Fix(of=hatched, at=after(days=12)))

    early = taught_by(note.farm)
    assert early.offset_c(early.gauges[0]) > 0 > late.offset_c(late.gauges[0])


def test_one_odd_hatch_hardly_moves_what_many_have_taught():
    usual = [a_hatched(f"T{n}", after(days=3 * n), days=14.5) for n in range(1, 9)]
    odd = a_hatched("T99", after(days=30), days=40.0)

    before, with_odd = (taught_by(a_farm(*tubs, SHELF)) for tubs in (usual, [*usual, odd]))

    assert with_odd.seen == before.seen + 1
    assert with_odd.constant == pytest.approx(before.constant, rel=0.02)
    assert with_odd.offset_c(with_odd.gauges[0]) == pytest.approx(before.offset_c(before.gauges[0]), abs=0.3)


def test_what_is_learned_of_one_place_tells_little_of_another():
    warm = a_place("garage", readings=(a_climate(NOON, temp_c=30.0),))
    held = taught_by(a_farm(*(a_hatched(f"T{n}", after(days=n)) for n in range(1, 5)), SHELF, warm))

    shelf = held.gauges[0]
    other = Gauge("garage")
    assert held.offset_c(shelf) < held.offset_c(other) < 0


def test_only_the_newest_hatches_count():
    tubs = [a_hatched(f"T{n}", after(days=n)) for n in range(1, MOST_HATCHES + 6)]

    assert taught_by(a_farm(*tubs, SHELF)).seen == MOST_HATCHES


@pytest.mark.parametrize(
    ("laid_for", "days"),
    [(None, 1.5), (dt.timedelta(hours=12), 0.5), (dt.timedelta(days=90), 30.0)],
    ids=["as is usual here", "as long as it was", "at most a month"],
)
def test_a_lay_is_as_long_as_is_known(laid_for, days):
    assert lay_days_of(36.0, a_tub(laid_for=laid_for)) == days
