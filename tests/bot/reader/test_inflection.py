"""Verb forms from stems, and the small words that hang on verbs."""

import pytest

from bot.reader import book, clauses, inflection, nametable, tokens
from tests.bot.reader.farms import enebro_hueco

BOOK = book.book("es")
TABLE = nametable.table(enebro_hueco(), BOOK)


def words(text):
    return [t.text for t in clauses.chunked(tokens.cleaned(text), BOOK, TABLE)]


def values(text):
    return [t.value for t in clauses.chunked(tokens.cleaned(text), BOOK, TABLE) if t.kind == tokens.NUMBER]


def test_a_stem_stands_for_its_forms_and_each_group_is_a_class():
    data = {
        "inflection": {"ar": {"said": "e o", "apart": "a"}},
        "classes": {"water": "reg~ar agua"},
        "common": "cant~ar",
    }

    out = inflection.written_out(data)

    assert out["classes"] == {"water": "rege rego agua", "said": " rege rego", "apart": " rega"}
    assert out["common"] == "cante canto canta"


def test_a_language_without_endings_stays_as_it_is():
    data = {"classes": {"mark": "~ a~b"}, "common": ""}

    assert inflection.written_out(data) is data


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("sácala", ["saca", "ella"]),
        ("la saqué", ["ella", "saque"]),
        ("la caja 2", ["caja 2"]),
        ("la 2 y la 3", ["caja 2 y 3"]),
        ("regué el 10 y el 12", ["regue", "bote 10 y 12"]),
        ("bote de huevos 10", ["bote 10"]),
        ("cubo de cría número 3", ["cubo numero 3"]),
    ],
)
def test_pronouns_and_nouns_left_out_are_found(typed, read):
    assert words(typed) == read


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("ochenta y ocho", 88),
        ("doscientos cincuenta y tres", 253),
        ("mil quinientos", 1500),
        ("dos mil trescientas", 2300),
        ("media docena", 6),
        ("1.500", 1500),
        ("1,500", 1500),
        ("31,5", 31.5),
        ("31.5", 31.5),
        ("treinta y uno coma cinco", 31.5),
    ],
)
def test_a_number_is_read_as_spanish_writes_it(typed, value):
    assert values(f"{typed} muertos") == [value]


def test_a_list_without_blanks_is_no_decimal():
    assert words("botes 5,6 y 7") == ["botes 5 , 6 y 7"]
