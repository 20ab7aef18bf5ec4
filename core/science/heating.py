"""What it costs to keep a batch warm until it is done, at each temperature.

Not for how warm it had better be for the animals' sake, nor for money other than that of the heat.
"""

from collections.abc import Sequence
from enum import StrEnum

import msgspec
import numpy as np

from core.science.ranges import OutOfRangeError, checked
from core.science.stage import Stage, response

HOURS_PER_DAY, W_PER_KW = 24.0, 1000.0  # a kilowatt-hour is a thousand watts for an hour, by definition
COLDEST_C, HOTTEST_C = -60.0, 60.0  # surroundings of a farm
LEAST_RATE = 1e-6  # degree-days a day; less is a rounding of none
_SAME = 9  # digits to which two costs count as the same


class Cheaper(StrEnum):
    """Which way the heat of a batch gets less, from one temperature in the linear range to another."""

    WARMER = "warmer"  # surroundings colder than the base: the time saved outweighs the loss
    COOLER = "cooler"  # surroundings warmer than the base: the loss outweighs the time saved
    SAME = "same"  # surroundings at the base


class BatchCost(msgspec.Struct, frozen=True, kw_only=True):
    """What a batch takes at one temperature."""

    temp_c: float
    days: float
    kwh: float  # 0 where the surroundings are warm enough
    cost: float  # in the money of the price


class Comparison(msgspec.Struct, frozen=True, kw_only=True):
    """Batches at several temperatures, and why one is cheaper."""

    batches: tuple[BatchCost, ...]  # in the order asked
    cheapest: BatchCost | None  # the quicker one of equals; None if all are hotter than speeds anything up
    cheaper: Cheaper
    surroundings_c: float
    base_temp_c: float  # of the stage: what the surroundings are compared with


def heat_loss(power_w: float, duty: float, warmer_k: float) -> float:
    """Give the heat a room or cabinet loses, from how long its heater runs.

    Parameters
    ----------
    power_w : float
        Of the heater while it runs, 0 to 1e6. [W]
    duty : float
        Share of the time that it runs, 0 to 1. [1]
    warmer_k : float
        By how much it is warmer inside than outside meanwhile, above 0. [K]

    Returns
    -------
    float
        Loss. [W/K]

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    In the long run heat lost is heat supplied: loss = power * duty / warmer. Other heat (lamps, crickets, sun) and what
    leaves with the air that is changed count as part of it.

    Examples
    --------
    >>> heat_loss(1500.0, 1 / 3, 20.0)
    25.0
    """
    checked("power of the heater [W]", power_w, 0.0, 1e6)
    checked("share of the time that the heater runs [1]", duty, 0.0, 1.0)
    if checked("degrees warmer inside than outside [K]", warmer_k) <= 0:
        raise OutOfRangeError("degrees warmer inside than outside [K]", warmer_k, "above 0")
    return power_w * duty / warmer_k


def cheaper_way(stage: Stage, surroundings_c: float) -> Cheaper:
    """Tell whether a warmer or a cooler batch takes less heat.

    Parameters
    ----------
    stage : Stage
        What is kept warm.
    surroundings_c : float
        Mean temperature around what is heated, -60 to 60. [C]

    Returns
    -------
    Cheaper
        For temperatures from the base (or the surroundings, if warmer) up to the cutoff.

    Raises
    ------
    OutOfRangeError
        If the temperature is not finite or out of its range.

    Notes
    -----
    Heat of a batch ~ (T - Ts) / (T - T0), whose slope (Ts - T0) / (T - T0)^2 has the sign of Ts - T0.

    Examples
    --------
    >>> from core.science.species import species
    >>> cheaper_way(species("house").egg, 10.0).value, cheaper_way(species("house").egg, 21.0).value
    ('warmer', 'cooler')
    """
    above = checked("temperature of the surroundings [C]", surroundings_c, COLDEST_C, HOTTEST_C)
    above -= stage.base_temp_c.value
    if above == 0:
        return Cheaper.SAME
    return Cheaper.COOLER if above > 0 else Cheaper.WARMER


def batch_cost(
    stage: Stage, temp_c: float, *, surroundings_c: float, loss_w_per_k: float, price_per_kwh: float
) -> BatchCost:
    """Give days, heat and cost of a batch at one temperature.

    Parameters
    ----------
    stage : Stage
        What is kept warm until it is done.
    temp_c : float
        Held steadily, above the base and under the upper limit of the stage. [C]
    surroundings_c : float
        Mean temperature around, -60 to 60; never above `temp_c` for long, or days without heat hide in the mean. [C]
    loss_w_per_k : float
        Heat lost for each degree warmer than the surroundings, at least 0. [W/K]
    price_per_kwh : float
        At least 0. [money/kWh]

    Returns
    -------
    BatchCost
        Of the middle of the batch.

    Raises
    ------
    OutOfRangeError
        If an argument is not finite or out of its range.

    Notes
    -----
    days = K / rate(T), the rate being that of the stage: T - T0 in the linear range, flat and falling above it.
    Untested under `tested_from_c` of the stage.
    kWh = loss * max(0, T - Ts) * 24 * days / 1000. Heat made from electricity one to one, as any plain heater does.

    Examples
    --------
    >>> from core.science.species import species
    >>> egg = species("house").egg
    >>> batch = batch_cost(egg, 30.0, surroundings_c=20.0, loss_w_per_k=25.0, price_per_kwh=0.15)
    >>> round(batch.days, 2), round(batch.kwh, 2), round(batch.cost, 2)
    (10.66, 63.95, 9.59)
    """
    base_c, limit_c = stage.base_temp_c.value, stage.upper_limit_c.value
    checked("temperature of the batch [C]", temp_c)
    rate = float(response(stage, [base_c]).rate(np.array([[temp_c]]))[0, 0])
    if not base_c < temp_c < limit_c or rate < LEAST_RATE:
        raise OutOfRangeError("temperature of the batch [C]", temp_c, f"above {base_c:g} and under {limit_c:g}")
    checked("temperature of the surroundings [C]", surroundings_c, COLDEST_C, HOTTEST_C)
    checked("loss of heat [W/K]", loss_w_per_k, 0.0)
    checked("price of a kilowatt-hour [money]", price_per_kwh, 0.0)
    days = stage.thermal_constant.value / rate
    kwh = loss_w_per_k * max(0.0, temp_c - surroundings_c) * HOURS_PER_DAY * days / W_PER_KW
    return BatchCost(temp_c=temp_c, days=days, kwh=kwh, cost=kwh * price_per_kwh)


def compared(
    stage: Stage, temps_c: Sequence[float], *, surroundings_c: float, loss_w_per_k: float, price_per_kwh: float
) -> Comparison:
    """Compare batches at several temperatures.

    Parameters
    ----------
    stage : Stage
        What is kept warm until it is done.
    temps_c : sequence of float, shape (n,)
        Each as in `batch_cost`. [C]
    surroundings_c, loss_w_per_k, price_per_kwh : float
        As in `batch_cost`.

    Returns
    -------
    Comparison
        The batches in the order of `temps_c`, the cheapest and why.

    Raises
    ------
    OutOfRangeError
        If a number is not finite or out of its range.

    Notes
    -----
    Above the cutoff more heat never saves time, so that no such batch is called the cheapest, were it the only one.

    Examples
    --------
    >>> from core.science.species import species
    >>> egg = species("house").egg
    >>> both = compared(egg, [26.0, 30.0], surroundings_c=20.0, loss_w_per_k=25.0, price_per_kwh=0.15)
    >>> both.cheapest.temp_c, both.cheaper.value
    (26.0, 'cooler')
    """
    batches = tuple(
        batch_cost(
            stage,
            temp_c,
            surroundings_c=surroundings_c,
            loss_w_per_k=loss_w_per_k,
            price_per_kwh=price_per_kwh,
        )
        for temp_c in temps_c
    )
    sensible = (batch for batch in batches if batch.temp_c <= stage.cutoff_c.value)
    return Comparison(
        batches=batches,
        cheapest=min(sensible, key=lambda batch: (round(batch.kwh, _SAME), batch.days), default=None),
        cheaper=cheaper_way(stage, surroundings_c),
        surroundings_c=surroundings_c,
        base_temp_c=stage.base_temp_c.value,
    )
