"""Conversations as they are written down: a heading, then who says what when, and what is answered and pushed.

    What it is about, in a sentence or two.

    zone: America/Denver                      the farm's clocks; of all times below
    start: 2026-03-02 18:00
    farm: Ocotillo Flats                      left out, the first message founds a farm
    people: Noor owner, Tomas hand
    languages: Tomas es-MX                    what their messaging service says
    places: lamp shelf (lamp), humid room (humidifier), rack (neither)
    bins: B1, B2

    -- Mon Mar 2
    18:00 Noor: chirping in bin 2
        Bin 2: first chirp                    a line of the answer has these words
        [Prepare a tray] [Undo]               it has these buttons
        not: tray in                          nowhere in the answer
        records: chirp                        what Noor's message put into the journal, kind by kind, or nothing
    18:05 Noor edits: chirping in bin 3
    18:06 Noor presses [Undo]
    18:06 Noor presses [Undo] from Mon Mar 2 18:00
    18:07 Noor shares 39.7, -105.0
    18:08 Noor in the group: hi all           not addressed to the assistant
        silence
    18:09 Noor to the bot in the group: /due
    18:10 Noor in the group presses [Undo]
    18:30 restart                             a new process on the same store
    -- Tue Mar 3
    07:00 push to Noor, Tomas                 each reminder of the whole conversation, at its very minute
        Lamp shelf: water
    -- Sun Mar 8
    12:00 meanwhile pushes daily at 07:00, 18:00
    13:00 meanwhile pushes of no matter

Words in double quotes are a Python string. Lines that begin with # are comments.
"""

import ast
import datetime as dt
import re
from zoneinfo import ZoneInfo

import msgspec

_STEP = re.compile(r"(?P<time>\d\d:\d\d) (?P<what>.+)")
_ACTS = (
    ("push", re.compile(r"push to (?P<people>.+)")),
    ("daily", re.compile(r"meanwhile pushes daily at (?P<times>[\d:, ]+)")),
    ("skip", re.compile(r"meanwhile pushes of no matter")),
    ("restart", re.compile(r"restart")),
    ("press", re.compile(r"(?P<who>\w+)(?P<group> in the group)? presses \[(?P<label>.+?)\](?: from (?P<from>.+))?")),
    ("share", re.compile(r"(?P<who>\w+) shares (?P<latitude>[-\d.]+), (?P<longitude>[-\d.]+)")),
    ("edit", re.compile(r"(?P<who>\w+) edits: (?P<text>.*)")),
    ("say", re.compile(r"(?P<who>\w+)(?P<bot> to the bot)?(?P<group> in the group)?:(?: (?P<text>.*))?")),
)
_HEADING = re.compile(r"(zone|start|farm|people|languages|places|bins|owners): (.+)")


class ScriptError(Exception):
    """A line of a script cannot be read."""


class Step(msgspec.Struct, kw_only=True):
    """Something that happens, and what is expected of it."""

    line: int
    at: dt.datetime
    act: str
    words: dict[str, str | None]
    has: list[str] = []
    has_not: list[str] = []
    labels: list[str] = []
    records: list[str] | None = None
    is_silent: bool = False


class Script(msgspec.Struct, kw_only=True):
    """A conversation."""

    heading: dict[str, str]
    steps: list[Step]
    day: dt.date | None = None  # of the steps that are being read

    @property
    def zone(self):
        return ZoneInfo(self.heading["zone"])

    @property
    def start(self):
        return dt.datetime.fromisoformat(self.heading["start"]).replace(tzinfo=self.zone)

    def listed(self, key):
        """Give the things behind a word of the heading."""
        return [part.strip() for part in self.heading.get(key, "").split(",") if part.strip()]


def read(text):
    """Read a script; raise ScriptError at a line that makes no sense."""
    script = Script(heading={}, steps=[])
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip() and not line.startswith("#"):
            try:
                _take(script, number, line.rstrip())
            except (ValueError, LookupError, SyntaxError, TypeError) as error:
                raise ScriptError(f"line {number}: {line!r}: {error}") from error
    return script


def _take(script, number, line):
    if line.startswith("-- "):
        script.day = _day(line.removeprefix("-- "), script.day or script.start.date())
    elif line[0].isspace():
        _expect(script.steps[-1], line.strip())
    elif found := _STEP.fullmatch(line):
        script.steps.append(_step(number, found, script.day, script.zone))
    elif found := _HEADING.fullmatch(line):
        script.heading[found[1]] = found[2]
    elif script.heading:
        raise ValueError("neither a step nor a heading")


def _day(text, after):
    """Read "Mon Mar 2" as the next such date."""
    weekday, month, number = text.split()[:3]
    for year in (after.year, after.year + 1):
        day = dt.datetime.strptime(f"{year} {month} {number}", "%Y %b %d").date()  # noqa: DTZ007 - a date
        if day >= after:
            if f"{day:%a}" != weekday:
                raise ValueError(f"{day} is a {day:%a}")
            return day
    raise ValueError("days go on")


def moment(text, day, zone):
    """Read "07:00", or "Mon Mar 2 07:00" of the year of `day`."""
    *date, time = text.split()
    if date:
        day = dt.datetime.strptime(f"{day.year} {date[1]} {date[2]}", "%Y %b %d").date()  # noqa: DTZ007 - a date
    return dt.datetime.combine(day, dt.time.fromisoformat(time), tzinfo=zone).astimezone(dt.UTC)


def _step(number, found, day, zone):
    at = moment(found["time"], day, zone)
    for act, pattern in _ACTS:
        if words := pattern.fullmatch(found["what"]):
            known = words.groupdict()
            if known.get("from"):
                known["from"] = moment(known["from"], day, zone)
            if (known.get("text") or "").startswith('"'):
                known["text"] = ast.literal_eval(known["text"])
            return Step(line=number, at=at, act=act, words=known)
    raise ValueError("nobody does anything")


def _expect(step, text):
    if text == "silence":
        step.is_silent = True
    elif text.startswith("records: "):
        kinds = text.removeprefix("records: ")
        step.records = [] if kinds == "nothing" else [kind.strip() for kind in kinds.split(",")]
    elif text.startswith("not: "):
        step.has_not.append(text.removeprefix("not: "))
    elif text.startswith("["):
        step.labels += re.findall(r"\[(.+?)\]", text)
    else:
        step.has.append(text)
