import pytest

from bot.ports.cleaning import clean


@pytest.mark.parametrize(
    ("text", "seen"),
    [
        pytest.param("tub 3\x00 dry\x1b[31m", "tub 3 dry[31m", id="control characters"),
        pytest.param("\u202etub 4\u202c watered\u200b", "tub 4 watered", id="marks of direction and without width"),
        pytest.param("a\r\nb\rc\u2028d", "a\nb\nc\nd", id="line ends of all kinds"),
        pytest.param("one\ttwo", "one two", id="tab"),
        pytest.param("half \ud83d of one", "half  of one", id="half of a character"),
        pytest.param("\U0001f468\u200d\U0001f469", "\U0001f468\u200d\U0001f469", id="joined emoji stays"),
        pytest.param("\x02bold\x03", "bold", id="marks that are ours"),
    ],
)
def test_what_nobody_sees_is_taken_out(text, seen):
    assert clean(text) == seen


def test_what_is_to_be_kept_is_kept():
    assert clean("\x02bold\x03\x07", kept=frozenset("\x02\x03")) == "\x02bold\x03"
