"""Forecasts made on farms drawn by chance, and how they came out before and after learning.

`python -m tests.outside.trials` prints it. A forecast is asked for some day before a hatch. Not for how the farms are
drawn: farms.
"""

import argparse
import datetime as dt
import functools
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from core.science.calibration import Calibration, untaught
from core.science.curve import DevelopmentCurve
from core.science.development import HatchWindow, hatch_window
from core.science.estimates import QUANTILE_95
from core.science.learning import learned
from core.science.logged import coming_swing
from core.science.stage import Floats
from core.science.substrate import surface_drop_c
from core.science.warmth import Swing
from tests.outside.farms import (
    DAY,
    EGG,
    HOUSE,
    KINDS,
    LOOK,
    NO_SLIP,
    SEED,
    SPACING_DAYS,
    Slip,
    Tub,
    moment,
    place,
    sight,
    truth,
    tub,
    warmth,
)

CONSTANTS = 3  # base, log of the constant, cooling share
RECOVERED_FARMS = 100


class Trial(NamedTuple):
    """How a forecast came out."""

    kind: str
    error: float  # likely less middle [d]
    seen_error: float  # likely less seen [d]
    width: float  # of the window [d]
    is_held: bool  # it hatched within the window


class Recovery(NamedTuple):
    """How the constants of farms came back: base, log of the constant and cooling share."""

    off: Floats  # in standard deviations held; shape (farms, 3)
    squares: Floats  # of all three, by their covariance; shape (farms,)
    narrower: Floats  # these deviations in the mean, as shares of those before; shape (3,)


class Score(NamedTuple):
    """How forecasts came out together."""

    held: float  # share of hatches within the window
    width: float  # mean [d]
    error: float  # median of the distance between likely and middle [d]
    bias: float  # median of likely less middle [d]
    seen_error: float  # median of the distance between likely and seen [d]


def trial(of: Tub, now: float, held: Calibration) -> Trial:
    """Forecast a tub at a time by what is held, and see how it came out."""
    recent = np.arange(now - 3 * DAY, now + 1, LOOK)
    low_c, high_c = coming_swing(recent / DAY, of.place.told_c(recent))
    drop_c = surface_drop_c((low_c + high_c) / 2, of.place.rh, is_covered=of.is_covered)
    coming = Swing(start_at=moment(now), low_c=low_c, high_c=high_c, drop_c=drop_c, gauge=of.place.gauge)
    history = [*(warmth(of, now) if now > of.pulled else []), coming]
    window = hatch_window(DevelopmentCurve(history, held), moment(of.pulled), HOUSE)
    assert isinstance(window, HatchWindow), "a place that is too cold to tell"
    day = dt.timedelta(days=1)
    return Trial(
        kind=of.place.kind,
        error=(window.likely - moment(of.middle)) / day,
        seen_error=(window.likely - moment(of.seen)) / day,
        width=(window.latest - window.earliest) / day,
        is_held=window.earliest <= moment(of.hatched) <= window.latest,
    )


def tried(
    rng: np.random.Generator, kind: str, hatches: int, slips: Sequence[Slip], reads_high_c: float | None
) -> tuple[Trial, Trial]:
    """Forecast the next tub of a place before and after its hatches; the slips happen to some of them by chance."""
    farm = truth(rng)
    where = place(rng, farm, kind, reads_high_c=reads_high_c)
    start = DAY * int(rng.integers(152, 172) if kind == "garage" else rng.integers(8, 220)) + int(rng.integers(DAY))
    mishaps = dict(zip(rng.permutation(hatches).tolist(), slips, strict=False))
    tubs = [
        tub(rng, farm, where, start + SPACING_DAYS * DAY * number, mishaps.get(number, NO_SLIP))
        for number in range(hatches)
    ]
    then = math.ceil((max(of.seen for of in tubs) - start) / LOOK) * LOOK + start
    following = tub(rng, farm, where, then)
    now = then + LOOK * int(rng.integers(14))
    taught = learned(EGG, [sight(of) for of in tubs])
    return trial(following, now, untaught(EGG)), trial(following, now, taught)


@functools.cache
def trials(
    farms: int,
    hatches: int,
    *,
    kinds: tuple[str, ...] = ("shelf",),
    slips: tuple[Slip, ...] = (),
    reads_high_c: float | None = None,
) -> tuple[tuple[Trial, ...], tuple[Trial, ...]]:
    """Forecast one tub on each of many farms, before and after so many hatches there."""
    rng = np.random.default_rng(SEED)
    both = [tried(rng, kinds[number % len(kinds)], hatches, slips, reads_high_c) for number in range(farms)]
    return tuple(before for before, _ in both), tuple(after for _, after in both)


def score(of: Sequence[Trial]) -> Score:
    """Put trials together."""
    return Score(
        held=float(np.mean([one.is_held for one in of])),
        width=float(np.mean([one.width for one in of])),
        error=float(np.median([abs(one.error) for one in of])),
        bias=float(np.median([one.error for one in of])),
        seen_error=float(np.median([abs(one.seen_error) for one in of])),
    )


@functools.cache
def recovered(farms: int, hatches: int = 60, gauge_sd_c: float = 0.2) -> Recovery:
    """Learn the constants of farms with shelves at four temperatures and good thermometers."""
    rng = np.random.default_rng(SEED)
    before = np.sqrt(np.diag(untaught(EGG).covariance)[:CONSTANTS])
    off, squares, doubts = [], [], []
    for _ in range(farms):
        farm = truth(rng)
        shelves = [
            place(rng, farm, "shelf", name=f"shelf at {level_c}", level_c=level_c, gauge_sd_c=gauge_sd_c)
            for level_c in (21, 24, 28, 32)
        ]
        start = DAY * int(rng.integers(8, 150))
        sights = [sight(tub(rng, farm, shelves[i % len(shelves)], start + 2 * DAY * i)) for i in range(hatches)]
        taught = learned(EGG, sights)
        covariance = np.array(taught.covariance)[:CONSTANTS, :CONSTANTS]
        miss = np.array(taught.values[:CONSTANTS]) - farm.as_values
        off.append(miss / np.sqrt(np.diag(covariance)))
        squares.append(miss @ np.linalg.solve(covariance, miss))
        doubts.append(np.sqrt(np.diag(covariance)) / before)
    return Recovery(np.array(off), np.array(squares), np.mean(doubts, axis=0))


NEXT_LOOK, WEEK_LATE, LONG_LAY = Slip(is_by_looks=True), Slip(late_days=6.0), Slip(lay_days=3.0)
READS_HIGH = {"reads_high_c": 2.0}
SCENES = {  # farms, hatches, and what else is so
    "shelves and garages": (500, 5, {"kinds": ("shelf", "garage")}),
    "shelf reads 2 C high": (300, 3, READS_HIGH),
    "and one of 5 noticed 6 days late": (200, 5, {**READS_HIGH, "slips": (WEEK_LATE,)}),
    "and one of 5 laid in 3 days, not 1": (200, 5, {**READS_HIGH, "slips": (LONG_LAY,)}),
    "and all seen at the next look": (200, 3, {**READS_HIGH, "slips": (NEXT_LOOK,) * 3}),
}


def tried_in(scene: str) -> tuple[tuple[Trial, ...], tuple[Trial, ...]]:
    """Give the trials of a scene, before and after learning."""
    farms, hatches, more = SCENES[scene]
    return trials(farms, hatches, **more)


def main() -> None:
    """Measure and print."""
    argparse.ArgumentParser(prog="python -m tests.outside.trials", description=__doc__.splitlines()[0]).parse_args()
    print(f"{'':36}{'farms':>6}{'':>9}{'held':>7}{'width':>8}{'likely off by':>15}{'bias':>8}{'off a seen hatch':>18}")
    for scene, (farms, hatches, _) in SCENES.items():
        for when, of in zip(("before", f"after {hatches}"), tried_in(scene), strict=True):
            _print(scene, farms, when, score(of))
    for kind in KINDS:
        for when, of in zip(("before", "after 5"), tried_in("shelves and garages"), strict=True):
            mine = [one for one in of if one.kind == kind]
            _print(f"of the first, a {kind}", len(mine), when, score(mine))
    got = recovered(RECOVERED_FARMS)
    print(f"\n60 hatches on each of {RECOVERED_FARMS} farms, four shelves, thermometers good to 0.2 C")
    print(f"{'':36}{'in 90 % interval':>18}{'its width, of that before':>28}")
    within = np.mean(np.abs(got.off) < QUANTILE_95, axis=0)
    for name, share, left in zip(("base", "constant", "cooling share"), within, got.narrower, strict=True):
        print(f"{name:36}{share:>18.0%}{left:>28.0%}")
    print(f"{'all three (mean square, 3 is right)':36}{np.mean(got.squares):>18.2f}")


def _print(scene: str, farms: int, when: str, of: Score) -> None:
    days = f"{of.width:>6.1f} d{of.error:>13.2f} d{of.bias:>+6.2f} d{of.seen_error:>16.2f} d"
    print(f"{scene:36}{farms:>6}{when:>9}{of.held:>7.1%}{days}")


if __name__ == "__main__":
    main()
