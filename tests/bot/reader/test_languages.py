"""A message is read in the language that its words are of."""

import pytest

from bot.reader import book, languages, nametable, tokens
from bot.reader.reader import Reader
from tests.bot.reader import tables
from tests.bot.reader.farms import NOW, juniper_hollow

FARM = juniper_hollow()
TABLE = nametable.table(FARM, book.book("en"))
READER = Reader()


def spoken(text, own):
    return languages.spoken(tokens.cleaned(text), own, TABLE)


@pytest.mark.parametrize(
    ("text", "own", "language"),
    [
        ("saqué la bandeja de la caja 2, muchos huevos", "en", "es"),
        ("cuanto falta para el bote 10", "en", "es"),
        ("regué todo", "en", "es"),
        ("pulled the tray from bin 2, lots of eggs", "es", "en"),
        ("T13 hatched", "es", "en"),
        ("how long on tub 10?", "es", "en"),
        ("watered T10", "en", "en"),
        ("regué T10", "es", "es"),
        ("ok", "es", "es"),
        ("no", "es", "es"),
        ("heat closet 88", "es", "es"),
        ("T10 asdf qwer zxcv", "es", "es"),
        ("Walt watred tub 10", "en", "en"),
        ("12", "es", "es"),
        ("pulled the tray", "fr", "en"),
    ],
)
def test_a_message_is_of_the_language_that_knows_its_words(text, own, language):
    assert spoken(text, own) == language


def test_what_was_read_says_its_language():
    assert READER.read("regué el bote 10", at=NOW, farm=FARM, language="en").language == "es"
    assert READER.read("watered tub 10", at=NOW, farm=FARM, language="es").language == "en"
    assert READER.read("hace mucho calor en la calle hoy", at=NOW, farm=FARM, language="en").language == "es"


@pytest.mark.parametrize(("own", "other"), [("en", "es"), ("es", "en")])
def test_small_talk_of_one_language_is_no_record_in_the_other(own, other):
    of_other = {"small_talk"} if other == "en" else {"es_charla"}
    said = [case for name in sorted(of_other) for case in tables.cases(name) if not case[2]]

    made = {text: READER.read(text, at=at, farm=FARM, language=own).intents for text, at, _ in said}

    assert len(made) > 30
    assert {text: [i.kind for i in intents] for text, intents in made.items() if intents} == {}


def test_code_is_no_record():
    for text in ("for i in range(10): print(i)", "SELECT count(*) FROM bins;", "git commit -m 'fix'", "x = {'a': 1}"):
        for language in ("en", "es"):
            assert READER.read(text, at=NOW, farm=FARM, language=language).intents == ()


@pytest.mark.parametrize(
    ("slot", "text", "value"),
    [
        ("bin", "la 3", "B3"),
        ("bin", "caja tres", "B3"),
        ("tubs", "el 10 y el 12", ["T10", "T12"]),
        ("tub", "bote 11", "T11"),
        ("place", "en el porche trasero", "porche trasero"),
        ("place", "gracias", None),
        ("count", "unos doscientos cincuenta", 250),
        ("count", "media docena", 6),
        ("to", "a las 7 y a las 18:30", "07:00,18:30"),
        ("text", "comprar turba", "comprar turba"),
    ],
)
def test_an_answer_in_spanish_fills_the_slot_that_was_asked_for(slot, text, value):
    assert READER.answer(text, slot=slot, farm=FARM, at=NOW, candidates=("B3", "B5"), language="es") == value
