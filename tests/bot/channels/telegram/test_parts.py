"""Long and bold texts as Telegram takes them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.channels.telegram.parts import LONGEST, parts
from bot.ports.messages import bold, plain
from tests.botapi.markup import passages, read_html, units


def plains(text, longest=LONGEST):
    return [part.plain for part in parts(text, longest)]


def test_a_short_text_is_one_part_with_everything_escaped():
    (part,) = parts(f'{bold("Bin <3>")} & "tub" 4')

    assert part.html == '<b>Bin &lt;3&gt;</b> &amp; "tub" 4'
    assert part.plain == 'Bin <3> & "tub" 4'


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        pytest.param("aaa\nb\n\ncc dd", ["aaa\nb", "cc dd"], id="paragraph first"),
        pytest.param("aaa\nbb cc dd", ["aaa", "bb cc dd"], id="then line"),
        pytest.param("aaaa bbbb cccc", ["aaaa bbbb", "cccc"], id="then space"),
        pytest.param("a" * 12, ["a" * 10, "aa"], id="then anywhere"),
        pytest.param("a" * 10 + " b", ["a" * 10, "b"], id="a break right behind"),
        pytest.param("\U0001f997" * 6, ["\U0001f997" * 5, "\U0001f997"], id="two units a letter"),
        pytest.param("", [""], id="nothing"),
    ],
)
def test_a_long_text_is_cut_at_the_best_place(text, expected):
    assert plains(text, 10) == expected


def test_bold_goes_on_across_a_cut():
    assert [part.html for part in parts(bold("aaaa bbbb cccc"), 10)] == ["<b>aaaa bbbb</b>", "<b>cccc</b>"]


def test_escaping_does_not_count_into_the_length():
    assert len(parts("<" * LONGEST)) == 1


@given(st.text(alphabet=st.sampled_from("ab<&> \n\x02\x03\U0001f997"), max_size=200), st.integers(2, 40))
def test_no_part_is_too_long_and_nothing_is_lost(text, longest):
    cut = parts(text, longest)

    assert all(units(part.plain) <= longest for part in cut)
    assert len(cut) == 1 or all(part.plain for part in cut)
    assert "".join(plain(text).split()) == "".join("".join(part.plain for part in cut).split())


@given(st.text(alphabet=st.sampled_from("ab<&>;lt \n\x02\x03\U0001f997"), max_size=200))
def test_telegram_reads_back_what_was_meant(text):
    (part,) = parts(text)

    read, entities = read_html(part.html)

    assert read == part.plain
    assert "".join("".join(passages(read, entities, "bold")).split()) == "".join(bold_letters(text).split())


def bold_letters(text):
    letters, is_bold = "", False
    for letter in text:
        if letter in "\x02\x03":
            is_bold = letter == "\x02"
        elif is_bold:
            letters += letter
    return letters
