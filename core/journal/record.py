"""What every record of the journal has in common.

A record's required fields are those without a default; `ANY_OF` adds "at least one of these".
Not for JSON with its version: that is codec.
"""

import datetime as dt
import functools
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar

import msgspec

Moment = Annotated[dt.datetime, msgspec.Meta(tz=True)]  # a time inside a body: with its zone, or it is not read


class Record(
    msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True, forbid_unknown_fields=True, tag_field="kind"
):
    """A thing that was said, by kind; its field names are the slots that the reader fills."""

    # (the name to ask for, the fields of which one has to be there)
    ANY_OF: ClassVar[tuple[tuple[str, tuple[str, ...]], ...]] = ()


def missing(record: type[Record], slots: Mapping[str, Any]) -> tuple[str, ...]:
    """Name the slots that `record` cannot do without and that `slots` lacks."""
    absent = tuple(name for name in _required(record) if slots.get(name) in (None, (), []))
    return absent + tuple(ask for ask, names in record.ANY_OF if not any(slots.get(n) for n in names))


@functools.cache  # msgspec looks at a record's annotations anew each time
def _required(record: type[Record]) -> tuple[str, ...]:
    return tuple(f.encode_name for f in msgspec.structs.fields(record) if f.required)
