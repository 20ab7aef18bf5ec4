"""Which languages there are, and their word lists."""

import pytest

from bot.ports.messages import DEFAULT_LANGUAGE
from bot.replies.languages import languages, own_names, typed_words, wording


def test_the_default_language_comes_first_and_each_has_its_own_name():
    assert languages()[0] == DEFAULT_LANGUAGE == "en"
    assert dict(zip(languages(), own_names(), strict=True)) == {"en": "English", "es": "español"}


@pytest.mark.parametrize("language", ["xx", "", "s", "howto_es", "zh-hant", "../wording/es"])
def test_a_language_without_wording_is_answered_in_the_default_one(language):
    assert wording(language).text("time.today") == wording(DEFAULT_LANGUAGE).text("time.today") == "today"


def test_how_to_texts_are_in_their_languages_files():
    assert "howto.mold" in wording("es")
    assert wording("es").text("howto.mold") != wording("en").text("howto.mold")


def test_words_that_people_type_are_taken_in_every_language():
    assert {"skip", "saltar"} <= typed_words("typed.skip")
