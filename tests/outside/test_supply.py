"""What a farm will have, against a simulation of every single cricket from what was told of it, sales and all."""

import datetime as dt

import numpy as np

from core.journal import facts
from core.rules import supply
from core.rules.growth import development_of
from core.rules.space import BIN_CM2
from core.rules.supply import Want
from core.science.availability import COUNT_SD
from core.science.grades import GROWN, sold_as, starts_at
from core.science.species import SpeciesName, species
from core.units import SizeGrade
from tests.builders import NOON, Notebook, after

HOUSE = species(SpeciesName.HOUSE)
FARMS = 400
PUT_IN, TAKEN, TAKEN_ON = 2400, 700, 26
DAYS = (10, 16, 20, 24, 28, 31, 34, 37, 40, 46, 55)
SIZES = (
    None,
    SizeGrade.EIGHTH,
    SizeGrade.QUARTER,
    SizeGrade.HALF,
    SizeGrade.FIVE_EIGHTHS,
    SizeGrade.ADULT,
)  # None: all
STARTS = [starts_at(grade, HOUSE.instars) for grade in SizeGrade if grade not in GROWN]
GRADES = [grade for grade in SizeGrade if grade is not SizeGrade.INCH]


def a_farm(*, is_taken=True):
    note = Notebook(start=NOON)
    note.write(facts.Stocked(bin="B1", count=PUT_IN))
    note.write(facts.Reading(bin="B1", temp_c=30.0), NOON)
    if is_taken:
        note.write(facts.Harvested(bin="B1", count=TAKEN), after(days=TAKEN_ON))
    return note.farm


def around(chance, middle, sd, number=None):
    return middle * np.exp(sd * chance.standard_normal(number))


def share(chance, middle, sd):
    return 1 / (1 + np.exp(-(np.log(middle / (1 - middle)) + sd / (middle * (1 - middle)) * chance.standard_normal())))


def life(development, area_cm2, chance):
    """Live the crickets of the bin through, one by one: how many of each grade on each of the days."""
    number = round(around(chance, PUT_IN, COUNT_SD))
    grown_by = np.append(0.0, np.cumsum(development.gains))
    constant = around(chance, development.constant, development.unknown)
    constant = around(chance, constant, HOUSE.nymph.spread.value, number)
    young, grown = -np.log(share(chance, 0.75, 0.10)), share(chance, 0.80, 0.10)
    risk = -np.log(chance.random(number))
    later = -np.log(grown * np.interp((risk > young).sum() / area_cm2, (0.19, 0.47, 0.93), (1.0, 0.69, 0.55)))
    dies_at = np.where(risk < young, 0.29 * risk / young, 0.29 + 0.71 * (risk - young) / later)
    adult_on = np.interp(constant, grown_by, np.arange(len(grown_by)), right=np.inf)
    dies_on = adult_on + chance.exponential(around(chance, HOUSE.adult.half_life_days.value, 0.16) / np.log(2), number)

    def living(day):
        progress = grown_by[day] / constant
        return np.where(progress < 1, progress < dies_at, (dies_at >= 1) & (day < dies_on))

    taken = chance.permutation(np.flatnonzero(living(TAKEN_ON)))[:TAKEN]
    is_left = np.ones(number, dtype=bool)
    is_left[taken] = False
    rows = []
    for day in DAYS:
        of_those = living(day) & (is_left if day >= TAKEN_ON else True)
        progress = grown_by[day] / constant[of_those]
        rows.append([*np.histogram(progress[progress < 1], bins=[*STARTS, 1.0])[0], np.count_nonzero(progress >= 1)])
    return np.array(rows, dtype=float)


def as_sold(numbers, size):
    if size is None:
        return numbers.sum(axis=-1)
    return numbers[..., [GRADES.index(grade) for grade in sold_as(size)]].sum(axis=-1)


# The model lived through cricket by cricket, its random numbers from numpy. Intervals are to hold 85 to 95 % of the
# farms; what was taken at random is in the simulation itself, and by shares in the projection.
def test_the_interval_of_what_there_will_be_holds():
    farm, chance = a_farm(), np.random.default_rng(7)
    development = development_of(farm, farm.bins["B1"], NOON, max(DAYS) + 1)
    farms = np.array([life(development, BIN_CM2, chance) for _ in range(FARMS)])

    days = [NOON.date() + dt.timedelta(days=day) for day in DAYS]
    before = supply.supply_on(a_farm(is_taken=False), {}, days)
    later = supply.supply_on(farm, {}, days)

    held, off = [], []
    for number, day in enumerate(DAYS):
        found = later if day >= TAKEN_ON else before
        for size in SIZES:
            there, true = found.on(days[number], size), as_sold(farms[:, number], size)
            if there.least < 5:
                continue
            held.append(((true >= there.least) & (true <= there.most)).mean())
            off.append(abs(there.likely - np.median(true)) / (there.most - there.least))
    assert len(held) >= 20
    assert 0.85 <= np.mean(held) <= 0.95
    assert max(off) < 0.08


# The chance that there are enough, against how many of the simulated farms have enough. Within 8 %: 400 farms tell it
# within 5 %.
def test_the_chance_that_there_are_enough_is_that_of_simulated_farms():
    farm, chance = a_farm(), np.random.default_rng(8)
    development = development_of(farm, farm.bins["B1"], NOON, max(DAYS) + 1)
    farms = np.array([life(development, BIN_CM2, chance) for _ in range(FARMS)])
    day = NOON.date() + dt.timedelta(days=34)

    for count in (200, 400, 600, 800):
        outcomes, _ = supply.supply_on(farm, {}, [day]).after([Want(day=day, size=SizeGrade.HALF, count=count)])
        true = (as_sold(farms[:, DAYS.index(34)], SizeGrade.HALF) >= count).mean()
        assert abs(outcomes[0].chance - true) < 0.08
