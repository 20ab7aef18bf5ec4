"""The log of a running program: a line a record, fields that can be searched, and nothing that people wrote.

What is ours is a sentence that never changes, with numbers and names of classes beside it as fields. Of what libraries
log, the values are left out; of what went wrong, the error's own words, since both may hold a text or an address.
Not for what a person at a terminal is told: that is cli.
"""

import datetime as dt
import json
import logging
import re
from pathlib import Path
from types import TracebackType

OURS = ("bot", "core")
FRAMES_KEPT = 12  # of an error, the innermost
LONGEST = 200  # characters of what a library says

Value = int | float | str | BaseException | None  # a string that the program made up itself: a name, a code

_ROOT = f"{Path(__file__).resolve().parent.parent}/"
_BARE = re.compile(r"[A-Za-z0-9_.,:/+-]+")
_FIELDS = "fields"
_MADE_UP_AT = re.compile(r"[\n('\"<{\[]")  # where a finished sentence of a library may go on with a value


class PlainError(Exception):
    """An error whose own words hold nothing of what people wrote, so that the log repeats them."""


def fields(**values: Value) -> dict[str, object]:
    """Give what goes with a sentence as `extra`; of an error the class is written, None is left out."""
    return {_FIELDS: values}


def start(level: str, *, has_traces: bool = True) -> None:
    """Write the log to standard error from now on; traces are kept from a person at a terminal."""
    handler = logging.StreamHandler()
    handler.setFormatter(LineFormatter(has_traces=has_traces))
    logging.basicConfig(level=level, handlers=[handler])
    for library in ("apscheduler", "uvicorn"):  # they tell of every ring, and of what we tell ourselves
        logging.getLogger(library).setLevel(logging.WARNING)


class LineFormatter(logging.Formatter):
    """`at=2026-11-25T18:00:01Z level=WARNING part=delivery event="message not sent" message=12 tries=2`."""

    def __init__(self, *, has_traces: bool = True) -> None:
        super().__init__()
        self._has_traces = has_traces

    def format(self, record: logging.LogRecord) -> str:
        """Make one line, whatever the record holds."""
        at = dt.datetime.fromtimestamp(record.created, dt.UTC)
        parts: dict[str, Value] = {
            "at": f"{at:%Y-%m-%dT%H:%M:%SZ}",
            "level": record.levelname,
            "part": record.name.removeprefix("bot."),
            "event": _said(record),
        }
        parts |= getattr(record, _FIELDS, {})
        if record.exc_info and record.exc_info[1] is not None:
            parts["error"] = record.exc_info[1]
            parts["trace"] = frames(record.exc_info[1]) if self._has_traces else None
        return " ".join(f"{name}={_written(value)}" for name, value in parts.items() if value is not None)


def frames(error: BaseException) -> str:
    """Say where an error, and what led to it, came from: files, lines and functions, none of their words."""
    told = []
    seen: set[int] = set()
    one: BaseException | None = error
    while one is not None and id(one) not in seen:
        seen.add(id(one))
        told.append(f"{type(one).__name__} at {_places(one.__traceback__)}")
        one = one.__cause__ or (None if one.__suppress_context__ else one.__context__)
    return " after ".join(told)


def _places(trace: TracebackType | None) -> str:
    places = []
    while trace is not None:
        code = trace.tb_frame.f_code
        file = code.co_filename.rpartition("site-packages/")[2].removeprefix(_ROOT)
        places.append(f"{file}:{trace.tb_lineno} {code.co_name}")
        trace = trace.tb_next
    return " > ".join(places[-FRAMES_KEPT:]) or "no frame"


def _said(record: logging.LogRecord) -> str:
    if record.name.partition(".")[0] in OURS:
        return record.getMessage()
    if not isinstance(record.msg, str):
        return type(record.msg).__name__
    text = record.msg
    if record.args:
        return text.partition("\n")[0][:LONGEST]  # the template alone
    return _MADE_UP_AT.split(text, maxsplit=1)[0].strip()[:LONGEST]


def _written(value: Value) -> str:
    if isinstance(value, PlainError):
        value = f"{type(value).__name__}: {value}"
    if isinstance(value, BaseException):
        return type(value).__name__
    if isinstance(value, float):
        return f"{value:g}"
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return text if _BARE.fullmatch(text) else json.dumps(text)  # which escapes line breaks and all beyond ASCII
