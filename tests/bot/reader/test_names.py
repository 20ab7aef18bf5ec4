"""Names of bins and tubs: spellings, lists, ranges, and words for several."""

import pytest

from bot.reader import book, clauses, nametable, tokens
from bot.reader.names import Group
from tests.bot.reader.farms import juniper_hollow

BOOK = book.book("en")
TABLE = nametable.table(juniper_hollow(), BOOK)


def groups(text):
    return [t.value for t in clauses.chunked(tokens.cleaned(text), BOOK, TABLE) if isinstance(t.value, Group)]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("bin 2", ["B2"]),
        ("b2", ["B2"]),
        ("B 2", ["B2"]),
        ("bin #2", ["B2"]),
        ("brooder two", ["B2"]),
        ("number two bin", ["B2"]),
        ("bins 2, 3 and 5", ["B2", "B3", "B5"]),
        ("bins 1-3", ["B1", "B2", "B3"]),
        ("tubs 10 through 12", ["T10", "T11", "T12"]),
        ("T5-T7", ["T5", "T6", "T7"]),
        ("t5-7", ["T5", "T6", "T7"]),
        ("T5, 6 and 7", ["T5", "T6", "T7"]),
        ("b4 n b5", ["B4", "B5"]),
        ("egg tub 4", ["T4"]),
        ("tray 4", ["T4"]),
        ("B1's", ["B1"]),
        ("the porch", ["back porch"]),
        ("Heat Closet", ["heat closet"]),
        ("heat clset", ["heat closet"]),
    ],
)
def test_names_are_read_as_people_write_them(text, found):
    assert [name for group in groups(text) for name in group.names] == found


def test_a_number_that_counts_something_else_is_no_name():
    assert groups("fed bin 4 and 3 dead")[0].names == ("B4",)
    assert groups("moved 150 from b2 to b3")[1].names == ("B3",)
    assert groups("pulled the tray 2 hrs ago") == []


@pytest.mark.parametrize(
    ("text", "how"),
    [
        ("all the tubs", "all"),
        ("every bin", "all"),
        ("everything", "all"),
        ("the rest of the tubs", "rest"),
        ("the other three tubs", "rest"),
        ("both tubs", "both"),
        ("one of the tubs", "one"),
        ("the tub", "the"),
        ("it", "it"),
        ("all the tubs except T8", "except"),
    ],
)
def test_words_for_several_say_how_they_are_meant(text, how):
    assert groups(text)[0].how == how
