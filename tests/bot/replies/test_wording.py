"""The sentences themselves: all there, short, and in the house's tone."""

import ast
import pathlib
import re
import string

import pytest

import bot
from bot.replies.languages import languages, wording
from bot.replies.voice import Voice
from core.farm.faults import Fault
from core.journal.kinds import Chore, Density, MoldLevel, Role, Setting, Trouble
from core.rules import hours
from core.rules.cautions import Safety
from core.science.heating import Cheaper
from tests.bot.replies.records import the_farm
from tests.builders import NOON, a_farm

ROOT = pathlib.Path(bot.__file__).parent
WORDS = wording("en")
TEXTS = {key: WORDS.text(key) for key in sorted(WORDS)}
ALL_TEXTS = {(code, key): wording(code).text(key) for code in languages() for key in sorted(wording(code))}
OTHERS = [code for code in languages() if code != "en"]
HOWTO = (
    "substrate", "lime", "watering", "mold", "humidity", "temperature", "tray", "hatch", "pinheads", "feeding",
    "harvest", "cleaning", "fruit_flies", "container", "screen", "chirping", "lamp",
)  # fmt: skip
SPEAKERS = frozenset({"say", "words", "text"})  # methods whose first argument is a key
FIGURES = {
    "t80": "80°F",
    "t85": "85°F",
    "t90": "90°F",
    "t95": "95°F",
    "lay": "24",
    "times": "7 am and 6 pm",
    "area": "48 sq in",
}


def keys_used():
    """Give each key written out in the source, with the file; a key with a part that is reckoned ends in that part."""
    for path in sorted(ROOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            is_call = isinstance(node, ast.Call) and isinstance(node.func, ast.Name | ast.Attribute) and node.args
            name = (node.func.id if isinstance(node.func, ast.Name) else node.func.attr) if is_call else ""
            if name in SPEAKERS:
                for text in strings(node.args[0]):
                    yield path.relative_to(ROOT).as_posix(), text


def strings(node):
    match node:
        case ast.Constant(value=str(text)):
            yield text
        case ast.IfExp(body=first, orelse=second):
            yield from strings(first)
            yield from strings(second)
        case ast.JoinedStr(values=[ast.Constant(value=str(text)), *_]):
            yield f"{text}*"


def test_every_key_that_is_said_has_its_sentence():
    used = sorted({(path, key) for path, key in keys_used() if "." in key and " " not in key})
    assert len(used) > 150

    known = tuple(TEXTS)
    missing = [
        (path, key)
        for path, key in used
        if not (any(k.startswith(key[:-1]) for k in known) if key.endswith("*") else key in TEXTS)
    ]

    assert missing == []


@pytest.mark.parametrize(
    ("prefix", "words"),
    [
        ("chore.", Chore),
        ("wanted.done_", Chore),
        ("problem.", Trouble),
        ("recorded.eggs_", Density),
        ("recorded.mold_", MoldLevel),
        ("safety.", Safety),
        ("start.role_", Role),
        ("setting.", Setting),
        ("howto.", HOWTO),
        ("heat.", Cheaper),
        ("refused.bad_setting_", [s for s in Setting if s is not Setting.NAME]),
        ("refused.", [f for f in Fault if f is not Fault.BAD_SETTING]),
        ("push.tray_in_", "0123"),
        ("push.pull_tray_", "012"),
    ],
    ids=str,
)
def test_every_kind_of_a_sort_has_its_words(prefix, words):
    assert [word for word in words if f"{prefix}{word}" not in TEXTS] == []


@pytest.mark.parametrize("about", HOWTO)
@pytest.mark.parametrize("language", languages())
def test_a_how_to_has_all_its_figures_filled_in_and_fits_a_phone(language, about):
    told = ALL_TEXTS[language, f"howto.{about}"].format(**FIGURES)

    assert told.endswith(".")
    assert 2 <= len(told.splitlines()) <= 6
    assert all(len(line) < 110 for line in told.splitlines())


def test_no_line_is_long():
    assert [key for key, text in ALL_TEXTS.items() for line in text.splitlines() if len(line) > 200] == []


def test_nothing_is_shouted_and_no_emoji_is_needed():
    assert [key for key, text in ALL_TEXTS.items() if "!" in text or "¡" in text] == []
    assert [key for key, text in ALL_TEXTS.items() if any(ord(letter) > 0x2100 for letter in text)] == []


def test_the_spelling_is_american():
    british = ("mould", "colour", "grey", "litre", "metre", "whilst", "favour", "centre")

    assert [key for key, text in TEXTS.items() if any(word in text.lower() for word in british)] == []


SUGGESTED = [  # what people are told to say, and what buttons say for them
    ("add tub 12", "add"),
    ("add bin 7", "add"),
    ("add place attic", "add"),
    ("lamp shelf 88, 55 %", "reading"),
    ("garage 50 to 80", "reading"),
    ("water times 7:00 and 18:30", "set"),
    ("quiet hours 22:00 to 6:00", "set"),
    ("lay hours 24", "set"),
    ("tray in bin 3", "tray_in"),
    ("bin 1 is chirping", "chirp"),
    ("pulled it, lamp shelf, lots of eggs", "tray_out"),
    ("pulled the tray from bin 1", "tray_out"),
    ("watered tubs 1 and 2", "watered"),
    ("pinheads in tub 1", "hatch"),
    ("covered tub 1", "covered"),
    ("in an hour", "snooze"),
    ("at 5 pm", "snooze"),
    ("undo", "undo"),
    ("no, bin 3", "fix"),
    ("help", "help"),
    ("what's due", "ask"),
    ("status", "ask"),
    ("agenda", "ask"),
    ("climate", "ask"),
    ("days left", "ask"),
    ("how long on tub 1", "ask"),
    ("why", "ask"),
    ("why tub 1", "ask"),
    ("how to set a tray", "ask"),
    ("how do I prepare the substrate", "ask"),
]


@pytest.mark.parametrize(("text", "kind"), SUGGESTED)
def test_what_people_are_told_to_say_is_understood(reader, text, kind):
    farm = the_farm()

    (intent,) = reader.read(text, at=hours.local(farm, NOON), farm=farm).intents

    assert (intent.kind, intent.needs) == (kind, ())


SUGGESTED_IN_SPANISH = [
    ("agrega bote 12", "add"),
    ("agrega caja 7", "add"),
    ("agrega lugar ático", "add"),
    ("repisa de lámpara 88, 55 %", "reading"),
    ("cochera de 50 a 80", "reading"),
    ("horas de riego 7:00 y 18:30", "set"),
    ("horas de silencio 22:00 a 6:00", "set"),
    ("horas de puesta 24", "set"),
    ("bandeja en caja 3", "tray_in"),
    ("la caja 1 está cantando", "chirp"),
    ("la saqué, repisa de lámpara, muchos huevos", "tray_out"),
    ("regué los botes 1 y 2", "watered"),
    ("crías en el bote 1", "hatch"),
    ("en una hora", "snooze"),
    ("a las 5 pm", "snooze"),
    ("deshacer", "undo"),
    ("no, caja 3", "fix"),
    ("ayuda", "help"),
    ("qué toca", "ask"),
    ("estado", "ask"),
    ("agenda", "ask"),
    ("qué temperatura hay", "ask"),
    ("cuánto falta", "ask"),
    ("cuánto le falta al bote 1", "ask"),
    ("por qué", "ask"),
    ("cómo pongo una bandeja", "ask"),
]


@pytest.mark.parametrize(("text", "kind"), SUGGESTED_IN_SPANISH)
def test_what_people_are_told_to_say_in_spanish_is_understood(reader, text, kind):
    farm = the_farm()

    (intent,) = reader.read(text, at=hours.local(farm, NOON), farm=farm, language="es").intents

    assert (intent.kind, intent.needs) == (kind, ())


def test_fields_have_names():
    fields = {(key, name) for key, text in ALL_TEXTS.items() for _, name, *_ in string.Formatter().parse(text)}

    assert [(key, name) for key, name in fields if name is not None and not name.isidentifier()] == []


@pytest.mark.parametrize("language", languages())
def test_every_sentence_can_be_filled_in(language):
    voice = Voice(a_farm(), NOON, language)
    words = [key for key in wording(language) if isinstance(wording(language)._texts[key], str)]

    told = {key: voice.say(key, **dict.fromkeys(fields_of(voice.words.text(key)), "x")) for key in words}

    assert {key: text for key, text in told.items() if "{" in text or "}" in text} == {}


def test_a_plural_stands_beside_its_singular():
    plurals = [key for key in TEXTS if key.endswith("_many") and key != f"recorded.eggs_{Density.MANY}"]

    assert plurals
    assert [key for key in plurals if key.removesuffix("_many") not in TEXTS] == []


def fields_of(text):
    """Give the fields of a sentence; in which form it asks for them is a matter of the language."""
    return {name for _, name, *_ in string.Formatter().parse(text) if name is not None}


def singulars(language):
    """Give the keys but for plurals: how many forms there are of those is a matter of the language, too."""
    keys = set(wording(language))
    return {key for key in keys if key.removesuffix("_many") not in keys or not key.endswith("_many")}


@pytest.mark.parametrize("language", OTHERS)
def test_a_language_has_the_keys_of_english_and_no_others(language):
    assert singulars(language) == singulars("en")


@pytest.mark.parametrize("language", OTHERS)
def test_a_sentence_has_the_fields_that_it_has_in_english(language):
    words = wording(language)
    pairs = [(key, key if key in WORDS else key.removesuffix("_many")) for key in words]

    assert [key for key, english in pairs if fields_of(words.text(key)) != fields_of(WORDS.text(english))] == []


@pytest.mark.parametrize("language", OTHERS)
def test_a_list_is_a_list_in_every_language(language):
    words = wording(language)
    lists = [key for key in WORDS if isinstance(WORDS._texts[key], list)]

    assert [key for key in lists if not isinstance(words._texts[key], list)] == []
    assert {key: len(words.words(key)) for key in ("days", "months", "halves")} == {
        "days": 7,
        "months": 12,
        "halves": 2,
    }


@pytest.mark.parametrize("language", OTHERS)
def test_the_figures_are_those_of_english(language):
    """Cautions and how-tos above all: a figure that gets lost in translation may hurt somebody."""
    figure = re.compile(r"\d+(?::\d+)?")
    words = wording(language)
    shared = [key for key in words if key in WORDS and not key.startswith("typed.")]
    told = {key: (sorted(figure.findall(words.text(key))), sorted(figure.findall(WORDS.text(key)))) for key in shared}

    assert {key: pair for key, pair in told.items() if pair[0] != pair[1]} == {}


ENGLISH = """
    the an and or of in on at to from with without by for is are was were it its this that there you your we i not
    now under until since about please say tell tub bin tray pinheads mold lamp water watered shelf
"""


def test_no_english_is_left_in_spanish():
    texts = {key: re.sub(r"\{.*?\}", "", text) for (code, key), text in ALL_TEXTS.items() if code == "es"}
    found = {key: set(ENGLISH.split()) & set(re.findall(r"\w+", text.casefold())) for key, text in texts.items()}

    assert len(texts) > 400
    assert {key: words for key, words in found.items() if words} == {}
