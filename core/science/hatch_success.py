"""How many pinheads come of the eggs, learned from counted hatches.

Not for when they hatch: see development.
"""

import math
from collections.abc import Sequence

import msgspec

from core.science.estimates import QUANTILE_95, WIDEST_SD, Estimate
from core.science.figures import Figure, Mark
from core.science.ranges import OutOfRangeError, checked

PRIOR_WEIGHT = Figure(
    value=10.0, unit="eggs", mark=Mark.GUESS, source="Beta(8, 2) for a well kept tub: as wide as papers disagree"
)
TUB_WEIGHT = Figure(
    value=30.0, unit="eggs", mark=Mark.GUESS, source="no measurement found: tubs of one farm at 80 % differ by 7 %"
)


class HatchSuccess(msgspec.Struct, frozen=True, kw_only=True):
    """What is believed about the share of eggs that hatch on a farm: a beta distribution of the mean of its tubs."""

    hatched: float  # as if so many eggs had been seen to hatch
    failed: float  # as if so many had not

    def __post_init__(self) -> None:
        for name, eggs in (("eggs hatched [1]", self.hatched), ("eggs failed [1]", self.failed)):
            if checked(name, eggs) <= 0:
                raise OutOfRangeError(name, eggs, "above 0")

    @property
    def share(self) -> float:
        """The mean share, 0 to 1. [1]."""
        return self.hatched / (self.hatched + self.failed)

    @property
    def tub_sd(self) -> float:
        """The standard deviation of the share of a tub to come: of the mean, and of the tubs around it. [1]."""
        mean = self.share
        return math.sqrt(mean * (1 - mean) * (1 / (self.hatched + self.failed + 1) + 1 / (TUB_WEIGHT.value + 1)))


class CountedHatch(msgspec.Struct, frozen=True, kw_only=True):
    """A tub whose pinheads were counted."""

    eggs: Estimate  # how many there were
    pinheads: float


def prior(hatch_success: Figure) -> HatchSuccess:
    """Give what is believed before any hatch was counted.

    Parameters
    ----------
    hatch_success : Figure
        Of a species, between 0 and 1. [1]

    Returns
    -------
    HatchSuccess
        Weighing ten eggs.

    Raises
    ------
    OutOfRangeError
        If the share is not above 0 and under 1.

    Examples
    --------
    >>> from core.science.species import species
    >>> prior(species("house").hatch_success)
    HatchSuccess(hatched=8.0, failed=2.0)
    """
    hatched = checked("hatch success [1]", hatch_success.value, 0.0, 1.0) * PRIOR_WEIGHT.value
    return HatchSuccess(hatched=hatched, failed=PRIOR_WEIGHT.value - hatched)


def learned(belief: HatchSuccess, hatches: Sequence[CountedHatch]) -> HatchSuccess:
    """Update the belief by counted hatches; their order does not matter.

    Parameters
    ----------
    belief : HatchSuccess
        Before them.
    hatches : sequence of CountedHatch, shape (n,)
        Each with eggs above 0 and pinheads from 0.

    Returns
    -------
    HatchSuccess
        After them.

    Raises
    ------
    OutOfRangeError
        If there were no eggs, or a number is not finite or negative.

    Notes
    -----
    Beta prior, binomial likelihood of w eggs, of which the share p = min(1, pinheads / eggs) hatched. w makes the
    variance of p that of such a sample: with m the mean share believed, s the standard deviation of the logarithm of
    the eggs, and tubs that differ as samples of n = 30,

        1 / w = 1 / eggs + 1 / n + s^2 m / (1 - m)

    so that neither thousands of eggs nor a rough guess at them outweigh all that was known.

    Examples
    --------
    2,000 eggs by an estimate good to a factor of two weigh as 1.4 eggs, the same number counted as 30.

    >>> from core.science.estimates import lognormal
    >>> belief = HatchSuccess(hatched=8.0, failed=2.0)
    >>> guessed = learned(belief, [CountedHatch(eggs=lognormal(2000.0, 0.42), pinheads=800.0)])
    >>> counted = learned(belief, [CountedHatch(eggs=lognormal(2000.0, 0.0), pinheads=800.0)])
    >>> round(guessed.share, 2), round(counted.share, 2)
    (0.75, 0.5)
    """
    hatched, failed = belief.hatched, belief.failed
    for hatch in hatches:
        share, weight = _seen(hatch, belief)
        hatched, failed = hatched + weight * share, failed + weight * (1 - share)
    return HatchSuccess(hatched=hatched, failed=failed)


def _seen(hatch: CountedHatch, belief: HatchSuccess) -> tuple[float, float]:
    eggs = hatch.eggs
    if eggs.likely <= 0:
        raise OutOfRangeError("eggs of a hatch [1]", eggs.likely, "above 0")
    share = min(1.0, checked("pinheads [1]", hatch.pinheads, 0.0) / eggs.likely)
    return share, 1 / (1 / eggs.likely + 1 / TUB_WEIGHT.value + eggs.sd**2 * belief.hatched / belief.failed)


def pinheads_to_expect(eggs: Estimate, belief: HatchSuccess) -> Estimate:
    """Give how many pinheads come of a tub of eggs.

    Parameters
    ----------
    eggs : Estimate
        Eggs in the tub. [1]
    belief : HatchSuccess
        Of the farm, or the `prior`.

    Returns
    -------
    Estimate
        Pinheads, never more than there may be eggs. [1]

    Notes
    -----
    The eggs times the mean share; the variances of the two logarithms add up (that of the share is its variance over
    its mean squared, good to a few percent from 0.5 on).

    Examples
    --------
    >>> from core.science.estimates import lognormal
    >>> pinheads = pinheads_to_expect(lognormal(1000.0, 0.3), HatchSuccess(hatched=8.0, failed=2.0))
    >>> [round(number) for number in (pinheads.least, pinheads.likely, pinheads.most)]
    [452, 800, 1417]
    """
    if not eggs.likely:
        return eggs
    share = belief.share
    factor = math.exp(QUANTILE_95 * min(math.hypot(eggs.sd, belief.tub_sd / share), WIDEST_SD))
    likely = eggs.likely * share
    return Estimate(least=likely / factor, likely=likely, most=max(likely, min(likely * factor, eggs.most)))
