"""What a message means follows what is changed about it, and nothing else changes it.

Over the messages of the tables: each is read as it stands and again with something changed, so that no meaning has to
be written down anew. Where a message is left out, the filter beside the property says why.
"""

import datetime as dt
import functools
import random
import re

import msgspec
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from bot.reader.reader import Reader
from core.farm.series import Layers, Series
from core.units import TemperatureUnit
from tests.bot.reader import tables
from tests.bot.reader.farms import NOW, juniper_hollow

READER = Reader()
FARM = juniper_hollow()
STILL = dt.timezone(dt.timedelta(hours=-6))  # its clocks never change
CASES = [
    (text, at.replace(tzinfo=STILL), wanted)
    for name in tables.names()
    if name != "new_farm" and tables.language_of(name) == "en"
    for text, at, wanted in tables.cases(name)
]
TIMES = {"at", "when", "until", "due", "day"}
FIGURES = {"temp_c", "low_c", "high_c"}
STILL_NOW = NOW.replace(tzinfo=STILL)
OF_THE_FARM = set(
    "chirp tray_in tray_out placed covered watered mold dry hatch stocked fed dead cleaned moved sized".split()
)
SHOWN = 20
# Each example is all the cases: a few do, the same ones each time, and a smaller one would say no more.
ALL_CASES = {"deadline": None, "derandomize": True, "phases": (Phase.generate,)}


@functools.cache
def as_it_stands(text, at):
    return meaning(text, at)


def meaning(text, at, farm=FARM):
    """What a message means, in a form to compare: words without their case, marks and blanks."""
    intents = READER.read(text, at=at, farm=farm).intents
    return [(i.kind, {name: plain(value) for name, value in i.slots.items()}, i.at, i.needs) for i in intents]


def plain(value):
    return " ".join(re.findall(r"[\w/.-]+", value.casefold())).rstrip(".") if isinstance(value, str) else value


def mapped(value, of):
    """A value of any depth with all that stands in it put through `of`."""
    if isinstance(value, msgspec.Struct):
        return type(value)(**{name: mapped(getattr(value, name), of) for name in value.__struct_fields__})
    if isinstance(value, Layers):
        return type(value)(mapped(dict(value), of))
    if isinstance(value, dict):
        return {of(name): mapped(inner, of) for name, inner in value.items()}
    if isinstance(value, list | tuple | Series):
        return type(value)(mapped(inner, of) for inner in value)
    return of(value)


def apart(cases, changed, *, follows=lambda found: found, least=100):
    """The cases whose meaning does not follow; at least so many mean something."""
    read = [(changed(text, at), follows(as_it_stands(text, at))) for text, at, _ in cases]
    assert sum(bool(wanted) for _, wanted in read) >= least
    return [(new[0], wanted, got) for new, wanted in read if (got := meaning(*new)) != wanted][:SHOWN]


def later(by):
    """Puts moments and days on by a span."""
    return lambda value: value + by if isinstance(value, dt.date) else value


# A date of the calendar stays where it is while the weeks go by.
DATE = re.compile(
    r"\b(jan|feb|mar|apr|may|june?|july?|aug|sep|oct|nov|dec)[a-z]*\b|\d(st|nd|rd|th)\b|\d{4}-\d\d|month"
    r"|\b(first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth|[a-z]+teenth|[a-z]+tieth)\b",
    re.IGNORECASE,
)
UNDATED = [case for case in CASES if not DATE.search(case[0])]


@settings(max_examples=3, **ALL_CASES)
@given(st.integers(-200, 200).filter(bool))
def test_all_times_follow_when_the_farm_and_the_clock_go_on_by_weeks(weeks):
    on = later(dt.timedelta(weeks=weeks))
    farm = mapped(FARM, on)

    assert any(set(TIMES) & intent.keys() for *_, wanted in UNDATED for intent in wanted)
    assert apart(UNDATED, lambda text, at: (text, on(at), farm), follows=lambda m: mapped(m, on), least=1000) == []


# "tonight" is in the meaning only once it is past.
TIMELESS = [c for c in CASES if not any(TIMES & intent.keys() for intent in c[2]) and not re.search("ni[gt]", c[0])]


@settings(max_examples=3, **ALL_CASES)
@given(st.integers(-14 * 60, 9 * 60))
def test_the_hour_of_a_message_changes_nothing_where_it_tells_no_time(minutes):
    by = dt.timedelta(minutes=minutes)

    assert apart(TIMELESS, lambda text, at: (text, STILL_NOW + by), least=800) == []


# Misread with a span at the end, so far.
DONE_NOT_YET = {"Bin 1 just sang its first song", "tray's in", "bin 5 has reached five eighths"}
# One clause that says what was done; a number at its end would take the span's for its own.
DONE = [
    case
    for case in TIMELESS
    if len(case[2]) == 1
    and case[2][0]["kind"] in OF_THE_FARM
    and case[0][-1].isalpha()
    and not re.search("[,.!]", case[0])
    and case[0] not in DONE_NOT_YET
]


@pytest.mark.parametrize(("words", "ago"), [("20 minutes ago", 20), ("2 hours ago", 120), ("an hour ago", 60)])
def test_a_span_is_counted_back_from_the_message(words, ago):
    by = dt.timedelta(minutes=ago)

    def follows(found):
        return [(kind, slots, STILL_NOW - by, needs) for kind, slots, _, needs in found]

    assert apart(DONE, lambda text, _: (f"{text} {words}", STILL_NOW), follows=follows) == []


NUMBERED = re.compile(r"\b(bins?|tubs?|brooders?|totes?|trays?|[bt])(\s?#?)(\d+)(?!\d|[/:.]\d|%)", re.IGNORECASE)
PLACES = {"heat closet": "north bay", "cellar room": "fern vault", "back porch": "glass annex"}
PLACE = re.compile("|".join(PLACES), re.IGNORECASE)
ELSEWHERE = re.compile(  # a name in other words: half of it, a number alone ("T10 and 11"), a number in words
    r"\b(closet|cellar|porch|heat)\b|(?<![\d:.,])\b\d{1,2}\b(?![\d:.,])"
    r"|\b(one|two|three|four|five|six|ten|eleven|twelve|thirteen|for|to|too|tin)\b",
    re.IGNORECASE,
)


def is_named_in_full(text):
    return bool(NUMBERED.search(text) or PLACE.search(text)) and not ELSEWHERE.search(
        PLACE.sub(" ", NUMBERED.sub(" ", text))
    )


def renamed(by):
    """Puts the numbers of bins and tubs on, and gives the places other names, in a message and in a farm."""

    def of(value):
        if type(value) is not str:  # nor the words that the farm itself goes by: a chore, a unit
            return value
        moved = NUMBERED.sub(lambda found: f"{found[1]}{found[2]}{int(found[3]) + by}", value)
        return PLACE.sub(lambda found: PLACES[found[0].lower()], moved)

    return of


# Not where a name itself is the matter: "add bin 7".
NAMED = [c for c in CASES if is_named_in_full(c[0]) and not any(i["kind"] in {"add", "rename"} for i in c[2])]


@settings(max_examples=5, **ALL_CASES)
@given(st.integers(14, 900))
def test_a_meaning_follows_when_all_bins_tubs_and_places_have_other_names(by):
    of = renamed(by)
    farm = mapped(FARM, of)

    assert farm.tubs.keys() == {f"T{number + by}" for number in range(10, 14)}
    assert farm.places.keys() == set(PLACES.values())
    assert apart(NAMED, lambda text, at: (of(text), at, farm), follows=lambda m: mapped(m, of), least=400) == []


UNIT = re.compile(r"\d\s?(°|deg\w*)?\s?(f|c)\b|fahrenheit|celsius|centigrade", re.IGNORECASE)
WARM = [case for case in CASES if any(FIGURES & intent.keys() for intent in case[2])]
# 50 and more is too hot for any place of a farm in Celsius, 900 in either.
ONE_SENSE = [c for c in WARM if not UNIT.search(c[0]) and "900" not in c[0]]
METRIC = juniper_hollow(TemperatureUnit.CELSIUS)


def test_a_temperature_with_its_unit_is_the_same_on_a_farm_of_either_unit():
    assert apart([c for c in WARM if UNIT.search(c[0])], lambda text, at: (text, at, METRIC), least=10) == []


def test_a_bare_figure_that_makes_sense_in_one_unit_only_is_in_that_unit_on_any_farm():
    assert apart(ONE_SENSE, lambda text, at: (text, at, METRIC), least=60) == []


def test_a_bare_figure_that_makes_sense_in_both_is_in_the_unit_of_the_farm():
    ((_, cold, *_),) = meaning("back porch 48", NOW)
    ((_, hot, *_),) = meaning("back porch 48", NOW, METRIC)

    assert (cold["temp_c"], hot["temp_c"]) == (8.9, 48.0)


# Misread with a mark, a polite word or an emoji beside it, so far: to be taken out of here as the reader learns them.
NOT_YET = {"watered all 4", "gave b1 a handful of greens", "not T10, T11"}
READ = [case for case in CASES if case[0] not in NOT_YET]
# A name that the farm does not know is told by its capital; the words of a time zone are taken to the end.
KNOWN = [c for c in READ if not any("who" in intent for intent in c[2])]
OPEN_ENDED = [c for c in KNOWN if c[0][-1].isalnum() and not re.search("time ?zone", c[0])]


def test_capitals_change_nothing():
    assert apart(KNOWN, lambda text, at: (text.lower(), at), least=1000) == []
    assert apart(KNOWN, lambda text, at: (text.upper(), at), least=1000) == []


def test_blanks_change_nothing():
    assert apart(READ, lambda text, at: (f"  {text.replace(' ', '  ')} ", at), least=1000) == []


@pytest.mark.parametrize("end", ["!", ".", "...", " .", "!!!"])
def test_what_ends_a_sentence_changes_nothing(end):
    assert apart(OPEN_ENDED, lambda text, at: (text + end, at), least=1000) == []


@pytest.mark.parametrize("polite", ["please {}", "{} please", "{} pls", "hi, {}", "{}, thanks", "{} thx"])
def test_a_polite_word_changes_nothing(polite):
    assert apart(OPEN_ENDED, lambda text, at: (polite.format(text), at), least=1000) == []


@pytest.mark.parametrize(
    "emoji",
    ["{} \N{THUMBS UP SIGN}", "{}\N{PERSON WITH FOLDED HANDS}\N{PERSON WITH FOLDED HANDS}", "\N{CRICKET} {}", "{} :)"],
)
def test_an_emoji_changes_nothing(emoji):
    assert apart(READ, lambda text, at: (emoji.format(text), at), least=1000) == []


# Statements with their own bins and tubs, that tell no time and take no words to the end for themselves.
STATEMENTS = [
    (text, meant)
    for text, at, wanted in TIMELESS
    if len(wanted) == 1
    and NUMBERED.search(text)
    and not text.endswith("?")
    and len(meant := as_it_stands(text, at)) == 1
    and meant[0][0] in OF_THE_FARM
    and not meant[0][3]
]
# How much of it may be misread: what was measured, rounded up; it goes down as the reader gets better, never up.
MOST_APART = {". ": 0.02, "\n": 0.02, ", and ": 0.12}


@pytest.mark.parametrize("between", MOST_APART)
def test_two_statements_in_a_message_mean_both(between):
    chance = random.Random(5)  # noqa: S311
    pairs = [chance.sample(STATEMENTS, 2) for _ in range(500)]

    said = [(first.rstrip(".!") + between + second, a + b) for (first, a), (second, b) in pairs]
    misread = [(text, wanted, got) for text, wanted in said if (got := meaning(text, STILL_NOW)) != wanted]

    assert len(STATEMENTS) > 200
    assert len(misread) <= MOST_APART[between] * len(pairs), misread
