"""Windows in which a stage ends. The figures of practice are in tests/outside."""

import datetime as dt
import math
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from core.science.calibration import untaught
from core.science.curve import DevelopmentCurve
from core.science.development import (
    COMING_PER_RANGE,
    STEADIEST_SD_C,
    UNSTEADIEST_SD_C,
    WIDEST_SPREAD,
    HatchWindow,
    TooCold,
    TooHot,
    hatch_window,
    spread_of,
    window_of,
)
from core.science.estimates import QUANTILE_95
from core.science.ranges import OutOfRangeError
from core.science.species import SpeciesName, species
from core.science.warmth import Gauge, HistoryError, Ramp, Swing

HOUSE = species(SpeciesName.HOUSE)
HELD = untaught(HOUSE.egg)
SURE = replace(HELD, covariance=tuple((0.0,) * 4 for _ in range(4)))
EXACT = Gauge("exact", 0.0)
PULLED = dt.datetime(2026, 5, 1, 18, tzinfo=dt.UTC)
warm = st.floats(22, 33)


def days(count):
    return dt.timedelta(days=count)


def always(low_c, high_c=None, **more):
    return [Swing(start_at=PULLED, low_c=low_c, high_c=low_c if high_c is None else high_c, **more)]


def known(temp_c, **more):
    """Warmth of sixty days that has been."""
    return [Ramp(start_at=PULLED, end_at=PULLED + days(60), from_c=temp_c, to_c=temp_c, **more)]


def days_until(at):
    return (at - PULLED) / days(1)


def spread_at(history, held, **more):
    curve = DevelopmentCurve(history, held)
    likely = curve.reached_at(PULLED, held.constant)
    return spread_of(curve, PULLED, likely, **{"start_sd_days": 0.0, **more})


@pytest.mark.parametrize("zone", ["America/Denver", "Australia/Lord_Howe"])
def test_a_change_of_clocks_changes_no_hatch(zone):
    pulled = dt.datetime(2026, 3, 31, 18, tzinfo=ZoneInfo(zone))
    for laid_at in (pulled, pulled.replace(month=3, day=3), pulled.replace(month=10, day=28)):
        window = hatch_window([Swing(start_at=laid_at, low_c=32.5, high_c=32.5)], laid_at, HOUSE)

        assert window.likely.tzinfo is laid_at.tzinfo
        assert window.likely.timestamp() - laid_at.timestamp() == pytest.approx(162 / 17.7 * 86_400, abs=1)


def test_a_window_says_what_it_rests_on():
    window = hatch_window(always(29.8, drop_c=4), PULLED, HOUSE)

    assert isinstance(window, HatchWindow)
    assert window.earliest < window.likely < window.latest
    assert window.degree_days_needed == pytest.approx(162)
    assert window.air_temp_c == pytest.approx(29.8)
    assert window.egg_temp_c == pytest.approx(29.8 - 0.39 * 4)
    assert window.cooling_c == pytest.approx(0.39 * 4)
    assert not window.is_untested


@given(warm, st.floats(0, 5))
def test_wet_eggs_hatch_like_dry_ones_in_air_as_cool_as_they(temp_c, drop_c):
    wet = hatch_window(always(temp_c, drop_c=drop_c), PULLED, HOUSE)
    dry = hatch_window(always(temp_c - 0.39 * drop_c), PULLED, HOUSE)

    assert days_until(wet.likely) == pytest.approx(days_until(dry.likely), abs=1e-4)
    assert wet.latest - wet.earliest >= dry.latest - dry.earliest  # nobody knows the share


# Each part of the spread alone, and all together: at 30 C eggs stand 15.2 above their base.
@pytest.mark.parametrize(
    ("held", "gauge", "start_sd_days", "others"),
    [
        pytest.param(SURE, EXACT, 0.0, 0.0, id="individuals"),
        pytest.param(SURE, EXACT, 0.5, 0.5 / (162 / 15.2), id="lay"),
        pytest.param(SURE, Gauge("cheap", 1.5), 0.0, 1.5 / 15.2, id="thermometer"),
        pytest.param(HELD, EXACT, 0.0, math.hypot((1 / 15.2 - 0.063) * 0.8, 0.05, 0.5 / 15.2), id="constants"),
        pytest.param(
            HELD,
            Gauge("cheap", 1.5),
            0.5,
            math.hypot(0.5 / (162 / 15.2), 1.5 / 15.2, (1 / 15.2 - 0.063) * 0.8, 0.05, 0.5 / 15.2),
            id="all",
        ),
    ],
)
def test_the_spread_is_of_all_that_is_not_known(held, gauge, start_sd_days, others):
    got = spread_at(known(30, gauge=gauge), held, start_sd_days=start_sd_days)

    assert got == pytest.approx(math.hypot(0.06, others), rel=1e-3)


def test_the_cooling_share_is_not_known_where_it_cools():
    got = spread_at(known(30, drop_c=5, gauge=EXACT), replace(SURE, covariance=with_share_sd(0.08)))

    assert got == pytest.approx(math.hypot(0.06, 0.08 * 5 / (15.2 - 0.39 * 5)), rel=1e-3)


def with_share_sd(sd):
    rows = [[0.0] * 4 for _ in range(4)]
    rows[2][2] = sd**2
    return tuple(tuple(row) for row in rows)


@pytest.mark.parametrize(
    ("low_c", "high_c", "sd_c"),
    [
        pytest.param(30, 30, STEADIEST_SD_C, id="steady"),
        pytest.param(28, 32, 4 * COMING_PER_RANGE.value, id="some weather"),
        pytest.param(25.5, 33.5, UNSTEADIEST_SD_C, id="wide days"),
    ],
)
def test_days_to_come_are_less_sure_the_wider_they_are(low_c, high_c, sd_c):
    coming = always(low_c, high_c, gauge=EXACT)
    rate = DevelopmentCurve(coming, SURE).coming_rate

    assert spread_at(coming, SURE) == pytest.approx(math.hypot(0.06, sd_c / rate), rel=0.01)


def test_days_that_have_been_are_sure():
    been = Ramp(start_at=PULLED, end_at=PULLED + days(8), from_c=30, to_c=30, gauge=EXACT)
    history = [been, *[replace(part, start_at=PULLED + days(8)) for part in always(30, gauge=EXACT)]]
    share_to_come = 1 - 8 / (162 / 15.2)

    assert spread_at(history, SURE) == pytest.approx(math.hypot(0.06, STEADIEST_SD_C * share_to_come / 15.2), rel=1e-3)


def test_a_window_is_the_quantiles_of_its_spread():
    curve = DevelopmentCurve(always(30), HELD)
    window = window_of(curve, PULLED, 100.0, start_sd_days=0.5)
    spread = spread_of(curve, PULLED, window.likely, start_sd_days=0.5)

    assert days_until(window.likely) == pytest.approx(100 / 15.2, abs=1e-4)
    assert days_until(window.latest) / days_until(window.likely) == pytest.approx(math.exp(QUANTILE_95 * spread))
    assert days_until(window.likely) / days_until(window.earliest) == pytest.approx(math.exp(QUANTILE_95 * spread))


def test_a_cold_week_ahead_puts_off_only_the_late_end():
    warm_days = Ramp(start_at=PULLED, end_at=PULLED + days(11), from_c=30, to_c=30)
    cold_week = Ramp(start_at=PULLED + days(11), end_at=PULLED + days(18), from_c=14, to_c=14)

    staying = hatch_window(always(30), PULLED, HOUSE)
    cooling = hatch_window(
        [warm_days, cold_week, Swing(start_at=PULLED + days(18), low_c=30, high_c=30)], PULLED, HOUSE
    )

    assert cooling.likely == staying.likely
    assert days_until(cooling.latest) > days_until(staying.latest) + 6


def test_a_window_beyond_the_end_of_its_history_is_scaled():
    history = [Ramp(start_at=PULLED, end_at=PULLED + days(11), from_c=30, to_c=30)]
    window = hatch_window(history, PULLED, HOUSE)

    assert days_until(window.latest) > 11
    assert days_until(window.latest) / days_until(window.likely) == pytest.approx(
        days_until(window.likely) / days_until(window.earliest), rel=1e-4
    )


def test_nothing_that_is_reached_in_ten_years_has_no_window():
    assert window_of(DevelopmentCurve(always(14), HELD), PULLED, 10.0) is None


def test_cold_nights_make_no_warm_midday_untested():
    window = hatch_window(always(10, 26.7), PULLED, HOUSE)

    assert window.egg_temp_c < HOUSE.egg.tested_from_c.value
    assert not window.is_untested


def test_the_window_is_doubled_where_the_rule_is_untested():
    below, above = (hatch_window(always(temp_c, gauge=EXACT), PULLED, HOUSE) for temp_c in (19.99, 20.01))

    def spread(window):
        return math.log(days_until(window.likely) / days_until(window.earliest)) / QUANTILE_95

    assert (below.is_untested, above.is_untested) == (True, False)
    assert spread(below) == pytest.approx(2 * spread(above), rel=0.01)


def test_a_window_never_begins_before_the_lay_however_poor_the_thermometer():
    window = hatch_window(always(10, 24, gauge=Gauge("poor", 10.0)), PULLED, HOUSE)

    assert PULLED < window.earliest < window.likely < window.latest < PULLED + days(365)
    assert spread_at(always(10, 24, gauge=Gauge("poor", 10.0)), HELD) == WIDEST_SPREAD


def test_a_longer_lay_makes_the_window_wider():
    day, week = (hatch_window(always(30), PULLED, HOUSE, lay_days=lay_days) for lay_days in (1, 7))

    assert day.likely == week.likely
    assert week.earliest < day.earliest
    assert week.latest > day.latest


def test_what_was_learnt_counts():
    shelf = Gauge("shelf")
    slower = replace(
        HELD,
        values=(0.0, 0.0, 0.39, 0.0, -2.0),
        covariance=(*tuple((*row, 0.0) for row in HELD.covariance), (0.0, 0.0, 0.0, 0.0, 0.01)),
        gauges=(shelf,),
        seen=5,
    )

    taught = hatch_window(DevelopmentCurve(always(30, gauge=shelf), slower), PULLED, HOUSE)
    elsewhere = hatch_window(DevelopmentCurve(always(30), slower), PULLED, HOUSE)

    assert days_until(taught.likely) == pytest.approx(162 / 13.2, abs=1e-4)
    assert days_until(elsewhere.likely) == pytest.approx(162 / 15.2, abs=1e-4)
    surer, less_sure = (days_until(w.latest) / days_until(w.likely) for w in (taught, elsewhere))
    assert surer < less_sure


@pytest.mark.parametrize(("low_c", "high_c"), [(15.9, 15.9), (10, 21.9), (5, 5)])
def test_a_cold_outlook_is_not_forecast(low_c, high_c):
    got = hatch_window(always(low_c, high_c), PULLED, HOUSE)

    assert got == TooCold(mean_temp_c=pytest.approx((low_c + high_c) / 2), limit_c=16)


def test_wet_eggs_stand_still_in_air_that_dry_ones_could_do_with():
    assert isinstance(hatch_window(always(18), PULLED, HOUSE), HatchWindow)
    wet = hatch_window(always(18, drop_c=6), PULLED, HOUSE)

    assert wet == TooCold(mean_temp_c=18, limit_c=pytest.approx(16 + 6 * 0.39))
    assert isinstance(hatch_window(always(wet.limit_c + 0.01, drop_c=6), PULLED, HOUSE), HatchWindow)


def test_warm_middays_hatch_wet_eggs_whose_mean_would_not():
    window = hatch_window([Swing(start_at=PULLED, low_c=10, high_c=26.7, drop_c=7)], PULLED, HOUSE)

    assert window.egg_temp_c < HOUSE.egg.too_cold_c.value
    assert 45 < days_until(window.likely) < 70


@pytest.mark.parametrize(("temp_c", "drop_c"), [(41, 0), (43, 0), (60, 0), (45, 3)])
def test_what_is_too_hot_is_not_called_cold(temp_c, drop_c):
    found = hatch_window(always(temp_c, drop_c=drop_c), PULLED, HOUSE)

    assert found == TooHot(mean_temp_c=temp_c, limit_c=pytest.approx(36 + drop_c * 0.39))


def test_eggs_that_have_had_their_warmth_are_forecast_whatever_comes():
    been = Swing(start_at=PULLED, end_at=PULLED + days(10), low_c=32.5, high_c=32.5)
    cold = Swing(start_at=PULLED + days(10), low_c=5, high_c=5)

    assert days_until(hatch_window([been, cold], PULLED, HOUSE).likely) == pytest.approx(162 / 17.7, abs=0.001)
    assert isinstance(hatch_window([been, cold], PULLED + days(1), HOUSE), TooCold)


def test_a_move_to_a_warmer_place_brings_the_hatch_forward():
    stay = hatch_window(always(24), PULLED, HOUSE)
    shelf = Swing(start_at=PULLED, end_at=PULLED + days(5), low_c=24, high_c=24)
    moved = hatch_window([shelf, Swing(start_at=PULLED + days(5), low_c=32, high_c=32)], PULLED, HOUSE)

    assert days_until(moved.likely) == pytest.approx(5 + (162 - 5 * 9.2) / 17.2, abs=1e-4)
    assert moved.likely < stay.likely


def test_warmth_from_34_to_36_speeds_nothing_up_and_more_slows_it_down():
    at_34, at_36, at_38_5 = (hatch_window(always(temp_c), PULLED, HOUSE).likely for temp_c in (34, 36, 38.5))

    assert at_34 == at_36
    assert days_until(at_38_5) == pytest.approx(2 * days_until(at_34), abs=1e-4)


def test_one_curve_answers_like_a_history_of_its_own_for_every_tub():
    curve = DevelopmentCurve(always(20, 32), HOUSE.egg)
    later = PULLED + days(3)

    assert hatch_window(curve, later, HOUSE) == hatch_window(always(20, 32), later, HOUSE)


def test_a_curve_for_other_eggs_is_refused():
    with pytest.raises(HistoryError, match="must be for eggs of the two-spotted cricket"):
        hatch_window(DevelopmentCurve(always(30), HOUSE.egg), PULLED, species("two-spotted"))


def test_a_history_that_ends_too_early_is_refused():
    with pytest.raises(HistoryError, match="must go on to 162 degree-days"):
        hatch_window([Ramp(start_at=PULLED, end_at=PULLED + days(2), from_c=30, to_c=30)], PULLED, HOUSE)


@pytest.mark.parametrize("lay_days", [-1, 31, math.nan])
def test_a_lay_that_cannot_be_is_refused(lay_days):
    with pytest.raises(OutOfRangeError, match=r"time of lay \[days\] is .*, must be from 0 to 30"):
        hatch_window(always(30), PULLED, HOUSE, lay_days=lay_days)


@pytest.mark.parametrize("needed", [0, -5, math.nan])
def test_a_thermal_time_of_nothing_is_refused(needed):
    with pytest.raises(OutOfRangeError, match=r"thermal time \[degree-days C\] is"):
        window_of(DevelopmentCurve(always(30), HELD), PULLED, needed)
