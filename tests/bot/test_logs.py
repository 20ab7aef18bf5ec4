"""The log: a line a record, with fields, and nothing that people wrote."""

import ast
import logging
import sys
from pathlib import Path

import pytest

from bot.logs import LineFormatter, PlainError, fields

BOT = Path(__file__).resolve().parents[2] / "bot"
METHODS = {"debug", "info", "warning", "error", "exception", "critical", "log"}
FEWEST_CALLS = 25  # a check that finds nothing must fail
WORDS = "tub 3 watered by Noor"


def line(name="bot.delivery", message="message not sent", *args, level=logging.WARNING, **more):
    record = logging.LogRecord(name, level, "x.py", 1, message, args, more.pop("exc_info", None))
    record.created = 1795629601.25  # 2026-11-25, 18:00:01 UTC
    vars(record).update(more)
    return LineFormatter().format(record)


def caught(raising):
    try:
        raising()
    except (LookupError, ValueError):
        return sys.exc_info()
    raise AssertionError("it raised nothing")


def test_a_record_is_one_line_of_names_and_values():
    assert line(extra_is="kept out", **fields(message=12, tries=2, again_in_s=4.5, is_final=False)) == (
        "at=2026-11-25T18:00:01Z level=WARNING part=delivery "
        'event="message not sent" message=12 tries=2 again_in_s=4.5 is_final=false'
    )


def test_what_is_not_known_is_left_out():
    assert line(**fields(update=None)).endswith('event="message not sent"')


@pytest.mark.parametrize("value", ["a\nb", "a\rb", "a\u2028b", "a\x85b", "a\x1b[31mb", 'a" level=INFO "b', "", "a=b"])
def test_no_value_can_end_its_line_or_pass_for_another_field(value):
    written = line(**fields(why=value))

    assert len(written.splitlines()) == 1
    assert written.isascii()
    assert written.isprintable()
    assert ast.literal_eval(written.partition("why=")[2]) == value


def test_of_an_error_among_the_fields_only_the_class_is_written():
    assert line(**fields(error=ValueError(WORDS))).endswith(" error=ValueError")


def test_an_error_that_promises_to_be_plain_is_repeated():
    class DownError(PlainError):
        pass

    assert line(**fields(error=DownError("database is locked"))).endswith(' error="DownError: database is locked"')


def test_a_trace_has_frames_and_no_words():
    def inner():
        raise KeyError(WORDS)

    def outer():
        try:
            inner()
        except KeyError as error:
            raise ValueError(f"wrong: {WORDS}") from error

    written = line(exc_info=caught(outer))

    assert "Noor" not in written
    assert "\n" not in written
    assert " error=ValueError trace=" in written
    assert "ValueError at tests/bot/test_logs.py:" in written
    assert " after KeyError at tests/bot/test_logs.py:" in written
    assert " inner" in written


def test_a_trace_that_bites_its_tail_ends():
    def raising():
        error = ValueError(WORDS)
        error.__cause__ = error
        raise error

    assert line(exc_info=caught(raising)).count("ValueError at") == 1


def test_of_an_endless_descent_the_innermost_frames_are_kept():
    def descend(depth):
        return descend(depth - 1) if depth else [][0]

    assert line(exc_info=caught(lambda: descend(100))).count("descend") == 12


@pytest.mark.parametrize(
    ("message", "arguments", "event"),
    [
        ("Job %s of %s raised an exception", (WORDS, 1), '"Job %s of %s raised an exception"'),
        (f"Task was destroyed\ntask: <Task {WORDS}>", (), '"Task was destroyed"'),
        (f"Exception in callback end(ValueError('{WORDS}'))", (), '"Exception in callback end"'),
        (ValueError(WORDS), (), "ValueError"),
    ],
    ids=["arguments", "further lines", "a call", "an error"],
)
def test_what_a_library_says_loses_its_values(message, arguments, event):
    assert line("asyncio", message, *arguments).endswith(f"part=asyncio event={event}")


def _calls():
    for path in sorted(BOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in METHODS:
                named = node.func.value
                if isinstance(named, ast.Name) and named.id in ("_LOG", "_log"):
                    yield f"{path.relative_to(BOT)}:{node.lineno}", node


def test_each_event_is_a_sentence_that_never_changes_and_its_values_are_fields():
    calls = dict(_calls())
    loose = [
        place
        for place, call in calls.items()
        if len(call.args) != 1
        or not isinstance(call.args[0], ast.Constant)
        or not {keyword.arg for keyword in call.keywords} <= {"extra", "exc_info"}
    ]

    assert len(calls) >= FEWEST_CALLS
    assert loose == []
