"""What a button carries."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.assistant import buttons

NUMBERS = st.integers(min_value=0, max_value=9_999_999)
SOME = st.lists(NUMBERS, max_size=4).map(tuple)
WORD = st.text(st.characters(exclude_characters="|", exclude_categories=["Cs"]), max_size=7)
PRESSED = st.one_of(
    st.builds(buttons.Answer, NUMBERS, NUMBERS),
    st.builds(buttons.TakeBack, NUMBERS, NUMBERS),
    st.builds(buttons.Finish, SOME, st.sampled_from(["", "mold", "hatch"])),
    st.builds(buttons.Later, NUMBERS, SOME),
    st.builds(buttons.LeaveOut, SOME),
    st.builds(buttons.Say, st.text(st.characters(exclude_categories=["Cs"]), max_size=14)),
    st.builds(buttons.SetupStep, WORD, WORD),
)


@given(PRESSED)
def test_what_is_written_is_read_and_fits_a_button(pressed):
    data = buttons.write(pressed)

    assert buttons.read(data) == pressed
    assert len(data.encode()) <= buttons.LONGEST == 64


def test_what_does_not_fit_is_an_error_and_never_cut():
    with pytest.raises(buttons.TooLongError, match="Say"):
        buttons.write(buttons.Say("é" * 40))


@given(st.text(max_size=64))
def test_nothing_that_comes_back_raises(data):
    buttons.read(data)


@pytest.mark.parametrize(
    "data", ["", "1", "1|", "2|a|1|2", "0|a|1|2", "1|x|1", "1|a|1", "1|a|one|2", "1|d|1,x|", "1|d|1", "1|o|units", "a"]
)
def test_what_this_version_did_not_write_is_none(data):
    assert buttons.read(data) is None
