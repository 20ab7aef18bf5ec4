"""The spread of a hatch against lifelines and scipy."""

import numpy as np
import pytest
from lifelines import KaplanMeierFitter, LogNormalFitter
from scipy import stats

from core.science.hatch_spread import hatch_spread

# Not of any farm: thirteen eggs, the last one not hatched on the 14th day.
SMALL = ([(9, 1), (10, 3), (11, 4), (12, 2), (13, 1), (14, 1)], 1)
LARGE = ([(10, 3), (11, 22), (12, 61), (13, 40), (14, 9), (15, 0)], 24)
EARLY = ([(8, 1), (9, 4), (9.5, 6)], 70)
HATCHES = pytest.mark.parametrize(
    ("looks", "unhatched"), [SMALL, LARGE, EARLY], ids=["small", "large", "stopped early"]
)


def eggs(looks, unhatched):
    """One row for each egg: its day, and whether it hatched then."""
    days = np.repeat([float(day) for day, _ in looks], [pinheads for _, pinheads in looks])
    end = max(day for day, _ in looks)
    return np.append(days, [end] * unhatched), np.append(np.ones(len(days)), np.zeros(unhatched))


# lifelines 0.30 on the small hatch, to the digit it prints: Kaplan-Meier median 11.0, mu 2.42846, sigma 0.13880.
def test_thirteen_eggs_have_the_figures_of_lifelines():
    looks, unhatched = SMALL

    fit = hatch_spread(looks, unhatched=unhatched)

    assert (round(fit.log_mean, 5), round(fit.spread, 5), fit.median_days) == (2.42846, 0.13880, 11.0)


# lifelines 0.30, which climbs by a general optimizer and stops when a step gains little: hence 1e-5.
@HATCHES
def test_the_curve_is_that_of_lifelines(looks, unhatched):
    days, has_hatched = eggs(looks, unhatched)
    theirs = LogNormalFitter().fit(days, has_hatched)

    fit = hatch_spread(looks, unhatched=unhatched)

    assert (fit.log_mean, fit.spread) == pytest.approx((theirs.mu_, theirs.sigma_), abs=1e-5)


# lifelines 0.30, exact: a day of the counts, or none.
@HATCHES
def test_the_median_is_that_of_lifelines(looks, unhatched):
    theirs = KaplanMeierFitter().fit(*eggs(looks, unhatched)).median_survival_time_

    assert hatch_spread(looks, unhatched=unhatched).median_days == (theirs if np.isfinite(theirs) else None)


# scipy.stats.norm.fit on the censored logarithms: a simplex search that stops at 1e-4, hence 2e-4.
@HATCHES
def test_the_curve_is_that_of_scipy(looks, unhatched):
    days, has_hatched = eggs(looks, unhatched)
    logs = np.log(days)
    theirs = stats.norm.fit(stats.CensoredData(uncensored=logs[has_hatched == 1], right=logs[has_hatched == 0]))

    fit = hatch_spread(looks, unhatched=unhatched)

    assert (fit.log_mean, fit.spread) == pytest.approx(theirs, abs=2e-4)
