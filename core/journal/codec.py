"""The journal's JSON form, with a version.

Not for the schema of messages: the records in facts, wants and notices are that.
"""

from collections.abc import Mapping
from typing import Any

import msgspec

from core.journal.event import Body
from core.journal.record import Record, missing

VERSION = 1

_BODY: Any = Body  # msgspec takes the union as a value
RECORDS: dict[str, type[Record]] = {str(r.__struct_config__.tag): r for r in Body.__args__}


class UnknownVersionError(ValueError):
    """The journal was written by a later version of the program."""


class Incomplete(ValueError):  # noqa: N818 - it is raised where a record is asked for too early, not where a person errs
    """Slots that a record cannot do without are missing."""

    def __init__(self, kind: str, needs: tuple[str, ...]) -> None:
        """Keep the names of the slots."""
        super().__init__(f"{kind} needs {', '.join(needs)}")
        self.needs = needs


class _Versioned(msgspec.Struct, frozen=True):
    v: int


class _Stored(_Versioned, frozen=True):
    body: _BODY


_ENCODER = msgspec.json.Encoder()
_VERSIONED = msgspec.json.Decoder(_Versioned)
_STORED = msgspec.json.Decoder(_Stored)


def encode(body: Body) -> bytes:
    """Write a body as JSON with its version."""
    return _ENCODER.encode({"v": VERSION, "body": body})


def decode(stored: bytes | str) -> Body:
    """Read what `encode` wrote.

    Raises
    ------
    UnknownVersionError
        Where the version is not one that this program knows.
    msgspec.ValidationError
        Where the body is of no known kind, or not of its kind's form.
    """
    try:
        found = _STORED.decode(stored)
    except msgspec.ValidationError:
        _check_version(_VERSIONED.decode(stored))
        raise
    _check_version(found)
    body: Body = found.body
    return body


def _check_version(stored: _Versioned) -> None:
    if stored.v != VERSION:
        raise UnknownVersionError(f"journal version {stored.v}, this program knows {VERSION}")


def kind_of(body: Body) -> str:
    """Name the kind of a body as the schema does."""
    return kind_of_record(type(body))


def kind_of_record(record: type[Record]) -> str:
    """Name the kind of a record as the schema does."""
    return str(record.__struct_config__.tag)


def slots_of(body: Body) -> dict[str, Any]:
    """Give a body's slots in JSON form, without its kind."""
    built: dict[str, Any] = msgspec.to_builtins(body)
    built.pop("kind")
    return built


def body_of(kind: str, slots: Mapping[str, Any]) -> Body:
    """Make the record of a kind from its slots in JSON form.

    Raises
    ------
    Incomplete
        Where slots are missing.
    msgspec.ValidationError
        Where a slot is unknown to the kind or has a value of the wrong form.
    """
    needs = missing(RECORDS[kind], slots)
    if needs:
        raise Incomplete(kind, needs)
    body: Body = msgspec.convert({"kind": kind, **slots}, _BODY)
    return body
