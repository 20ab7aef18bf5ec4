"""Number words against an independent library.

text2num 3.1 (Allo-Media, PyPI) reads the words of a number; the words are written here, from the number.
"""

import random

import pytest
from text_to_num import alpha2digit, text2num

from bot.reader import book, clauses, nametable, tokens
from core.farm.farm import Farm

LANGUAGES = ("en", "es")  # those with a phrasebook
CHANCE = random.Random(7)  # noqa: S311
SAMPLED = [*range(131), *range(200, 1000, 100), *CHANCE.sample(range(131, 10_000), 1500)]
ENGLISH = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
    "eighteen nineteen"
).split()
ENGLISH_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
SPANISH = (
    "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince dieciséis diecisiete "
    "dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro veinticinco veintiséis veintisiete "
    "veintiocho veintinueve"
).split()
SPANISH_TENS = "treinta cuarenta cincuenta sesenta setenta ochenta noventa".split()
SPANISH_HUNDREDS = (
    "ciento doscientos trescientos cuatrocientos quinientos seiscientos setecientos ochocientos novecientos"
).split()
FORMS = {
    "en": (
        "twelve hundred",
        "fifteen hundred",
        "twenty five hundred",
        "nineteen hundred and fifty",
        "forty-two",
        "one hundred five",
        "two thousand and five",
        "three thousand two hundred",
        "ten thousand",
        "twelve thousand five hundred",
        "one hundred thousand",
        "Two Hundred",
        "THIRTY TWO",
    ),
    "es": ("mil", "cien", "mil quinientos", "dos mil cinco", "diez mil", "cien mil", "Doscientos", "TREINTA Y DOS"),
}
# Left out, since people text what text2num does not read as one number: "two fifty" (250, theirs 2 and 50), "six
# thirty" (630), "a hundred", "a dozen", "half a dozen", "a couple", "1.5k".


def english(number, joint=" and "):
    if number < 20:
        return ENGLISH[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return ENGLISH_TENS[tens - 2] + (f" {ENGLISH[ones]}" if ones else "")
    scale, name = (1000, "thousand") if number >= 1000 else (100, "hundred")
    many, rest = divmod(number, scale)
    small = joint if rest < 100 else " "
    return f"{english(many, joint)} {name}" + (f"{small}{english(rest, joint)}" if rest else "")


def spanish(number):
    if number < 30:
        return SPANISH[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return SPANISH_TENS[tens - 3] + (f" y {SPANISH[ones]}" if ones else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return "cien" if number == 100 else SPANISH_HUNDREDS[hundreds - 1] + (f" {spanish(rest)}" if rest else "")
    thousands, rest = divmod(number, 1000)
    return ("mil" if thousands == 1 else f"{spanish(thousands)} mil") + (f" {spanish(rest)}" if rest else "")


WRITERS = {
    "en": {
        "with and": english,
        "bare": lambda n: english(n, " "),
        "hyphens": lambda n: english(n).replace("ty ", "ty-"),
    },
    "es": {"": spanish},
}
BY_WRITER = [(language, style) for language in WRITERS for style in WRITERS[language]]


def ours(text, language):
    """Give the number that the reader sees; all that it sees where that is not one number."""
    words = book.book(language)
    chunks = clauses.chunked(tokens.cleaned(text), words, nametable.table(Farm(), words))
    return chunks[0].value if len(chunks) == 1 and "<number>" in chunks[0].tags else [c.text for c in chunks]


@pytest.mark.parametrize(("language", "style"), BY_WRITER)
def test_the_words_written_here_are_the_numbers(language, style):
    write = WRITERS[language][style]

    assert [text2num(write(number), language) for number in SAMPLED] == SAMPLED


@pytest.mark.parametrize(("language", "style"), [b for b in BY_WRITER if b[0] in LANGUAGES])
def test_a_number_in_words_is_that_of_text2num(language, style):
    said = [WRITERS[language][style](number) for number in SAMPLED]

    apart = [(t, ours(t, language), text2num(t, language)) for t in said if ours(t, language) != text2num(t, language)]

    assert apart == []


@pytest.mark.parametrize(("language", "text"), [(of, text) for of in LANGUAGES for text in FORMS[of]])
def test_a_common_form_is_that_of_text2num(language, text):
    assert ours(text, language) == text2num(text.casefold(), language)


@pytest.mark.parametrize("whole", ["twenty", "eighty nine", "thirty one", "seventy", "nine", "ninety five"])
@pytest.mark.parametrize("tenth", ENGLISH[:10])
def test_a_decimal_in_words_is_that_of_text2num(whole, tenth):
    text = f"{whole} point {tenth}"

    assert ours(text, "en") == float(alpha2digit(text, "en"))
