"""How many crickets of each size there are at given times, from the batches that a farm told of and what dies of them.

Not for what a farm tells, which core.rules makes batches of, nor for how a batch grows: population has that.
"""

from collections.abc import Sequence
from typing import Self

import msgspec
import numpy as np

from core.science.estimates import Estimate
from core.science.grades import GROWN, sold_as
from core.science.population import GROWING, SCENARIOS, Cohort, counts_of, unknowns_of
from core.science.ranges import checked
from core.science.species import Species
from core.science.stage import Floats
from core.science.survival import HALF_LIFE_SD
from core.units import SizeGrade

COUNT_SD = 0.1  # of the logarithm; a guess at how well crickets are counted, or weighed, when they are put into a bin
MOST_DAYS_AHEAD = 400  # of what was told until what is asked
_NEXT_TO_NONE = 1e-9
_START, _HALF_LIFE = 0, 4  # of the unknowns of a cohort


class Amount(msgspec.Struct, frozen=True, kw_only=True):
    """A number of crickets: 5, 50 and 95 % quantiles, whole."""

    least: int
    likely: int
    most: int


class Batch(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets of one age in a bin, or the eggs of a tub. Times are in days from any one moment on."""

    name: str  # of the bin or tub
    kind: Species  # with the thermal constants that are held of it, and how surely
    born: float  # when it hatched, or was laid; of grown crickets of unknown age when they were told of
    gains: tuple[float, ...] = ()  # degree-days of nymphs in each day since then; empty: grown, of unknown age
    egg_days: float | None = None  # from the lay to the hatch, in the middle; None: it has hatched
    start: Estimate  # how many eggs, pinheads, or grown crickets
    told: tuple[tuple[float, int], ...] = ()  # what came in and what went out, by time; empty: nothing but the start
    dead: tuple[tuple[float, int], ...] = ()  # that were found, by time
    area_cm2: float | None = None  # floor and cartons that it grows up on; None: room enough


class Taking(msgspec.Struct, frozen=True, kw_only=True):
    """Crickets that are to leave."""

    time: int  # index of the time
    size: SizeGrade
    count: int


class Outcome(msgspec.Struct, frozen=True, kw_only=True):
    """What there is for a taking, after those before it."""

    chance: float  # that there are enough, 0 to 1
    there: Amount


class Stock:
    """Crickets by bin or tub, time and size, in scenarios that may be added up."""

    __slots__ = ("_numbers", "names")

    def __init__(self, names: Sequence[str], numbers: Floats) -> None:
        self.names = tuple(names)
        self._numbers = numbers  # shape (batches, scenarios, times, sizes)

    @classmethod
    def of(cls, batches: Sequence[Batch], times: Sequence[float]) -> Self:
        """Project batches to times.

        Parameters
        ----------
        batches : sequence of Batch
            Several may have one name.
        times : sequence of float
            In days, from the same moment on as those of the batches; a batch that is not there yet counts as none.

        Returns
        -------
        Stock
            Of these times, in their order.

        Raises
        ------
        OutOfRangeError
            If a time lies more than 400 days after the birth of a batch.
        """
        parts = [numbers_of(batch, number, times) for number, batch in enumerate(batches)]
        return cls.joined([batch.name for batch in batches], parts, len(times))

    @classmethod
    def joined(cls, names: Sequence[str], parts: Sequence[Floats], times: int) -> Self:
        """Put the numbers of batches, each of `numbers_of` with its place among them, together."""
        none = np.zeros((0, SCENARIOS, times, len(GROWING) + 1))
        return cls(names, np.stack(parts) if parts else none)

    def there(self, time: int, size: SizeGrade | None = None) -> Amount:
        """Give how many go for a size at a time, given by its index; without a size, how many there are."""
        return _amount(self._of(time, size).sum(axis=0))

    def grades(self, time: int) -> dict[SizeGrade, Amount]:
        """Give how many there are of each grade, each cricket once; a grown one as adult."""
        found = self._numbers[:, :, time].sum(axis=0)
        return {grade: _amount(found[:, column]) for column, grade in enumerate((*GROWING, SizeGrade.ADULT))}

    def by_name(self, time: int, size: SizeGrade | None = None) -> dict[str, Amount]:
        """Give the same for each bin and tub."""
        found = self._of(time, size)
        return {
            name: _amount(found[[i for i, other in enumerate(self.names) if other == name]].sum(axis=0))
            for name in dict.fromkeys(self.names)
        }

    def reliable(self, time: int, size: SizeGrade, quantile: float) -> dict[str, float]:
        """Give how many each bin and tub has of a size at a time, at a quantile of the scenarios, 0 to 1."""
        found = self._of(time, size)
        rows = {name: [i for i, other in enumerate(self.names) if other == name] for name in self.names}
        return {name: float(np.quantile(found[those].sum(axis=0), quantile)) for name, those in rows.items()}

    def chance(self, time: int, size: SizeGrade, count: int) -> float:
        """Give the chance that there are so many of a size at a time, 0 to 1."""
        return float(np.mean(self._of(time, size).sum(axis=0) >= count))

    def after(self, takings: Sequence[Taking]) -> tuple[tuple[Outcome, ...], "Stock"]:
        """Let crickets be taken, one taking after another in the order of their times; give what is left besides.

        Each takes from all batches by their shares, and no more than there are. Those that leave a batch are missing
        in it at all later times, in whatever size they would have been: they are taken to be as likely to live as the
        others.
        """
        left = np.ones(self._numbers.shape[:2])
        outcomes = []
        for taking in takings:
            found = self._of(taking.time, taking.size) * left
            total = found.sum(axis=0)
            outcomes.append(Outcome(chance=float(np.mean(total >= taking.count)), there=_amount(total)))
            share = np.minimum(taking.count / np.maximum(total, _NEXT_TO_NONE), 1.0)
            alive = self._of(taking.time, None) * left
            left = left * (1 - np.divide(found * share, alive, out=np.zeros_like(alive), where=alive > 0))
        return tuple(outcomes), Stock(self.names, self._numbers * left[:, :, None, None])

    def _of(self, time: int, size: SizeGrade | None) -> Floats:
        """Give the numbers of a size, shape (batches, scenarios)."""
        checked("index of the time [1]", time, 0, self._numbers.shape[2] - 1)
        if size is None:
            return np.asarray(self._numbers[:, :, time].sum(axis=2), dtype=np.float64)
        columns = [len(GROWING) if grade in GROWN else GROWING.index(grade) for grade in sold_as(size)]
        return np.asarray(self._numbers[:, :, time, columns].sum(axis=2), dtype=np.float64)


def _amount(numbers: Floats) -> Amount:
    least, likely, most = np.quantile(numbers, (0.05, 0.5, 0.95))
    return Amount(least=round(float(least)), likely=round(float(likely)), most=round(float(most)))


def numbers_of(batch: Batch, number: int, at: Sequence[float]) -> Floats:
    """Give the crickets of one batch at times.

    Parameters
    ----------
    batch : Batch
        See `Stock.of`, also for what may be wrong.
    number : int
        Its place among those that are added up, 0 or more: others have other unknowns.
    at : sequence of float
        The times.

    Returns
    -------
    ndarray, shape (SCENARIOS, times, len(GROWING) + 1)
        Growing crickets of each grade, and adults.
    """
    times = np.asarray(at, dtype=np.float64)
    if batch.gains:
        alive = _grown(batch, number, np.append(times, [at for at, _ in (*batch.told, *batch.dead)]))
    else:
        alive = _fading(batch, number, np.append(times, [at for at, _ in (*batch.told, *batch.dead)]))
    found, told_to = alive[:, : len(times)], alive[:, len(times) :].sum(axis=2)
    if batch.told:
        found = found * _weight(batch, number, told_to)[:, None, None]
    return np.where((times >= batch.born)[None, :, None], found, 0.0)


def _weight(batch: Batch, number: int, alive: Floats) -> Floats:
    """Give by what the numbers of a batch are to be multiplied so that they fit what was told of it; by scenario.

    What came in or went out at a time counts by those of the batch that were alive then. No more can be alive than
    were told of less those found dead.
    """
    counts = np.array([count for _, count in batch.told], dtype=np.float64)
    noise = np.exp(COUNT_SD * unknowns_of(number)[_START])
    each = counts / np.maximum(alive[:, : len(counts)], _NEXT_TO_NONE)
    fits: Floats = np.maximum(each.sum(axis=1), 0.0)
    if batch.dead:
        in_book = max(float(counts.sum()) - sum(count for _, count in batch.dead), 0.0)
        fits = fits * np.minimum(in_book / np.maximum(fits * alive[:, -1], _NEXT_TO_NONE), 1.0)
    return np.asarray(fits * noise, dtype=np.float64)


def _grown(batch: Batch, number: int, times: Floats) -> Floats:
    """Give the crickets of a batch of known age as if nothing was told of their number but the start."""
    days = len(batch.gains)
    checked("days since the batch was born [d]", days, 1, MOST_DAYS_AHEAD)
    gains = np.asarray(batch.gains, dtype=np.float64)
    constant = batch.kind.egg.thermal_constant.value
    eggs = np.full(days, constant / batch.egg_days if batch.egg_days is not None else 0.0)
    cohort = Cohort(
        start=batch.start,
        is_hatched=batch.egg_days is None,
        egg_degree_days=eggs,
        nymph_degree_days=gains,
        area_cm2=batch.area_cm2,
    )
    place = np.clip(times - batch.born, 0.0, days)
    before = np.minimum(place.astype(np.int64), days - 1)
    rows = np.unique(np.concatenate([before, before + 1]))
    counts = counts_of(cohort, batch.kind, number, rows)[:, :, 1:]
    share = (place - before)[None, :, None]
    at = np.searchsorted(rows, before)  # its next row is the next day
    return np.asarray(counts[:, at] * (1 - share) + counts[:, at + 1] * share, dtype=np.float64)


def _fading(batch: Batch, number: int, times: Floats) -> Floats:
    """Give grown crickets of unknown age: they die by their half-life from when they were told of."""
    unknowns = unknowns_of(number)
    half_lives = batch.kind.adult.half_life_days.value * np.exp(HALF_LIFE_SD.value * unknowns[_HALF_LIFE])
    found = np.zeros((SCENARIOS, len(times), len(GROWING) + 1))
    fading = np.exp2(-np.maximum(times - batch.born, 0.0)[None, :] / half_lives[:, None])
    found[:, :, -1] = batch.start.likely * np.exp(batch.start.sd * unknowns[_START])[:, None] * fading
    return found
