"""Misspelt words are mended against the trade's words, and no others."""

import pytest

from bot.reader import book, clauses, nametable, tokens
from tests.bot.reader.farms import juniper_hollow

BOOK = book.book("en")
TABLE = nametable.table(juniper_hollow(), BOOK)


def words(text):
    return [t.text for t in clauses.chunked(tokens.cleaned(text), BOOK, TABLE)]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("wtrd", "watered"),
        ("watred", "watered"),
        ("adlts", "adults"),
        ("puled", "pulled"),
        ("harvestd", "harvested"),
        ("remindrs", "reminders"),
        ("humidty", "humidity"),
    ],
)
def test_a_slip_is_mended(typed, meant):
    assert words(typed) == [meant]


@pytest.mark.parametrize(
    "word", ["later", "water", "sold", "cold", "hold", "match", "bead", "tube", "lover", "weather", "chips"]
)
def test_a_word_of_the_language_is_left_alone(word):
    assert words(word) == [word]


def test_digits_stand_for_words_where_no_figure_can():
    assert "to" in words("rename the back porch 2 sun porch")
    assert "for" in words("what humidity should i aim 4")
    assert "2" in words("2 dead in bin 4")
