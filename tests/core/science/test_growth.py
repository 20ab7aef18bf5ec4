"""What crickets come to as they grow, and how big they are. Published figures are in tests/outside."""

import datetime as dt
import math

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.science.calibration import untaught
from core.science.curve import DevelopmentCurve
from core.science.development import QUANTILE_95, spread_of
from core.science.growth import ADULT_FIGURES_AT, FIRST_CHIRP_SD, MilestoneKind, body_now, growth
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.science.warmth import HistoryError, Swing
from core.units import SizeGrade

HOUSE = species(SpeciesName.HOUSE)
HATCH = dt.datetime(2026, 5, 1, 18, tzinfo=dt.UTC)
HOUR = dt.timedelta(hours=1)
SIZES = list(SizeGrade)


def days(count):
    return dt.timedelta(days=count)


def days_until(at):
    return (at - HATCH) / days(1)


def curve_of(*temps_c, cricket=HOUSE, for_days=20.0):
    """A constant temperature; or several, each but the last one for some days."""
    starts = [HATCH + days(for_days) * number for number in range(len(temps_c))]
    history = [
        Swing(start_at=start, end_at=end, low_c=temp_c, high_c=temp_c)
        for start, end, temp_c in zip(starts, [*starts[1:], None], temps_c, strict=True)
    ]
    return DevelopmentCurve(history, cricket.nymph)


def grown(curve, *, cricket=HOUSE, start_sd_days=0.5):
    return growth(curve, HATCH, cricket, start_sd_days=start_sd_days)


def window(milestones, kind):
    return next(one.window for one in milestones if one.kind is kind)


@pytest.mark.parametrize("name", SpeciesName)
def test_crickets_come_to_every_instar_every_size_and_their_use(name):
    found = grown(curve_of(30, cricket=species(name)), cricket=species(name))

    assert [one.instar for one in found if one.kind is MilestoneKind.INSTAR] == [2, 3, 4, 5, 6, 7, 8]
    assert [one.size for one in found if one.kind is MilestoneKind.SIZE] == SIZES[1:-1]
    assert [one.kind for one in found][-3:] == [
        MilestoneKind.ADULT,
        MilestoneKind.FIRST_CHIRP,
        MilestoneKind.FIRST_LAY,
    ]


@given(temps_c=st.lists(st.floats(20, 38), min_size=1, max_size=4), for_days=st.floats(1, 40), doubt=st.floats(0, 5))
def test_milestones_come_in_order_each_within_its_window(temps_c, for_days, doubt):
    found = grown(curve_of(*temps_c, for_days=for_days), start_sd_days=doubt)

    likely = [one.window.likely for one in found]
    assert likely == sorted(likely)
    assert len(found) == 17
    assert all(HATCH < one.window.earliest < one.window.likely < one.window.latest for one in found)


def test_a_milestone_comes_with_its_share_of_the_thermal_constant():
    found = grown(curve_of(30))

    fourth = next(one for one in found if one.instar == 4)
    assert days_until(fourth.window.likely) == pytest.approx(0.29 * 530 / 12, abs=1e-4)
    assert days_until(window(found, MilestoneKind.ADULT).likely) == pytest.approx(530 / 12, abs=1e-4)


def test_at_the_warmth_that_they_are_known_at_the_adults_days_are_as_they_stand():
    found = grown(curve_of(ADULT_FIGURES_AT.value))

    moult = window(found, MilestoneKind.ADULT).likely
    assert (window(found, MilestoneKind.FIRST_CHIRP).likely - moult) / days(1) == pytest.approx(3, abs=1e-4)
    assert (window(found, MilestoneKind.FIRST_LAY).likely - moult) / days(1) == pytest.approx(8, abs=1e-4)


# The range that growers give, 7 to 10 days: why these days are scaled like those of nymphs.
@pytest.mark.parametrize(("temp_c", "lag"), [(31.7, 7), (27.6, 10)])
def test_the_days_to_the_first_eggs_are_scaled_by_the_rate_of_the_nymph(temp_c, lag):
    found = grown(curve_of(temp_c))

    moult = window(found, MilestoneKind.ADULT).likely
    assert (window(found, MilestoneKind.FIRST_LAY).likely - moult) / days(1) == pytest.approx(lag, abs=0.05)


@pytest.mark.parametrize(
    ("kind", "lag", "lag_sd"),
    [(MilestoneKind.FIRST_CHIRP, 3, FIRST_CHIRP_SD.value), (MilestoneKind.FIRST_LAY, 8, 1)],
)
def test_the_spreads_of_growing_up_and_of_ripening_add_up_as_squares(kind, lag, lag_sd):
    curve = curve_of(30)
    found = grown(curve)
    moult = window(found, MilestoneKind.ADULT).likely
    moult_sd = days_until(moult) * spread_of(curve, HATCH, moult, start_sd_days=0.5)
    middle = days_until(moult) + lag

    latest = middle * math.exp(QUANTILE_95 * math.hypot(moult_sd, lag_sd) / middle)
    assert days_until(window(found, kind).latest) == pytest.approx(latest, abs=1e-3)


def test_a_doubt_of_the_hatch_widens_the_first_sizes_most():
    sure, doubtful = grown(curve_of(30), start_sd_days=0), grown(curve_of(30), start_sd_days=3)

    widened = [
        math.log((b.window.latest - b.window.earliest) / (a.window.latest - a.window.earliest))
        for a, b in zip(sure, doubtful, strict=True)
    ]
    assert min(widened) > 0
    assert widened[0] > 5 * widened[-1]


def test_a_cold_week_ahead_puts_everything_off_that_comes_after_it():
    kept, cooled = grown(curve_of(30)), grown(curve_of(30, 15, 30, for_days=10))

    late = [(b.window.likely - a.window.likely) / days(1) for a, b in zip(kept, cooled, strict=True)]
    assert late[0] == 0
    assert late[-1] == pytest.approx(10, abs=1e-4)


# At 30 C the first eggs are likely on day 52.2: the cold falls between that and the late end.
@pytest.mark.parametrize("kind", [MilestoneKind.ADULT, MilestoneKind.FIRST_LAY])
def test_a_cold_time_after_the_likely_end_puts_off_the_late_end_only(kind):
    kept = window(grown(curve_of(30, 30, 30, for_days=54)), kind)

    cooled = window(grown(curve_of(30, 15, 30, for_days=54)), kind)

    assert (cooled.earliest, cooled.likely) == (kept.earliest, kept.likely)
    assert (cooled.latest - kept.latest) / days(1) > 40


def test_too_warm_or_too_cold_to_grow_leaves_out_what_is_not_reached():
    assert grown(curve_of(14)) == ()
    assert grown(curve_of(43)) == ()
    assert [one.size or one.instar for one in grown(curve_of(30, 14))] == [2, "1/8in", 3, 4, "1/4in", 5]


def test_what_falls_into_a_time_under_the_limit_is_left_out_though_days_are_warm():
    swinging = Swing(start_at=HATCH, low_c=1, high_c=29)

    assert grown(DevelopmentCurve([swinging], HOUSE.nymph)) == ()


def test_crickets_that_mature_in_the_cold_lay_no_eggs():
    assert [one.kind for one in grown(curve_of(17))][-1] is MilestoneKind.FIRST_CHIRP
    assert [one.kind for one in grown(curve_of(18.1))][-1] is MilestoneKind.FIRST_LAY


def test_a_history_with_an_end_gives_what_lies_within_it():
    known = Swing(start_at=HATCH, end_at=HATCH + days(45), low_c=30, high_c=30)

    found = grown(DevelopmentCurve([known], HOUSE.nymph))

    moult = found[-1]
    assert moult.kind is MilestoneKind.ADULT
    assert moult.window.likely < HATCH + days(45) < moult.window.latest


def test_a_taught_farm_has_its_own_pace():
    slow = msgspec.structs.replace(untaught(HOUSE.nymph), values=(0.0, math.log(1.2), 0.39, 0.0))
    shelf = [Swing(start_at=HATCH, low_c=30, high_c=30)]

    found = grown(DevelopmentCurve(shelf, slow))

    assert days_until(window(found, MilestoneKind.ADULT).likely) == pytest.approx(1.2 * 530 / 12, abs=1e-3)
    assert (found[-1].window.likely - found[-3].window.likely) / days(1) == pytest.approx(8, abs=1e-3)


def test_a_species_that_hatches_longer_than_a_size_has_no_time_for_it():
    long = tuple(msgspec.structs.replace(one, length_mm=one.length_mm * 2) for one in HOUSE.instars)
    large = msgspec.structs.replace(HOUSE, instars=long)

    assert SizeGrade.EIGHTH not in {one.size for one in grown(curve_of(30), cricket=large)}


@pytest.mark.parametrize("temp_c", [20, 25, 30, 35, 38])
def test_a_cricket_has_the_size_and_the_instar_whose_time_has_come(temp_c):
    curve = curve_of(temp_c)

    for one in grown(curve):
        before, after = (body_now(curve, HATCH, one.window.likely + HOUR * sign, HOUSE) for sign in (-1, 1))
        if one.kind is MilestoneKind.INSTAR:
            assert (before.instar, after.instar) == (one.instar - 1, one.instar)
        if one.kind is MilestoneKind.SIZE and one.size is not SizeGrade.INCH:
            assert (before.size, after.size) == (SIZES[SIZES.index(one.size) - 1], one.size)


def test_a_pinhead_is_what_hatched_and_an_adult_stays_one():
    curve = curve_of(30)
    hatched, grown_up = (body_now(curve, HATCH, HATCH + days(count), HOUSE) for count in (0, 90))

    assert (hatched.share, hatched.instar, hatched.size) == (0, 1, SizeGrade.PINHEAD)
    assert (hatched.length_mm, hatched.mass_mg) == pytest.approx((2.3, 0.8))
    assert (grown_up.share, grown_up.instar, grown_up.size) == (1, 9, SizeGrade.ADULT)
    assert (grown_up.length_mm, grown_up.mass_mg) == pytest.approx((20, 393))


@pytest.mark.parametrize("instar", HOUSE.instars, ids=lambda instar: str(instar.number))
def test_an_instar_begins_with_its_length_and_mass(instar):
    body = body_now(curve_of(30), HATCH, HATCH + days(instar.starts_at * 530 / 12), HOUSE)

    assert (body.length_mm, body.mass_mg) == pytest.approx((instar.length_mm, instar.mass_mg), rel=1e-4)


@given(st.floats(0, 60), st.floats(0, 60))
def test_a_cricket_never_shrinks(one, other):
    early, late = (body_now(curve_of(30), HATCH, HATCH + days(count), HOUSE) for count in sorted((one, other)))

    assert early.mass_mg <= late.mass_mg * (1 + 1e-12)
    assert SIZES.index(early.size) <= SIZES.index(late.size)


def test_the_size_at_four_weeks():
    assert body_now(curve_of(30), HATCH, HATCH + days(28), HOUSE).size is SizeGrade.THREE_EIGHTHS


def test_a_curve_of_eggs_is_refused():
    eggs = DevelopmentCurve([Swing(start_at=HATCH, low_c=30, high_c=30)], HOUSE.egg)

    with pytest.raises(HistoryError, match="curve is for another stage, must be for nymphs of the house cricket"):
        grown(eggs)
    with pytest.raises(HistoryError, match="curve is for another stage, must be for nymphs of the house cricket"):
        body_now(eggs, HATCH, HATCH, HOUSE)


def test_a_hatch_before_the_history_is_refused():
    with pytest.raises(HistoryError, match="must lie within the history"):
        growth(curve_of(30), HATCH - days(1), HOUSE, start_sd_days=0.5)


def test_a_time_before_the_hatch_is_refused():
    with pytest.raises(HistoryError, match="must not be before since"):
        body_now(curve_of(30), HATCH + days(2), HATCH + days(1), HOUSE)


@pytest.mark.parametrize("doubt", [-0.1, 31, math.nan, math.inf])
def test_an_absurd_doubt_of_the_hatch_is_refused(doubt):
    with pytest.raises(OutOfRangeError, match=r"doubt of the hatch \[days\] is .* must be from 0 to 30"):
        grown(curve_of(30), start_sd_days=doubt)
