"""Where typed lines come from."""

import asyncio
import io
import os

import pytest

from bot.channels.terminal.lines import PromptLines, StreamLines, lines_for


async def test_a_stream_gives_its_lines_and_then_nothing():
    lines = StreamLines(io.StringIO("one\r\n\ntwo"))

    assert [await lines.read() for _ in range(4)] == ["one", "", "two", None]


async def test_waiting_for_a_line_holds_up_nothing_else():
    reading, writing = os.pipe()
    with os.fdopen(reading) as stream:
        waiting = asyncio.create_task(StreamLines(stream).read())
        await asyncio.sleep(0)
        assert not waiting.done()

        os.write(writing, b"late\n")

        assert await waiting == "late"
        os.close(writing)


async def test_a_reader_that_was_given_up_does_not_mind_a_late_line():
    reading, writing = os.pipe()
    with os.fdopen(reading) as stream:
        waiting = asyncio.create_task(StreamLines(stream).read())
        await asyncio.sleep(0)
        waiting.cancel()
        os.close(writing)
        with pytest.raises(asyncio.CancelledError):
            await waiting


def test_where_no_person_sits_lines_are_a_stream():
    assert isinstance(lines_for(io.StringIO(), "Noor"), StreamLines)


async def test_at_a_prompt_lines_are_typed_and_control_d_leaves():
    from prompt_toolkit.application import create_app_session
    from prompt_toolkit.input import create_pipe_input
    from prompt_toolkit.output import DummyOutput

    with create_pipe_input() as typed, create_app_session(input=typed, output=DummyOutput()):
        lines = PromptLines("Noor> ")
        with lines.around():
            typed.send_text("chirping in bin 2\n")
            assert await lines.read() == "chirping in bin 2"
            typed.send_text("\x04")
            assert await lines.read() is None
