"""A message as a terminal shows it."""

import pytest

from bot.channels.terminal.page import columns_of, rendered
from bot.ports.cleaning import clean
from bot.ports.messages import Button, Outgoing, bold

YES, LATER = Button(label="Yes", data="1:y"), Button(label="In an hour", data="1:l")


def shown(text, width=40, *, buttons=(), is_styled=False):
    return rendered(Outgoing(key="k", chat="terminal:noor", text=text, buttons=buttons), width, is_styled=is_styled)


def test_lines_are_indented_and_broken_between_words():
    assert shown("Bin 2: first chirp.\nI'll ask you to look in again.", 22) == (
        "  Bin 2: first chirp.\n  I'll ask you to look\n  in again.\n"
    )


def test_a_line_that_is_indented_stays_so_when_it_is_broken():
    assert shown("  one two three four five six", 20) == "    one two three\n    four five six\n"


def test_a_word_longer_than_a_line_is_broken():
    assert shown("x" * 40, 22) == f"  {'x' * 20}\n  {'x' * 20}\n"


def test_wide_letters_take_two_columns():
    assert columns_of("蟋蟀 é e\u0301") == 8
    assert shown("蟋蟀 " * 5, 22) == "  蟋蟀 蟋蟀 蟋蟀 蟋蟀\n  蟋蟀\n"


def test_bold_is_an_escape_code_only_where_the_output_takes_it():
    assert shown(f"{bold('Bin 2')}: ok", is_styled=True) == "  \x1b[1mBin 2\x1b[0m: ok\n"
    assert shown(f"{bold('Bin 2')}: ok") == "  Bin 2: ok\n"


def test_bold_that_is_left_open_ends_with_the_message():
    assert shown("\x02Bin 2", is_styled=True) == "  \x1b[1mBin 2\n\x1b[0m"


def test_buttons_are_numbered_over_all_rows_and_broken_between_them():
    assert shown("Pull it.", 40, buttons=((YES, LATER), (YES,))) == "  Pull it.\n  [1 Yes]  [2 In an hour]  [3 Yes]\n"
    assert shown("Pull it.", 26, buttons=((YES, LATER),)) == "  Pull it.\n  [1 Yes]  [2 In an hour]\n"
    assert shown("Pull it.", 22, buttons=((YES, LATER),)) == "  Pull it.\n  [1 Yes]\n  [2 In an hour]\n"


@pytest.mark.parametrize(
    ("typed", "seen"),
    [
        ("\x1b[2Jbin\x07 2", "[2Jbin 2"),
        ("a\x9b31mb", "a31mb"),
        ("a\r\nb\rc\u2028d", "a\nb\nc\nd"),
        ("abc\u202edef\u2066", "abcdef"),
        ("half \ud83d pair", "half  pair"),
        ("\x02bold\x03", "bold"),
    ],
    ids=["escape", "c1", "line ends", "direction", "surrogate", "marks"],
)
def test_what_steers_a_terminal_is_taken_out(typed, seen):
    assert clean(typed) == seen


def test_nothing_that_a_person_typed_steers_the_terminal():
    text = shown("note: \x1b]0;owned\x07 \x9b2J", is_styled=True, buttons=((Button(label="\x1b[1mx", data="d"),),))

    assert "\x1b" not in text
    assert "\x9b" not in text
