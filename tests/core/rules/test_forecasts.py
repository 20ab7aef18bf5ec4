"""When each tub will hatch, and what that rests on."""

import datetime as dt

import pytest

from core.rules.evidence import HOUSE_CRICKET
from core.rules.forecasts import Basis, forecasts, lesson_of
from core.rules.surroundings import LAMP_C, ROOM_C
from core.science.calibration import untaught
from core.science.development import HatchWindow, TooCold
from tests.builders import NOON, a_climate, a_farm, a_place, a_tub, after


def a_forecast(*things, tub="T1"):
    return forecasts(a_farm(*things))[tub]


def likely_days(found):
    return (found.window.likely - NOON) / dt.timedelta(days=1)


def width(window):
    return window.latest - window.earliest


def test_readings_are_counted_from_the_pull_on():
    readings = tuple(a_climate(after(days=n), temp_c=30.0) for n in (-2, -1, 0, 1, 2))

    assert a_forecast(a_tub(place="attic"), a_place("attic", readings=readings)).readings == 3


def test_without_a_reading_the_forecast_is_an_assumption_and_wide():
    assumed = a_forecast(a_tub(place="attic"), a_place("attic", lamp=True))
    read = a_forecast(a_tub(place="attic"), a_place("attic", lamp=True, readings=(a_climate(temp_c=LAMP_C),)))

    assert (assumed.basis, assumed.coming_c, assumed.readings) == (Basis.ASSUMED, LAMP_C, 0)
    assert read.basis is Basis.PLACE
    assert likely_days(assumed) == pytest.approx(likely_days(read), abs=1e-4)
    assert width(assumed.window) > 1.3 * width(read.window)


def test_a_tub_whose_place_nobody_said_is_in_a_room():
    found = a_forecast(a_tub())

    assert (found.place, found.basis, found.coming_c) == (None, Basis.ASSUMED, ROOM_C)


@pytest.mark.parametrize(
    ("place", "figures", "is_covered", "fewest", "most"),
    [
        pytest.param({}, {"temp_c": 32.5, "rh": 80.0}, False, 9, 10, id="90.5 F, 80 %"),
        pytest.param({}, {"temp_c": 32.5, "rh": 90.0}, False, 9, 10, id="90.5 F, 90 %"),
        pytest.param({"humidifier": True}, {"temp_c": 32.5}, False, 9, 10, id="90.5 F, humidified"),
        pytest.param({}, {"temp_c": 29.44, "rh": 85.0}, False, 11, 12, id="85 F, 85 %"),
        pytest.param({"humidifier": True}, {"temp_c": 29.44}, False, 11, 12, id="85 F, humidified"),
        pytest.param({"lamp": True}, {"temp_c": 29.44, "rh": 40.0}, False, 14, 15, id="85 F, lamp, 40 %"),
        pytest.param({"lamp": True}, {"temp_c": 29.44, "rh": 50.0}, False, 14, 15, id="85 F, lamp, 50 %"),
        pytest.param({"lamp": True}, {"temp_c": 29.44}, False, 14, 15, id="85 F, lamp"),
        pytest.param({}, {"low_c": 10.0, "high_c": 26.67}, True, 33, 37, id="50 to 80 F, covered"),
    ],
)
def test_readings_give_the_days_of_common_practice(place, figures, is_covered, fewest, most):
    tub = a_tub(place="attic", is_covered=is_covered)

    found = a_forecast(tub, a_place("attic", readings=(a_climate(NOON, **figures),), **place))

    assert fewest <= likely_days(found) <= most
    assert found.window.earliest < found.window.likely < found.window.latest


def test_the_window_is_wider_after_a_long_lay():
    short, long = (a_forecast(a_tub(laid_for=dt.timedelta(hours=h))).window for h in (24, 240))

    assert width(long) > width(short)
    assert long.likely == short.likely


def test_a_cover_brings_the_hatch_forward_as_the_substrate_stays_warmer():
    shelf = a_place("attic", lamp=True, readings=(a_climate(temp_c=30.0),))
    covered, half, uncovered = (
        likely_days(a_forecast(a_tub(place="attic", is_covered=covers[-1][1], covers=covers), shelf))
        for covers in (((NOON, True),), ((NOON, False), (after(days=5), True)), ((NOON, False),))
    )

    assert covered + 2 < uncovered
    assert covered < half < uncovered


@pytest.mark.parametrize("laid_for", [None, dt.timedelta(0), dt.timedelta(days=90)], ids=str)
def test_any_lay_gives_a_forecast(laid_for):
    assert isinstance(a_forecast(a_tub(laid_for=laid_for)).window, HatchWindow)


def test_where_it_is_too_cold_there_is_no_day():
    found = a_forecast(a_tub(place="attic"), a_place("attic", readings=(a_climate(temp_c=12.0),)))

    assert isinstance(found.window, TooCold)


def test_zero_degrees_are_a_reading():
    found = a_forecast(a_tub(place="attic"), a_place("attic", readings=(a_climate(temp_c=0.0),)))

    assert found.coming_c == 0.0


class TestMovedTubs:
    WARM = a_place("attic", readings=(a_climate(temp_c=32.0),))
    COOL = a_place("garage", readings=(a_climate(temp_c=24.0),))

    def test_a_tub_moved_to_a_cooler_place_hatches_in_between(self):
        moved = a_tub(place="garage", placements=((NOON, "attic"), (after(days=5), "garage")))
        warm, cool = a_tub("T2", place="attic"), a_tub("T3", place="garage")

        found = forecasts(a_farm(moved, warm, cool, self.WARM, self.COOL))

        assert likely_days(found["T2"]) < likely_days(found["T1"]) < likely_days(found["T3"])
        assert (found["T1"].place, found["T1"].coming_c) == ("garage", 24.0)

    def test_a_tub_whose_place_is_told_late_stood_there_all_along(self):
        late = a_tub(place="attic", placements=((after(days=3), "attic"),))

        assert likely_days(a_forecast(late, self.WARM)) == likely_days(a_forecast(a_tub(place="attic"), self.WARM))

    def test_a_tub_told_to_stand_where_it_stands_did_not_move(self):
        again = a_tub(
            place="attic",
            placements=((NOON, "attic"), (after(days=3), "attic")),
            readings=(a_climate(after(days=1), temp_c=28.0),),
        )

        found = a_forecast(again, self.WARM)

        assert (found.basis, found.coming_c) == (Basis.TUB, 28.0)

    def test_a_tub_moved_twice_at_one_moment_is_where_it_was_put_last(self):
        moves = ((NOON, "attic"), (after(days=1), "garage"), (after(days=1), "attic"))

        assert a_forecast(a_tub(place="attic", placements=moves), self.WARM, self.COOL).coming_c == 32.0


class TestOwnReadings:
    OWN = a_climate(after(days=1), temp_c=27.0)

    def test_a_tubs_own_readings_go_before_those_of_its_place(self):
        place = a_place("attic", readings=(a_climate(temp_c=32.0), a_climate(after(days=2), temp_c=32.0)))

        found = a_forecast(a_tub(place="attic", readings=(self.OWN,)), a_tub("T2", place="attic"), place)

        assert (found.basis, found.coming_c, found.readings) == (Basis.TUB, 27.0, 1)

    def test_they_are_left_behind_when_it_moves(self):
        moved = a_tub(place="garage", placements=((NOON, "attic"), (after(days=5), "garage")), readings=(self.OWN,))

        found = a_forecast(moved, a_place("attic"), a_place("garage"))

        assert (found.basis, found.coming_c) == (Basis.ASSUMED, ROOM_C)

    @pytest.mark.parametrize(
        "figures",
        [
            pytest.param({"rh": 75.0}, id="humidity only"),
            pytest.param({"low_c": 10.0}, id="a low without a high"),
            pytest.param({"high_c": 40.0}, id="a high without a low"),
            pytest.param({"low_c": 30.0, "high_c": 20.0}, id="low above high"),
            pytest.param({"temp_c": 900.0}, id="a slip"),
        ],
    )
    def test_figures_that_tell_no_warmth_are_passed_over(self, figures):
        found = a_forecast(a_tub(place="attic"), a_place("attic", readings=(a_climate(NOON, **figures),)))

        assert (found.basis, found.coming_c) == (Basis.ASSUMED, ROOM_C)


@pytest.mark.parametrize(
    "state",
    [
        pytest.param({"hatch_at": after(days=11)}, id="that hatches"),
        pytest.param({"hatch_done_at": after(days=14)}, id="that has hatched"),
        pytest.param({"emptied_at": after(days=2)}, id="that was thrown out"),
        pytest.param({"pulled_at": None, "known_since": NOON, "told_at": NOON}, id="of which nobody said since when"),
    ],
)
def test_no_forecast_for_a_tub(state):
    assert forecasts(a_farm(a_tub(**state))) == {}


class TestLearning:
    SHELF = a_place("attic", lamp=True, readings=(a_climate(after(days=-40), temp_c=30.0),))

    def hatched(self, number, days):
        pulled_at = after(days=-40 + 3 * number)
        return a_tub(f"T{number}", pulled_at, place="attic", hatch_at=pulled_at + dt.timedelta(days=days))

    def test_tubs_that_hatch_late_put_off_the_next_one(self):
        waited = a_tub("T9", place="attic")
        plain = a_forecast(waited, self.SHELF, tub="T9")
        late = likely_days(plain) + 2.5

        taught = a_forecast(waited, *(self.hatched(n, late) for n in (1, 2, 3)), self.SHELF, tub="T9")

        assert likely_days(taught) == pytest.approx(late, abs=0.5)
        assert width(taught.window) < width(plain.window)

    def test_what_is_held_may_be_given(self):
        farm = a_farm(a_tub("T9", place="attic"), *(self.hatched(n, 17.0) for n in (1, 2, 3)), self.SHELF)

        plain = forecasts(farm, untaught(HOUSE_CRICKET.egg))["T9"]

        assert plain.window == a_forecast(a_tub("T9", place="attic"), self.SHELF, tub="T9").window
        assert plain.window.likely < forecasts(farm)["T9"].window.likely


class TestLessons:
    SHELF = a_place("attic", readings=(a_climate(NOON, temp_c=30.0, rh=90.0),))

    def lesson(self, *seen):
        farm = a_farm(self.SHELF, a_tub("T9", after(days=40), place="attic"), *seen)
        return lesson_of(farm, forecasts(farm)["T9"])

    def test_without_a_hatch_nothing_is_other_than_the_figures_say(self):
        assert (self.lesson().hatches, self.lesson().later_days) == (0, 0)

    def test_late_hatches_make_a_tub_late_and_are_counted_by_place(self):
        late = [a_tub(f"T{n}", after(days=n), place="attic", hatch_at=after(days=n + 14)) for n in (1, 2, 3)]
        found = self.lesson(*late, a_tub("T4", place=None, hatch_at=after(days=25)))

        assert (found.hatches, found.at_place) == (4, 3)
        assert found.later_days > 1

    def test_where_it_is_too_cold_there_is_none(self):
        farm = a_farm(a_place("attic", readings=(a_climate(temp_c=5.0),)), a_tub(place="attic"))

        assert lesson_of(farm, forecasts(farm)["T1"]) is None
