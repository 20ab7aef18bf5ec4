"""What a button carries."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.assistant import buttons

NUMBERS = st.integers(min_value=0, max_value=9_999_999)
SOME = st.lists(NUMBERS, max_size=4).map(tuple)
WORD = st.text(st.characters(exclude_characters="|", exclude_categories=["Cs"]), max_size=6)
BOND, ANOTHER = buttons.bond(1, "chat:Noor"), buttons.bond(2, "chat:Noor")
PRESSED = st.one_of(
    st.builds(buttons.Answer, NUMBERS, NUMBERS),
    st.builds(buttons.TakeBack, NUMBERS, NUMBERS),
    st.builds(buttons.Finish, SOME, st.sampled_from(["", "mold", "hatch"])),
    st.builds(buttons.Later, NUMBERS, SOME),
    st.builds(buttons.LeaveOut, SOME),
    st.builds(buttons.Say, st.text(st.characters(exclude_categories=["Cs"]), max_size=12)),
    st.builds(buttons.SetupStep, WORD, WORD),
)


@given(PRESSED)
def test_what_is_written_is_read_and_fits_a_button(pressed):
    data = buttons.write(pressed, BOND)

    assert buttons.read(data, BOND) == pressed
    assert buttons.read(data, ANOTHER) is buttons.Unusable.ELSEWHERE
    assert len(data.encode()) <= buttons.LONGEST == 64


def test_what_does_not_fit_is_an_error_and_never_cut():
    with pytest.raises(buttons.TooLongError, match="Say"):
        buttons.write(buttons.Say("é" * 40), BOND)


@given(st.text(max_size=64))
def test_nothing_that_comes_back_raises(data):
    buttons.read(data, BOND)


@pytest.mark.parametrize(
    "data",
    [
        "",
        "2",
        "2|",
        "3|B|a|1|2",
        "0|B|a|1|2",
        "2|B|x|1",
        "2|B|a|1",
        "2|B|a|one|2",
        "2|B|d|1,x|",
        "2|B|d|1",
        "2|B|o|u",
        "a",
    ],
)
def test_what_no_version_wrote_is_unknown(data):
    assert buttons.read(data.replace("B", BOND), BOND) is buttons.Unusable.UNKNOWN


@pytest.mark.parametrize("data", ["1", "1|u|1|1", "1|s|what's due", "1|a|1"])
def test_a_button_of_the_version_without_a_bond_is_told_apart(data):
    assert buttons.read(data, BOND) is buttons.Unusable.OLDER


@given(st.tuples(NUMBERS, WORD), st.tuples(NUMBERS, WORD))
def test_farm_and_chat_both_make_the_bond(one, other):
    assert (buttons.bond(*one) == buttons.bond(*other)) == (one == other)


def test_a_button_that_moves_to_another_chat_with_its_message_is_bound_to_that():
    old, new, other = (buttons.bond(1, chat) for chat in ("a:1", "a:2", "a:3"))
    data = buttons.write(buttons.Say("what's | due"), old)

    assert buttons.read(buttons.rebound(data, old, new), new) == buttons.Say("what's | due")
    assert buttons.rebound(data, other, new) == data
    assert buttons.rebound("", old, new) == ""
    assert buttons.rebound("1|s|help", old, new) == "1|s|help"
