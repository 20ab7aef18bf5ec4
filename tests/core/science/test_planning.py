import itertools
from collections import Counter

import pytest
from msgspec.structs import replace

from core.science import planning
from core.science.planning import planned
from core.science.production import Breeding, Hindrance, LayingBin, Tub
from core.science.programme import GAP
from tests.core.science.farmed import BIN_EGGS, DAYS, HATCH, works

NO_EGGS = (0.0,) * DAYS


def by_hand(farm):
    """The least cost over all sets of trays and of grow-out bins, for demands too far apart to share a batch."""
    least = 0.0
    for number, demand in enumerate(farm.demands):
        weight = max(planning.SHORT_BY_ONE, planning.SHORT_BY_ALL / demand.count)
        choices = [
            (n, day, house.eggs[day])
            for n, house in enumerate(farm.bins)
            for day in range(farm.days)
            if house.eggs[day] and farm.share(demand, day)
        ]
        assert all(not farm.share(other, day) for _, day, _ in choices for other in farm.demands if other != demand)
        costs = [
            weight * demand.count,
            *(
                cost_of(farm, demand, weight, trays)
                for size in range(1, len(choices) + 1)
                for trays in itertools.combinations(choices, size)
                if fits(farm, trays)
            ),
        ]
        least += min(costs)
        assert number < len(farm.demands)
    return least


def fits(farm, trays):
    return all(
        abs(one[1] - other[1]) >= farm.lay_days for one, other in itertools.combinations(trays, 2) if one[0] == other[0]
    )


def cost_of(farm, demand, weight, trays):
    """The cost with these trays and the best numbers of bins for what hatches together."""
    eggs = Counter()
    for _, day, laid in trays:
        eggs[day] += laid
    blocks = {day // planning.TOGETHER * planning.TOGETHER for day in eggs}
    costs = []
    for bins in itertools.product(range(4), repeat=len(blocks)):
        if sum(bins) > farm.empty[0]:
            continue
        made = kept = 0.0
        for first, count in zip(sorted(blocks), bins, strict=True):
            room = count * farm.eggs_a_bin
            for share, day in sorted(
                ((farm.share(demand, d), d) for d in eggs if first <= d < first + 3), reverse=True
            ):
                reared = min(room, eggs[day])
                made, room = made + share * reared, room - reared
            kept += planning.BIN_DAY * (demand.day - first - farm.hatch_age + 1) * count
        costs.append(len(trays) + kept + weight * max(demand.count - made, 0.0))
    return min(costs)


CASES = {
    "one tray is enough": works(counts=(300.0,), dues=(40,)),
    "two, and two bins": works(counts=(700.0,), dues=(40,)),
    "more than can be": works(counts=(2000.0,), dues=(40,)),
    "one bin to grow out in": works(counts=(900.0,), dues=(40,), empty=1.0),
    "two bins lay": works(counts=(1100.0,), dues=(40,), bins=((8, 9), (7, 10))),
    "two orders": works(counts=(300.0, 500.0), dues=(38, 50)),
    "a tray is in for two days": works(counts=(900.0,), dues=(40,), lay_days=2),
    "a few only": works(counts=(5.0,), dues=(40,)),
}


@pytest.mark.parametrize("farm", CASES.values(), ids=CASES)
def test_no_set_of_trays_does_better(farm):
    assert planned(farm).cost == pytest.approx(by_hand(farm), rel=2 * GAP)


def test_what_is_wanted_is_there_with_the_fewest_trays():
    found = planned(works(counts=(300.0, 500.0), dues=(38, 50)))

    assert [round(made.count) for made in found.made] == [300, 500]
    assert found.short == pytest.approx(0.0, abs=1e-6)
    assert len(found.trays) == 3
    assert all(made.hindrance is None for made in found.made)


def test_a_tray_gives_the_most_on_the_days_with_the_best_share():
    found = planned(works(counts=(400.0,), dues=(40,)))

    assert [tray.day for tray in found.trays] in ([8], [9])


def test_trays_of_a_bin_do_not_overlap():
    found = planned(works(counts=(2000.0,), dues=(40,), lay_days=2))
    days = [tray.day for tray in found.trays]

    assert all(later - day >= 2 for day, later in itertools.pairwise(days))


def test_bins_in_use_are_never_more_than_are_empty():
    found = planned(works(counts=(400.0,) * 4, dues=(36, 39, 42, 45), bins=((2, 20), (2, 20)), empty=2.0))

    assert max(found.bins_used) == 2


@pytest.mark.parametrize(
    ("farm", "hindrance"),
    [
        (works(counts=(100.0,), dues=(20,)), Hindrance.TOO_SOON),
        (works(counts=(100.0,), dues=(40,), bins=()), Hindrance.NO_LAYING),
        (works(counts=(100.0,), dues=(40,), bins=((20, 25),)), Hindrance.NO_LAYING),
        (works(counts=(9000.0,), dues=(40,)), Hindrance.FEMALES),
        (works(counts=(900.0,), dues=(40,), empty=1.0), Hindrance.ROOM),
        (works(counts=(100.0,), dues=(40,), empty=0.0), Hindrance.ROOM),
        (replace(works(counts=(100.0,), dues=(40,)), shares=((0.0,) * 50,)), Hindrance.COLD),
    ],
    ids=["too soon", "no bin", "no bin then", "females", "room", "no room", "cold"],
)
def test_what_prevents_it_is_named(farm, hindrance):
    found = planned(farm)

    assert found.made[0].hindrance is hindrance
    assert found.made[0].count < farm.demands[0].count


def test_no_tray_goes_in_for_what_cannot_be():
    assert planned(works(counts=(100.0,), dues=(20,))).trays == ()


def test_nothing_wanted_is_no_plan():
    found = planned(works(counts=(), dues=()))

    assert (found.trays, found.made, found.short) == ((), (), 0.0)


def test_eggs_that_are_there_come_first():
    farm = works(counts=(300.0,), dues=(20,), tubs=(Tub(day=-12, eggs=4000.0),))
    found = planned(farm)

    assert found.trays == ()
    assert round(found.made[0].count) == 300
    assert found.bins_used[20] == 1


def test_crickets_that_are_there_are_given_to_one_demand_alone():
    stock = LayingBin(eggs=NO_EGGS, stock=(500.0, 500.0), kept_until=DAYS, free_from=30)
    found = planned(replace(works(counts=(400.0, 400.0), dues=(5, 8), bins=()), bins=(stock,)))

    assert sum(made.count for made in found.made) == pytest.approx(500.0)
    assert sum(made.from_stock for made in found.made) == pytest.approx(500.0)


def test_what_is_given_away_lays_no_eggs():
    eggs = tuple(4000.0 if day == 8 else 0.0 for day in range(DAYS))
    stock = LayingBin(eggs=eggs, stock=(500.0, 0.0), kept_until=30, free_from=6)
    farm = replace(works(counts=(500.0, 500.0), dues=(5, 40), bins=()), bins=(stock,))
    found = planned(farm)

    assert sum(made.count for made in found.made) == pytest.approx(500.0)


def test_a_bin_that_is_given_away_is_there_for_others():
    stock = LayingBin(eggs=NO_EGGS, stock=(500.0, 0.0), kept_until=DAYS, free_from=6)
    farm = works(counts=(500.0, 500.0), dues=(5, 40), bins=((5, 20),), empty=1.0)
    found = planned(replace(farm, bins=(*works(counts=(1.0, 1.0), dues=(5, 40)).bins, stock)))

    assert round(found.made[1].count) == 500
    assert found.given_up == (1,)


def test_a_second_bin_frees_what_one_bin_cannot_hold():
    one = planned(works(counts=(900.0,), dues=(40,), empty=1.0))
    two = planned(works(counts=(900.0,), dues=(40,), empty=2.0))

    assert one.made[0].count == pytest.approx(0.1 * 4000 + 0.05 * (BIN_EGGS - 4000))
    assert round(two.made[0].count) == 900


def test_places_for_tubs_bound_the_trays():
    crowded = planned(works(counts=(1100.0,), dues=(40,), tub_places=1.0))

    assert len(crowded.trays) == 1
    assert planned(works(counts=(1100.0,), dues=(40,), tub_places=4.0)).short == pytest.approx(0.0, abs=1e-6)


def test_where_no_bin_lays_later_on_breeders_are_kept_back():
    breeding = Breeding(eggs_needed=400.0, first_age=15, last_age=30, eggs_a_tray=3000.0)
    farm = works(counts=(300.0, 250.0), dues=(38, 58), bins=((5, 10),))
    without, bred = planned(farm), planned(replace(farm, breeding=breeding))

    assert without.made[1].hindrance is Hindrance.NO_LAYING
    assert round(bred.made[1].count) == 250
    assert [bins for _, bins in bred.kept_back] == [1]
    assert any(tray.is_bred for tray in bred.trays)


def test_a_large_plan_is_near_its_bound():
    dues = tuple(range(34, 60, 2))
    farm = works(counts=(500.0,) * len(dues), dues=dues, bins=((0, 21), (8, 27), (2, 20)), empty=20.0)
    found = planned(farm)

    assert found.bound <= found.cost <= found.bound * 1.12
    assert found.bins_used[HATCH - 2] == 0


def test_the_search_prints_nothing(capfd):
    for dues in ((34, 36, 38), (36, 39, 42, 45), tuple(range(34, 60, 2))):
        planned(works(counts=(500.0,) * len(dues), dues=dues, bins=((0, 21), (8, 27), (2, 20)), empty=20.0))

    assert capfd.readouterr() == ("", "")


def test_the_plan_is_the_same_each_time():
    farm = works(counts=(400.0,) * 4, dues=(36, 39, 42, 45), bins=((2, 20), (2, 20)), empty=3.0)

    assert planned(farm) == planned(farm)
