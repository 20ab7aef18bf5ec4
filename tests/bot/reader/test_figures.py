"""Number words, fractions, and quantities with their units."""

import pytest

from bot.reader import book, clauses, nametable, tokens
from core.farm.farm import Farm

BOOK = book.book("en")
TABLE = nametable.table(Farm(), BOOK)


def chunk(text, tag):
    (found,) = [t.value for t in clauses.chunked(tokens.cleaned(text), BOOK, TABLE) if tag in t.tags]
    return found


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("eighty eight", 88),
        ("eighty-eight", 88),
        ("two fifty", 250),
        ("two hundred", 200),
        ("two hundred and fifty", 250),
        ("twelve hundred", 1200),
        ("three thousand", 3000),
        ("three thousand two hundred", 3200),
        ("a hundred", 100),
        ("a dozen", 12),
        ("half a dozen", 6),
        ("two dozen", 24),
        ("a couple", 2),
        ("1.5k", 1500),
        ("2k", 2000),
        ("~600", 600),
        ("1,100", 1100),
        ("eighty nine point five", 89.5),
        ("minus five", -5),
        ("-40", -40),
    ],
)
def test_a_number_is_read_as_people_write_it(text, number):
    assert chunk(text, "<number>") == number


@pytest.mark.parametrize(
    ("text", "tag", "value"),
    [
        ("half inch", "<size>", "1/2in"),
        ("half an inch", "<size>", "1/2in"),
        ("1/2-inch", "<size>", "1/2in"),
        ('1/2"', "<size>", "1/2in"),
        ("½ inch", "<size>", "1/2in"),
        ("3/8", "<size>", "3/8in"),
        ("three eighths", "<size>", "3/8in"),
        ("three quarter inch", "<size>", "3/4in"),
        ("a quarter of an inch", "<size>", "1/4in"),
        ("13 mm", "<size>", "1/2in"),
        ("one inch", "<size>", "1in"),
        ("5/8 in", "<size>", "5/8in"),
        ("2 oz", "<mass>", 57),
        ("10 lb", "<mass>", 4536),
        ("half a pound", "<mass>", 227),
        ("1 1/2 lbs", "<mass>", 680),
        ("2 kilos", "<mass>", 2000),
        ("a gallon", "<volume>", 3785),
        ("500ml", "<volume>", 500),
        ("$1.50", "<money>", 1.5),
        ("12 cents", "<money>", 0.12),
        ("8 bucks", "<money>", 8),
        ("88F", "<temp>", (88, "F")),
        ("30.5 °C", "<temp>", (30.5, "C")),
        ("90 degrees", "<temp>", (90, None)),
        ("55 percent", "<rh>", 55),
        ("an hour", "<duration>", (1, "hour")),
        ("1.5 hours", "<duration>", (1.5, "hour")),
    ],
)
def test_a_quantity_is_in_the_units_of_the_journal(text, tag, value):
    assert chunk(text, tag) == value
