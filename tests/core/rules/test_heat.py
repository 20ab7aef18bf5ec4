"""Which temperature hatches a batch with the least heat."""

from core.rules.heat import ROOM_C, heat_choice
from core.science.heating import Cheaper
from core.units import TemperatureUnit
from tests.builders import a_climate, a_farm, a_place, settings


def test_nobody_having_read_a_thermometer_the_room_is_a_guess():
    found = heat_choice(a_farm(a_place()))

    assert (found.place, found.comparison.surroundings_c) == (None, ROOM_C)
    assert found.comparison.cheaper is Cheaper.COOLER


def test_the_coolest_place_that_was_read_is_what_is_around():
    garage = a_place("garage", readings=(a_climate(low_c=4.0, high_c=14.0),))
    attic = a_place("attic", readings=(a_climate(temp_c=20.0), a_climate(rh=60.0)))

    found = heat_choice(a_farm(garage, attic, a_place("shelf", readings=(a_climate(temp_c=31.0),))))

    assert (found.place, found.comparison.surroundings_c) == ("garage", 9.0)
    assert found.comparison.cheaper is Cheaper.WARMER


def test_a_warm_shelf_is_not_what_is_around_it():
    shelf = a_place("shelf", readings=(a_climate(temp_c=31.0),))

    assert heat_choice(a_farm(shelf)).place is None


def test_temperatures_are_round_in_the_farms_own_unit():
    metric = a_farm(settings=settings(units=TemperatureUnit.CELSIUS))

    assert [batch.temp_c for batch in heat_choice(metric).comparison.batches] == [27.0, 30.0, 32.0]
    assert [round(batch.temp_c * 1.8 + 32) for batch in heat_choice(a_farm()).comparison.batches] == [80, 85, 90]
