"""When tubs want water, by the air that they stand in and by how this farm found them."""

import datetime as dt

import pytest

from core.rules.moisture import HUMIDITY_HOLDS, Watering, drying_of, wants_water_at, watering_of
from tests.builders import NOON, a_climate, a_farm, a_place, a_tub, after

DAILY, TWICE, EVERY_OTHER_DAY = Watering(), Watering(at_each_time=True), Watering(every_days=2)
LAMP = a_place("shelf", lamp=True)
HUMID = a_place("humid room", humidifier=True)
RACK = a_place("rack")


def read(temp_c, rh, place=RACK, at=NOON):
    return a_place(
        place.name, lamp=place.lamp, humidifier=place.humidifier, readings=(a_climate(at, temp_c=temp_c, rh=rh),)
    )


def watering(place, *tubs, now=NOON):
    return watering_of(a_farm(*tubs, *([place] if place else [])), place, now)


def dry_after(hours, name="T1", place="rack", **fields):
    """Give a tub that was found dry some hours after it was watered."""
    found = ((NOON, NOON - dt.timedelta(hours=hours)),)
    return a_tub(name, after(days=-9), place=place, found_dry=found, dry_at=NOON, **fields)


class TestHowOften:
    @pytest.mark.parametrize(
        ("place", "expected"),
        [(LAMP, TWICE), (RACK, DAILY), (None, DAILY), (HUMID, None), (a_place("x", lamp=True, humidifier=True), TWICE)],
        ids=["lamp", "room", "nobody said where", "humidified", "lamp and humidifier"],
    )
    def test_without_a_humidity_read_as_practice_has_it(self, place, expected):
        assert watering(place) == expected

    @pytest.mark.parametrize(
        ("temp_f", "rh", "place", "expected"),
        [
            pytest.param(90, 40.0, LAMP, TWICE, id="hot and dry, under a lamp"),
            pytest.param(85, 85.0, RACK, EVERY_OTHER_DAY, id="warm and humid"),
            pytest.param(85, 85.0, HUMID, EVERY_OTHER_DAY, id="warm and humid, humidified"),
            pytest.param(85, 85.0, LAMP, EVERY_OTHER_DAY, id="warm and humid, under a lamp"),
            pytest.param(75, 60.0, RACK, DAILY, id="a room"),
            pytest.param(85, 95.0, HUMID, Watering(every_days=7), id="all but saturated"),
        ],
    )
    def test_by_the_humidity_read(self, temp_f, rh, place, expected):
        assert watering(read((temp_f - 32) / 1.8, rh, place)) == expected

    def test_a_humidity_read_in_another_season_says_nothing_any_more(self):
        place = read(30.0, 85.0, LAMP)

        assert watering(place, now=NOON + HUMIDITY_HOLDS - dt.timedelta(hours=1)) == EVERY_OTHER_DAY
        assert watering(place, now=NOON + HUMIDITY_HOLDS) == TWICE

    def test_a_temperature_alone_leaves_it_as_practice_has_it(self):
        assert watering(read(35.0, None)) == DAILY


class TestFoundDry:
    @pytest.mark.parametrize(
        ("place", "before"), [(RACK, DAILY), (read(29.4, 85.0), EVERY_OTHER_DAY)], ids=["room", "humid"]
    )
    def test_tubs_found_dry_early_are_asked_for_more_often(self, place, before):
        tubs = [dry_after(9, f"T{n}") for n in (1, 2, 3)]

        assert watering(place) == before
        assert watering(place, *tubs) == TWICE

    @pytest.mark.parametrize(
        ("where", "teaches"),
        [
            pytest.param(read(29.4, 60.0, a_place("attic")), True, id="whose humidity was read"),
            pytest.param(a_place("attic", readings=(a_climate(temp_c=29.4),)), False, id="whose air is a guess"),
        ],
    )
    def test_a_tub_found_dry_in_another_place(self, where, teaches):
        farm = a_farm(dry_after(9, place="attic"), where, RACK)

        assert drying_of(farm, where).multiplier > 1.2
        assert (drying_of(farm, RACK).multiplier > 1.2) == teaches
        assert drying_of(a_farm(RACK), RACK).multiplier == 1.0

    def test_a_humidified_room_is_asked_for_once_a_tub_was_found_dry_there(self):
        assert watering(HUMID) is None
        assert watering(HUMID, dry_after(40, place="humid room")) is not None

    def test_a_tub_found_dry_after_a_long_time_teaches_little(self):
        late, early = (drying_of(a_farm(dry_after(hours), RACK), RACK).multiplier for hours in (200, 10))

        assert 1.0 <= late < early


class TestWantsWaterAt:
    def wanted_in_h(self, tub, place, now=NOON):
        found = wants_water_at(a_farm(tub, place), tub, now)
        return None if found is None else (found - NOON) / dt.timedelta(hours=1)

    def test_so_long_after_the_last_water(self):
        assert self.wanted_in_h(a_tub(place="rack", pulled_at=after(days=-3), watered_at=NOON), RACK) == pytest.approx(
            24, rel=0.05
        )

    def test_a_tub_never_watered_was_damp_when_it_was_pulled(self):
        assert self.wanted_in_h(a_tub(place="shelf"), LAMP) == pytest.approx(12, rel=0.05)

    def test_covered_it_keeps_for_several_days(self):
        assert self.wanted_in_h(a_tub(place="shelf", is_covered=True), LAMP) > 3 * 24

    def test_where_it_can_go_without_nothing_is_said(self):
        assert self.wanted_in_h(a_tub(place="humid room"), HUMID) is None

    def test_nobody_knows_of_a_tub_that_was_never_damp(self):
        assert self.wanted_in_h(a_tub(pulled_at=None, known_since=NOON, told_at=NOON, place="rack"), RACK) is None

    def test_a_tub_found_dry_wants_it_since_then_until_it_is_watered(self):
        tub = a_tub(place="rack", watered_at=NOON, dry_at=after(hours=3))
        watered = a_tub(place="rack", watered_at=after(hours=4), dry_at=after(hours=3))

        assert self.wanted_in_h(tub, RACK) == 3
        assert self.wanted_in_h(watered, RACK) == pytest.approx(28, rel=0.05)
