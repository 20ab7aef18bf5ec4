"""The little language of the phrasebook's patterns."""

import pytest

from bot.reader import book, patterns


def find(pattern, words):
    tags = [frozenset((w,)) for w in words.split()]
    return patterns.found(patterns.compiled(pattern), tags, frozenset().union(*tags))


@pytest.mark.parametrize(
    ("pattern", "words", "is_found"),
    [
        ("pull .. tray", "i pull the tray", True),
        ("pull tray", "i pull the tray", False),
        ("pull the? tray", "i pull the tray", True),
        ("^ pull", "i pull", False),
        ("tray $", "pull tray now", False),
        ("pull|lift tray", "lift tray", True),
        ("& tray pull", "pull tray", True),
        ("pull !not", "not pull", False),
        ("note {text}", "note", False),
    ],
)
def test_a_pattern_is_found_where_its_words_stand(pattern, words, is_found):
    assert (find(pattern, words) is not None) is is_found


def test_a_capture_takes_the_words_up_to_the_next_part():
    match = find("rename {old} to {new}", "rename big shelf to hot shelf")

    assert match.captures == {"old": (1, 3), "new": (4, 6)}


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_pattern_of_a_phrasebook_has_a_word_it_cannot_do_without(language):
    rows = book.book(language).rows
    without = [p.source for row in rows for p in row.patterns if not p.key]

    assert len(rows) > 50
    assert without == []


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_class_that_a_pattern_names_is_there(language):
    data = book.book(language).data
    known = {f"@{name}" for name in data["classes"]} | {"@verb", "@about"}
    named = {
        t for row in book.book(language).rows for p in row.patterns for e in p.elements for t in e.any_of if t[0] == "@"
    }

    assert named - known - {"@"} == set()
