"""What hatches teach: on farms made up by chance and driven by real temperatures, and against scipy.

How the farms are drawn: farms.py beside this file; `python -m tests.outside.trials` prints the figures.
"""

import datetime as dt
import math

import numpy as np
import pytest
from scipy import optimize, stats
from vega_datasets import local_data

from core.science.calibration import Calibration, untaught
from core.science.curve import DevelopmentCurve
from core.science.development import COMING_PER_RANGE
from core.science.estimates import QUANTILE_95
from core.science.learning import TAIL, Sight, learned
from core.science.logged import FADING, RECENT_DAYS
from core.science.warmth import Gauge, Ramp
from tests.outside import farms, trials

BEFORE, AFTER = 0, 1
of_both = pytest.mark.parametrize("when", [BEFORE, AFTER], ids=["before learning", "after five hatches"])


# A window of 90 % must hold 85 to 95 % of the hatches on 500 farms; that of 500 draws at 90 % is 87.4 to 92.6.
@of_both
def test_a_window_holds_as_many_hatches_as_it_says(when):
    tried = trials.tried_in("shelves and garages")[when]

    assert len(tried) == 500
    assert 0.85 <= trials.score(tried).held <= 0.95


# The same for each kind of place, so that one that is too wide does not make up for one that is too narrow.
@of_both
@pytest.mark.parametrize("kind", farms.KINDS)
def test_a_window_holds_as_many_hatches_as_it_says_in_each_kind_of_place(kind, when):
    tried = [trial for trial in trials.tried_in("shelves and garages")[when] if trial.kind == kind]

    assert len(tried) == 250
    assert 0.85 <= trials.score(tried).held <= 0.95


def test_hatches_make_windows_narrower_and_nearer():
    before, after = (trials.score(tried) for tried in trials.tried_in("shelves and garages"))

    assert after.width < 0.7 * before.width
    assert after.error < 0.5 * before.error


# Half a day is what is asked for, off the day that the middle egg of the next tub hatches. A single tub has a spread of
# its own, a standard deviation of some 0.7 d at eleven days, which nothing that is learned takes away.
@pytest.mark.parametrize("scene", [scene for scene in trials.SCENES if scene != "shelves and garages"])
def test_a_thermometer_that_reads_2_c_high_is_found_out_even_if_things_go_wrong(scene):
    before, after = (trials.score(tried) for tried in trials.tried_in(scene))

    assert before.error > 1.3
    assert after.error < 0.5
    assert abs(after.bias) < 0.5
    assert after.seen_error < 0.8


# The constants of 100 farms after 60 hatches each: 90 % of their intervals hold what is true (85 to 95 % of 300), and
# all three together are off by what their covariance says: the sum of squares is a chi-square of 3 degrees a farm.
def test_the_constants_of_a_farm_come_back_as_nearly_as_is_said():
    got = trials.recovered(trials.RECOVERED_FARMS)

    within = np.abs(got.off) < QUANTILE_95
    assert 0.85 <= within.mean() <= 0.95
    least, most = stats.chi2(got.off.size).ppf([0.005, 0.995])
    assert least < got.squares.sum() < most
    assert (got.narrower < (0.65, 0.65, 0.45)).all()  # base, constant, cooling share: shares of what was held before


# What is learned is the likeliest: scipy.optimize.minimize of the posterior as the method states it, from curves.
def test_what_is_learned_is_the_mode_that_scipy_finds():
    rng = np.random.default_rng(5)
    sights = [made_up_sight(rng, number) for number in range(8)]
    taught = learned(farms.EGG, sights)
    prior = untaught(farms.EGG)
    certainty = np.linalg.inv(prior.for_gauges(taught.gauges))
    start = np.append(prior.values, np.zeros(len(taught.gauges)))

    def unlikeliness(values):
        held = Calibration(
            stage=farms.EGG, values=tuple(values), covariance=taught.covariance, gauges=taught.gauges, seen=0
        )
        away = values - start
        return away @ certainty @ away / 2 - sum(log_likelihood(sight, held) for sight in sights)

    doubts = np.sqrt(np.diag(taught.covariance))
    found = optimize.minimize(lambda scaled: unlikeliness(scaled * doubts), start / doubts, method="BFGS")

    assert len(taught.gauges) == 2
    assert unlikeliness(np.array(taught.values)) == pytest.approx(found.fun, abs=1e-5)
    assert np.array(taught.values) / doubts == pytest.approx(found.x, abs=0.01)


def made_up_sight(rng, number):
    since = farms.moment(24 * 7 * number)
    end = since + dt.timedelta(days=rng.uniform(10, 15))
    temps_c, drop_c = rng.uniform(26, 33, size=2), rng.uniform(0, 6)
    gauge = Gauge("shelf" if number % 2 else "garage")
    warmth = Ramp(start_at=since, end_at=end, from_c=temps_c[0], to_c=temps_c[1], drop_c=drop_c, gauge=gauge)
    return Sight(history=[warmth], since=since, seen_at=end)


def log_likelihood(sight, held):
    gained = DevelopmentCurve(sight.history, held).progress(sight.since, sight.seen_at)
    days = (sight.seen_at - sight.since) / dt.timedelta(days=1)
    scale = math.hypot(farms.EGG.spread.value, sight.start_sd_days / days, sight.seen_sd_days / days)
    return stats.t.logpdf(math.log(gained / held.constant), TAIL, scale=scale)


# The doubt of days to come: how far the mean of ten measured days of Seattle was from that of the three before them,
# weighted as forecasts weigh them, over how far a day ranged. Tolerance: one of the second digit.
def test_days_to_come_are_as_unsure_as_those_of_seattle_were():
    days = local_data.seattle_weather()
    means = ((days.temp_min + days.temp_max) / 2).to_numpy()
    weights = FADING ** np.arange(RECENT_DAYS)

    off = [
        means[day : day + 10].mean() - np.average(means[day - RECENT_DAYS : day][::-1], weights=weights)
        for day in range(RECENT_DAYS, len(means) - 10)
    ]

    ranges = (days.temp_max - days.temp_min).to_numpy()
    assert np.std(off) == pytest.approx(2.5, abs=0.05)
    assert ranges.mean() == pytest.approx(8.3, abs=0.1)
    assert np.std(off) / ranges.mean() == pytest.approx(COMING_PER_RANGE.value, abs=0.01)
