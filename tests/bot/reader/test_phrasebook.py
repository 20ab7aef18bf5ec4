"""The phrasebooks hang together: what their patterns name is there."""

import re
from importlib import resources

import pytest

from bot.reader import book, languages

CLASS = re.compile(r"@[a-z_]+")


@pytest.mark.parametrize("language", languages.codes())
def test_every_class_that_a_phrasebook_names_has_words(language):
    text = (resources.files("bot.reader") / "phrasebook" / f"{language}.toml").read_text("utf-8")
    there = {tag for tags in book.book(language)._tags.values() for tag in tags}

    assert set(CLASS.findall(text)) - there == set()


@pytest.mark.parametrize("language", languages.codes())
def test_rare_words_are_of_a_class_that_has_usual_ones(language):
    data = book.book(language).data

    assert data.get("rare", {}).keys() <= data["classes"].keys()
