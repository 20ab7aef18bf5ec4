"""Records and journals for the properties.

`bodies` are of every kind and as wild as their types allow; `work` is what a small farm could really tell, about few
bins, tubs and places, so that things meet.
"""

import datetime as dt
import types
from enum import EnumMeta
from typing import Annotated, Any, Union, get_args, get_origin
from zoneinfo import ZoneInfo

import msgspec
from hypothesis import strategies as st

from core.journal import codec, facts, wants
from core.journal.kinds import Addable, Chore, HatchStage, Setting
from tests.builders import NOON, an_event

EARLIEST, LATEST = dt.datetime(1990, 1, 1), dt.datetime(2090, 1, 1)  # noqa: DTZ001 - hypothesis adds the zone
ZONES = ("UTC", "America/Denver", "Australia/Lord_Howe", "Asia/Kathmandu")
JSON = st.recursive(st.none() | st.booleans() | st.integers(-9, 9) | st.text(max_size=5), st.lists, max_leaves=3)
PLAIN = {
    str: st.text(max_size=12),
    bool: st.booleans(),
    int: st.integers(-(2**62), 2**62),
    float: st.floats(allow_nan=False, allow_infinity=False),
    dt.date: st.dates(),
    dt.datetime: st.datetimes(EARLIEST, LATEST, timezones=st.sampled_from([ZoneInfo(name) for name in ZONES])).map(
        lambda at: at.astimezone(dt.timezone(at.utcoffset()))  # a time that comes twice equals none in another zone
    ),
    dict: st.dictionaries(st.text(max_size=6), JSON, max_size=3),
    type(None): st.none(),
}


def values(form):
    """Values of the type of a record's field."""
    origin, parts = get_origin(form), get_args(form)
    if isinstance(form, EnumMeta):
        return st.sampled_from(list(form))
    if origin is Annotated:
        return values(parts[0])
    if origin in {Union, types.UnionType}:
        return st.one_of([values(part) for part in parts])
    if origin is tuple:
        return st.lists(values(parts[0]), max_size=3).map(tuple)
    return PLAIN[origin or form]


def records(record):
    fields = msgspec.structs.fields(record)
    required = {f.name: values(f.type) for f in fields if f.required}
    optional = {f.name: values(f.type) for f in fields if not f.required}
    return st.fixed_dictionaries(required, optional=optional).map(lambda slots: record(**slots))


bodies = st.sampled_from(sorted(codec.RECORDS)).flatmap(lambda kind: records(codec.RECORDS[kind]))

BINS = st.sampled_from(["B1", "B2"])
TUBS = st.sampled_from(["T1", "T2", "T3"])
PLACES = st.sampled_from(["lamp shelf", "humid room", "rack"])
TEMPS_C = st.floats(-20, 55)
SETTINGS = [
    (Setting.TIMEZONE, "America/Denver"),
    (Setting.TIMEZONE, "Australia/Lord_Howe"),
    (Setting.QUIET_HOURS, "22:30-05:00"),
    (Setting.QUIET_HOURS, "off"),
    (Setting.WATER_TIMES, "06:00,08:00,23:00"),
    (Setting.WATER_TIMES, "02:15"),
    (Setting.LAY_HOURS, "1"),
    (Setting.LAY_HOURS, "48"),
]


def _built(record, **slots):
    return st.fixed_dictionaries(slots).map(lambda made: record(**made))


def _some(names):
    return st.lists(names, min_size=1, max_size=2, unique=True).map(tuple)


work = st.one_of(
    _built(facts.Chirp, bin=BINS),
    _built(facts.TrayIn, bin=BINS),
    _built(facts.TrayOut, bin=BINS, tub=TUBS, place=st.none() | PLACES, cover=st.booleans()),
    _built(facts.TrayOut, bin=BINS, tub=TUBS, place=PLACES),
    _built(facts.Placed, tubs=_some(TUBS), place=PLACES),
    _built(facts.Covered, tubs=_some(TUBS), on=st.booleans()),
    _built(facts.Covered, place=PLACES, on=st.booleans()),
    _built(facts.Reading, place=PLACES, temp_c=TEMPS_C),
    _built(facts.Reading, place=PLACES, low_c=TEMPS_C, high_c=TEMPS_C),
    _built(facts.Reading, tub=TUBS, temp_c=TEMPS_C),
    _built(facts.Watered, place=PLACES),
    _built(facts.Watered, tubs=_some(TUBS)),
    _built(facts.Mold, tubs=_some(TUBS), removed=st.booleans()),
    _built(facts.Hatch, tub=TUBS, stage=st.none() | st.sampled_from(list(HatchStage))),
    _built(facts.Stocked, bin=BINS, tubs=_some(TUBS), count=st.integers(1, 900)),
    _built(facts.Discarded, tub=TUBS),
    _built(facts.Discarded, bin=BINS),
    _built(wants.Add, what=st.just(Addable.PLACE), name=PLACES, lamp=st.booleans(), humidifier=st.booleans()),
    st.sampled_from(SETTINGS).map(lambda pair: wants.Set(what=pair[0], to=pair[1])),
)
corrections = st.one_of(
    _built(wants.Rename, old=st.sampled_from(["rack", "B1", "humid room"]), new=st.sampled_from(["loft", "nest"])),
    _built(wants.Undo, of=st.lists(st.integers(1, 12), min_size=1, max_size=2).map(tuple)),
    _built(wants.Fix, of=st.integers(1, 12), slots=st.fixed_dictionaries({"bin": BINS})),
    _built(wants.Fix, of=st.integers(1, 12), slots=st.fixed_dictionaries({"place": st.none() | PLACES})),
    _built(wants.Fix, of=st.integers(1, 12), slots=st.fixed_dictionaries({"temp_c": st.floats(-99, 999)})),
    _built(wants.Pause, what=st.none() | st.sampled_from(list(Chore)), until=st.none() | st.just(NOON)),
    _built(wants.Resume, what=st.none() | st.sampled_from(list(Chore))),
)
minutes = st.integers(0, 40 * 24 * 60)  # over 40 days before NOON


def _journal(told):
    return [
        an_event(body, number, NOON - dt.timedelta(minutes=ago), said_at=NOON, message=message)
        for number, (body, ago, message) in enumerate(told, start=1)
    ]


def journals(said, most=12):
    """Journals whose events happened in any order; some share a message, some a moment."""
    told = st.tuples(said, minutes, st.sampled_from(["", "chat:1", "chat:2"]))
    return st.lists(told, min_size=1, max_size=most).map(_journal)


def untied_journals(said, most=12):
    """Journals in which no two events happened at the same moment."""
    told: Any = st.tuples(said, minutes, st.just("chat:1"))
    return st.lists(told, min_size=1, max_size=most, unique_by=lambda entry: entry[1]).map(_journal)


def season(most):
    """Journals that were written down as things happened, with a few words too late."""
    told = st.tuples(
        work | corrections, st.sampled_from([0, 0, 0, 1, 1, 2, 2000]), st.sampled_from(["chat:1", "chat:2"])
    )

    def dated(lines):
        start = NOON - dt.timedelta(minutes=sum(later for _, later, _ in lines))
        ago, entries = 0, []
        for number, (body, later, message) in enumerate(lines, start=1):
            at = start + dt.timedelta(minutes=ago - later if later == 2000 else ago)
            ago += later
            entries.append(an_event(body, number, at, said_at=NOON, message=message))
        return entries

    return st.lists(told, min_size=1, max_size=most).map(dated)
