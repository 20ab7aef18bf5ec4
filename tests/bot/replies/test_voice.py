"""Days, hours, figures and names as one farm's people read them."""

import datetime as dt

import pytest

from bot.ports.messages import plain
from bot.replies.voice import Voice
from core.science.development import HatchWindow
from core.units import TemperatureUnit
from tests.builders import LORD_HOWE, NOON, a_bin, a_farm, after, at, settings


def a_voice(now=NOON, *things, language="en", **chosen):
    return Voice(a_farm(*things, settings=settings(**chosen)), now, language)


def a_window(earliest, likely, latest):
    figures = {"degree_days_needed": 162.0}
    figures |= {"air_temp_c": 30.0, "egg_temp_c": 29.0, "cooling_c": 1.0}
    return HatchWindow(
        earliest=at(earliest), likely=at(likely), latest=at(latest), is_untested=False, **figures
    )  # fmt: skip


CELSIUS = {"units": TemperatureUnit.CELSIUS}


@pytest.mark.parametrize(
    ("text", "fahrenheit", "celsius"),
    [
        ("05-04 00:00", "12 am", "00:00"),
        ("05-04 00:05", "12:05 am", "00:05"),
        ("05-04 07:00", "7 am", "07:00"),
        ("05-04 08:10", "8:10 am", "08:10"),
        ("05-04 12:00", "12 pm", "12:00"),
        ("05-04 23:59", "11:59 pm", "23:59"),
    ],
)
def test_hours_are_of_twelve_with_fahrenheit_and_of_twenty_four_with_celsius(text, fahrenheit, celsius):
    assert a_voice().hour(at(text)) == fahrenheit
    assert a_voice(**CELSIUS).hour(at(text)) == celsius


def test_a_time_has_its_day_unless_it_is_today():
    voice = a_voice()

    assert voice.when(at("05-04 08:10")) == "8:10 am"
    assert voice.when(at("05-03 08:10")) == "Sun May 3 8:10 am"
    assert voice.at(at("05-04 18:00")) == "at 6 pm"
    assert voice.at(at("05-05 18:00")) == "Tue May 5 at 6 pm"


def test_today_is_the_farms_own_day():
    half_past_midnight_there = at("05-05 00:30", LORD_HOWE)

    assert a_voice(half_past_midnight_there, zone=LORD_HOWE).when(at("05-04 23:30", LORD_HOWE)) == "Mon May 4 11:30 pm"
    assert a_voice(half_past_midnight_there).days_to(half_past_midnight_there) == 0


@pytest.mark.parametrize(
    ("days", "told"),
    [(0, "today"), (1, "tomorrow"), (2, "in 2 days"), (-1, "1 day ago"), (-3, "3 days ago")],
)
def test_days_from_now_are_counted_by_the_calendar(days, told):
    assert a_voice(at("05-04 23:50")).in_days(at("05-04 00:10") + dt.timedelta(days=days)) == told


@pytest.mark.parametrize(
    ("window", "told"),
    [
        (("07-23 10:00", "07-24 10:00", "07-26 10:00"), "about Fri Jul 24 (Thu to Sun)"),
        (("07-20 10:00", "07-24 10:00", "07-26 10:00"), "about Fri Jul 24 (Mon to Sun)"),
        (("07-28 10:00", "08-01 10:00", "08-06 10:00"), "about Sat Aug 1 (Jul 28 to Aug 6)"),
    ],
)
def test_a_window_is_told_by_weekdays_while_they_are_plain(window, told):
    assert a_voice().about(a_window(*window)) == told


@pytest.mark.parametrize(
    ("length", "told"),
    [
        ({"minutes": 20}, "20 min"),
        ({"hours": 1}, "1 h"),
        ({"hours": 25, "minutes": 20}, "25 h"),
        ({"hours": 47}, "47 h"),
        ({"hours": 49}, "2 days"),
        ({"days": 40}, "40 days"),
    ],
)
def test_a_span_is_in_hours_and_from_two_days_on_in_days(length, told):
    assert a_voice().span_of(dt.timedelta(**length)) == told


def test_temperatures_are_in_the_farms_unit():
    assert a_voice().temp(31.1) == "88°F"
    assert a_voice(**CELSIUS).temp(31.1) == "31.1°C"


@pytest.mark.parametrize(("value", "told"), [(24.0, "24"), (1200, "1,200"), (2.5, "2.5")])
def test_numbers_have_no_needless_fraction(value, told):
    assert a_voice().number(value) == told


@pytest.mark.parametrize(
    ("mass_g", "told"), [(150.0, "150 g"), (1500.0, "1.5 kg"), (12_300.0, "12.3 kg"), (150_000.0, "150 kg")]
)
def test_masses_are_plain_figures_however_large(mass_g, told):
    assert a_voice().mass(mass_g) == told


@pytest.mark.parametrize(
    ("items", "told"), [([], ""), (["5"], "5"), (["5", "7"], "5 and 7"), (["5", "7", "9"], "5, 7 and 9")]
)
def test_lists_are_told_in_one_breath(items, told):
    assert a_voice().listed(items) == told


def test_bins_and_tubs_are_told_by_number_and_nickname():
    voice = a_voice(NOON, a_bin("B6", nickname="nursery"))

    assert voice.bin("B2") == "bin 2"
    assert voice.bin("B6") == "bin 6 (nursery)"
    assert voice.bin("blue tote") == "blue tote"
    assert voice.bins(("B10", "B2")) == "bins 2 and 10"
    assert voice.bins(("B2", "blue tote")) == "bin 2 and blue tote"
    assert voice.tub("T9") == "tub 9"
    assert voice.tubs(("T9", "T10", "T5")) == "tubs 5, 9 and 10"
    assert voice.tubs(("T9", "big one")) == "tub 9 and big one"


@pytest.mark.parametrize(
    ("place", "where"),
    [("lamp shelf", "on the lamp shelf"), ("humid room", "in the humid room"), ("Garage", "in the Garage")],
)
def test_tubs_stand_on_a_shelf_and_in_a_room(place, where):
    assert a_voice().at_place(place) == where


def test_a_subject_is_bold_with_a_capital():
    told = a_voice().subject("bin 2")

    assert told != plain(told) == "Bin 2"


def test_a_count_of_one_has_its_own_words():
    assert a_voice().say("time.days", n=1) == "1 day"
    assert a_voice().say("time.days", n=2) == "2 days"


def test_a_figure_after_a_change_of_clocks_keeps_its_hour():
    before, later = at("03-07 07:00"), at("03-08 07:00")

    assert a_voice(before).hour(later) == a_voice(before).hour(before)
    assert later - before == after(hours=23) - NOON


def en_espanol(now=NOON, *things, **chosen):
    return a_voice(now, *things, language="es", **chosen)


def test_spanish_puts_the_day_before_the_month_and_a_window_in_its_own_order():
    voice = en_espanol()

    assert voice.day(at("07-24 10:00")) == "vie 24 jul"
    assert voice.about(a_window("07-23 10:00", "07-24 10:00", "07-26 10:00")) == "hacia el vie 24 jul (jue a dom)"
    assert voice.about(a_window("07-28 10:00", "08-01 10:00", "08-06 10:00")) == "hacia el sáb 1 ago (28 jul a 6 ago)"


@pytest.mark.parametrize(
    ("text", "told", "with_article"),
    [
        ("05-04 08:10", "a las 8:10 am", "las 8:10 am"),
        ("05-04 13:00", "a la 1 pm", "la 1 pm"),
        ("05-05 13:30", "el mar 5 may a la 1:30 pm", "el mar 5 may a la 1:30 pm"),
    ],
)
def test_spanish_says_the_hour_with_its_article(text, told, with_article):
    voice = en_espanol()

    assert voice.at(at(text)) == told
    assert (
        voice.say("push.pull_tray_1", bin="x", when=voice.when(at(text))).split("desde ")[1]
        == f"{with_article}. Sácala."
    )


def test_one_o_clock_is_of_one_with_celsius_too():
    assert en_espanol(**CELSIUS).at(at("05-04 01:00")) == "a la 01:00"
    assert en_espanol(**CELSIUS).at(at("05-04 13:00")) == "a las 13:00"


def test_a_sentence_may_ask_for_a_name_with_its_article():
    voice = en_espanol(NOON, a_bin("B6", nickname="criadero"))
    told = {
        name: voice.say("refused.no_tray_pulled", bin=voice.bin(name), when="", tub="") for name in ("B2", "B6", "azul")
    }

    assert voice.bin("B2") == "caja 2"
    assert told["B2"].startswith("La bandeja de la caja 2 ")
    assert told["B6"].startswith("La bandeja de la caja 6 (criadero) ")
    assert told["azul"].startswith("La bandeja de azul ")  # whether it is el or la, nobody knows
    assert voice.say("push.water", tubs=voice.tubs(("T5", "T7", "T9"))) == "riega los botes 5, 7 y 9."
    assert voice.say("push.water", tubs=voice.tubs(("T5",))) == "riega el bote 5."


@pytest.mark.parametrize(
    ("items", "told"),
    [
        (["5", "7"], "5 y 7"),
        (["Walt", "Ines"], "Walt e Ines"),
        (["lámpara", "humidificador"], "lámpara y humidificador"),
        (["cuarto", "hielera"], "cuarto y hielera"),
        (["cochera", "higuera"], "cochera e higuera"),
    ],
)
def test_spanish_joins_with_y_or_e(items, told):
    assert en_espanol().listed(items) == told


def test_a_place_of_ones_own_naming_has_no_article():
    assert en_espanol().at_place("lamp shelf") == "en lamp shelf"
    assert en_espanol().place("cuarto húmedo") == "cuarto húmedo"


def test_a_farm_without_a_name_is_called_so_in_the_persons_language():
    assert (a_voice().farm_name(), en_espanol().farm_name()) == ("the farm", "la granja")
    assert Voice(a_farm(name="Ocotillo Flats"), NOON, "es").farm_name() == "Ocotillo Flats"
