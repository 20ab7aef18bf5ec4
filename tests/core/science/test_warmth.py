"""Histories of warmth: their pieces and what is no history."""

import datetime as dt
import math
from zoneinfo import ZoneInfo

import pytest

from core.science.ranges import OutOfRangeError
from core.science.species import species
from core.science.warmth import HistoryError, Ramp, Swing, day_number, pieces

EGG = species("house").egg
DAY_0 = dt.datetime(2026, 5, 1, tzinfo=dt.UTC)
DAY_1, DAY_2 = DAY_0 + dt.timedelta(days=1), DAY_0 + dt.timedelta(days=2)


def test_a_ramp_is_cut_at_base_and_cutoff_on_the_way_down_too():
    down = pieces([Ramp(start_at=DAY_0, end_at=DAY_1, from_c=40, to_c=10)], EGG)

    assert [piece.temp_c for piece in down] == pytest.approx([40, 34, 14.9])
    assert [piece.rate for piece in down] == pytest.approx([34 - 14.9, 34 - 14.9, 0])
    assert [piece.warm_share for piece in down] == [1, 1, 0]


def test_a_ramp_gains_the_mean_of_its_moments():
    ramp = Ramp(start_at=DAY_0, end_at=DAY_2, from_c=5, to_c=45)
    moments = [min(max(5 + 40 * (i + 0.5) / 10_000, 14.9), 34) - 14.9 for i in range(10_000)]

    last = pieces([ramp], EGG)[-1]

    assert last.sums(last.length).degree_days == pytest.approx(2 * sum(moments) / len(moments), abs=1e-4)


def test_a_day_is_24_hours_on_the_day_the_clocks_change():
    denver = ZoneInfo("America/Denver")
    before, after = dt.datetime(2026, 3, 7, 12, tzinfo=denver), dt.datetime(2026, 3, 8, 12, tzinfo=denver)

    assert day_number(after) - day_number(before) == pytest.approx(23 / 24)


@pytest.mark.parametrize(
    ("history", "message"),
    [
        pytest.param([], "history of warmth is empty", id="empty"),
        pytest.param(
            [Ramp(start_at=DAY_0, end_at=DAY_1, from_c=20, to_c=20), Swing(start_at=DAY_2, low_c=20, high_c=20)],
            "start of warmth is 2026-05-03.* must be the end of the one before",
            id="hole",
        ),
        pytest.param(
            [Swing(start_at=DAY_0, low_c=20, high_c=20), Swing(start_at=DAY_1, low_c=20, high_c=20)],
            "must be the end of the one before",
            id="goes on in the middle",
        ),
        pytest.param(
            [Swing(start_at=DAY_1, end_at=DAY_0, low_c=20, high_c=20)], "must be after its start", id="backwards"
        ),
        pytest.param(
            [Swing(start_at=DAY_0.replace(tzinfo=None), low_c=20, high_c=20)], "must have a time zone", id="naive"
        ),
    ],
)
def test_what_is_no_history_is_refused(history, message):
    with pytest.raises(HistoryError, match=message):
        pieces(history, EGG)


@pytest.mark.parametrize("temp_c", [900, -40, math.nan])
def test_an_absurd_temperature_is_refused(temp_c):
    with pytest.raises(OutOfRangeError, match="must be from -30 to 60"):
        Ramp(start_at=DAY_0, end_at=DAY_1, from_c=20, to_c=temp_c)


def test_a_swing_upside_down_is_refused():
    with pytest.raises(OutOfRangeError, match=r"high of the day \[C\] is 20, must be from 25 to 60"):
        Swing(start_at=DAY_0, low_c=25, high_c=20)
