"""Fits of base and thermal constant against published lines, scipy and statsmodels."""

import math

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats

from core import units
from core.science import degree_days
from core.science.thermal_constant import ikemoto_takai_fit, x_intercept_fit

TEMPS_C = np.array([20.0, 23.0, 26.0, 29.0, 32.0])
EXACT_DAYS = 166.9 / (TEMPS_C - 14.93)
DAYS = EXACT_DAYS * (1.02, 0.99, 1.01, 0.98, 1.00)  # no animal's: made up to have errors of about a percent
WARM_C, HUMID_C, DAY_C, NIGHT_C = (
    units.to_celsius(value, units.TemperatureUnit.FAHRENHEIT) for value in (90.5, 85, 80, 50)
)
ROUNDING = 1e-9  # share; the same sums in another order


def pairs(temps_c, days):
    return list(zip(map(float, temps_c), map(float, days), strict=True))


# Pea aphid: Campbell et al. 1974, J. Appl. Ecol. 11:431-438, base 5.100 C and constant 105.0, which is the line
# 1/D = -0.04857143 + 0.00952381 T: to the printed digit.
def test_the_line_of_the_pea_aphid_has_its_published_base_and_constant():
    temps_c = np.array([10.0, 15.0, 20.0, 25.0])

    fit = x_intercept_fit(pairs(temps_c, 1 / (-0.04857143 + 0.00952381 * temps_c)))

    assert (round(fit.base_temp_c, 3), round(fit.thermal_constant, 1)) == (5.100, 105.0)


# Not published: worked out beforehand by the formulas of Campbell et al. 1974 and of Ikemoto and Takai 2000, Environ.
# Entomol. 29:671-682. Tolerance: half of the last digit kept.
def test_five_times_with_errors_have_the_fits_worked_out_beforehand():
    fit, axis = x_intercept_fit(pairs(TEMPS_C, DAYS)), ikemoto_takai_fit(pairs(TEMPS_C, DAYS))

    assert np.round(DAYS, 3).tolist() == [33.578, 20.475, 15.228, 11.625, 9.777]
    assert 1 / fit.thermal_constant == pytest.approx(0.00607239, abs=5e-9)
    assert -fit.base_temp_c / fit.thermal_constant == pytest.approx(-0.0913637, abs=5e-8)
    assert fit.constant_se / fit.thermal_constant**2 == pytest.approx(0.00010911, abs=5e-9)
    assert (fit.base_temp_c, fit.base_se_c) == (pytest.approx(15.0458, abs=5e-5), pytest.approx(0.2111, abs=5e-5))
    assert (fit.thermal_constant, fit.constant_se) == (pytest.approx(164.680, abs=5e-4), pytest.approx(2.959, abs=5e-4))
    assert (axis.base_temp_c, axis.thermal_constant) == (
        pytest.approx(15.1084, abs=5e-5),
        pytest.approx(163.664, abs=5e-4),
    )


@pytest.mark.parametrize("method", [x_intercept_fit, ikemoto_takai_fit], ids=lambda method: method.__name__)
def test_times_without_error_give_the_line_they_were_made_with(method):
    fit = method(pairs(TEMPS_C, EXACT_DAYS))

    assert (fit.base_temp_c, fit.thermal_constant) == (pytest.approx(14.93), pytest.approx(166.9))


# scipy.stats.linregress; the errors by the formula of Campbell et al. 1974 from its standard error of the slope.
def test_the_x_intercept_is_that_of_scipy():
    rates = 1 / DAYS
    line = stats.linregress(TEMPS_C, rates)
    variance = np.sum((rates - line.intercept - line.slope * TEMPS_C) ** 2) / (len(rates) - 2)
    mean = rates.mean()
    base_se = mean / line.slope * math.sqrt(variance / (len(rates) * mean**2) + (line.stderr / line.slope) ** 2)

    fit = x_intercept_fit(pairs(TEMPS_C, DAYS))

    assert fit.base_temp_c == pytest.approx(-line.intercept / line.slope, rel=ROUNDING)
    assert fit.thermal_constant == pytest.approx(1 / line.slope, rel=ROUNDING)
    assert fit.base_se_c == pytest.approx(base_se, rel=ROUNDING)
    assert fit.constant_se == pytest.approx(line.stderr / line.slope**2, rel=ROUNDING)


# statsmodels OLS; the errors by the delta method from its covariance of intercept and slope, which is the formula of
# Campbell et al. 1974 in another dress.
def test_the_x_intercept_is_that_of_statsmodels():
    line = sm.OLS(1 / DAYS, sm.add_constant(TEMPS_C)).fit()
    intercept, slope = line.params
    covariance = line.cov_params()
    to_base, to_constant = np.array([-1 / slope, intercept / slope**2]), np.array([0, -1 / slope**2])

    fit = x_intercept_fit(pairs(TEMPS_C, DAYS))

    assert fit.base_temp_c == pytest.approx(-intercept / slope, rel=ROUNDING)
    assert fit.thermal_constant == pytest.approx(1 / slope, rel=ROUNDING)
    assert fit.base_se_c == pytest.approx(math.sqrt(to_base @ covariance @ to_base), rel=ROUNDING)
    assert fit.constant_se == pytest.approx(math.sqrt(to_constant @ covariance @ to_constant), rel=ROUNDING)


# The reduced major axis is the geometric mean of the two least-squares lines, here those of scipy.stats.linregress.
def test_the_line_of_ikemoto_and_takai_lies_between_both_lines_of_scipy():
    products = DAYS * TEMPS_C
    steep, flat = 1 / stats.linregress(products, DAYS).slope, stats.linregress(DAYS, products).slope

    axis = ikemoto_takai_fit(pairs(TEMPS_C, DAYS))

    assert axis.base_temp_c == pytest.approx(math.sqrt(steep * flat), rel=ROUNDING)
    assert axis.thermal_constant == pytest.approx(np.mean(products) - axis.base_temp_c * np.mean(DAYS), rel=ROUNDING)


# Common practice, no source: 9.5 d at 90.5 F and 11.5 d at 85 F; the line through both, worked out by hand.
def test_two_rules_of_practice_have_the_line_worked_out_by_hand():
    fit = x_intercept_fit([(WARM_C, 9.5), (HUMID_C, 11.5), (HUMID_C, 11.5)])
    per_day = degree_days.single_sine(NIGHT_C, DAY_C, fit.base_temp_c)

    assert (round(fit.thermal_constant, 4), round(fit.base_temp_c, 4)) == (166.9097, 14.9306)
    assert (round(per_day, 5), round(fit.thermal_constant / per_day, 3)) == (4.57835, 36.456)


# The same, rounded to 14.9 C and 167 degree-days.
def test_the_line_of_practice_may_be_rounded():
    warm, humid = (degree_days.days_at_constant(temp_c, 14.9, 167) for temp_c in (WARM_C, HUMID_C))
    swinging = 167 / degree_days.single_sine(NIGHT_C, DAY_C, 14.9)

    assert (round(warm, 3), round(humid, 3), round(swinging, 3)) == (9.489, 11.482, 36.322)
