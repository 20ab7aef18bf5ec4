"""The form of the tables of messages: `message => kind slot=value ...; kind ...`, a line each.

`[]` means nothing. A time is `04T09:00`, the day of the message's month and the hour; `at~` is near enough within
half a day. `message @@ 2026-03-08T09:00 => ...` is said at another time than usual.
"""

import datetime as dt
import shlex
from pathlib import Path
from typing import Any

from bot.ports.intents import Intent
from tests.bot.reader.farms import NOW, ZONE

FOLDER = Path(__file__).parent / "tables"
EXAMPLES = Path(__file__).parent / "examples"
NEAR = dt.timedelta(hours=12)
_LISTS = frozenset(("tubs", "bins", "needs"))
_TIMES = frozenset(("at", "when", "start", "until"))
_DATES = frozenset(("due", "day"))
_TEXTS = frozenset(("text", "name", "to", "size", "for"))

Case = tuple[str, dt.datetime, list[dict[str, Any]]]


def cases(name: str) -> list[Case]:
    """Read one table."""
    return in_file(FOLDER / f"{name}.txt")


def in_file(path: Path) -> list[Case]:
    """Read the table in a file."""
    lines = path.read_text("utf-8").splitlines()
    return [_case(line) for line in lines if line.strip() and not line.startswith("#")]


def worked(language: str) -> list[Case]:
    """Read all messages of a language that the reader was made with."""
    paths = (*sorted(FOLDER.glob("*.txt")), *sorted((EXAMPLES / "worked").glob("*.txt")))
    return [c for p in paths if p.stem != "new_farm" and language_of(p.stem) == language for c in in_file(p)]


def language_of(name: str) -> str:
    """Say which language a table is in."""
    return "es" if name.startswith("es_") else "en"


def names() -> list[str]:
    """Name all tables."""
    return sorted(p.stem for p in FOLDER.glob("*.txt"))


def _case(line: str) -> Case:
    said, _, meaning = line.rpartition(" => ")
    text, _, when = said.partition(" @@ ")
    at = dt.datetime.fromisoformat(when).replace(tzinfo=ZONE) if when else NOW
    if meaning.strip() == "[]":
        return text, at, []
    return text, at, [_intent(part, at) for part in meaning.split("; ")]


def _intent(part: str, at: dt.datetime) -> dict[str, Any]:
    kind, *slots = shlex.split(part)
    out: dict[str, Any] = {"kind": kind}
    for slot in slots:
        name, _, raw = slot.partition("=") if "=" in slot and "~" not in slot.split("=")[0] else slot.partition("~")
        is_near = slot[len(name)] == "~"
        out[name] = (_value(name, raw, at), NEAR if is_near else dt.timedelta(minutes=1))
    return out


def _value(name: str, raw: str, at: dt.datetime) -> Any:
    if name in _TIMES:
        date = raw if raw.count("-") >= 2 else f"{at:%Y-%m}-{raw}"
        moment = dt.datetime.fromisoformat(date)
        return moment.replace(tzinfo=ZONE)
    if name in _DATES:
        return dt.date.fromisoformat(raw)
    if name in _LISTS or raw[:1] == "[":
        return sorted(raw.strip("[]").split(","))
    if raw in ("true", "false"):
        return raw == "true"
    try:
        return raw if name in _TEXTS else float(raw)
    except ValueError:
        return raw


def agrees(intent: Intent, expected: dict[str, Any], at: dt.datetime) -> bool:
    """Say whether an intent means what the table says."""
    got: dict[str, Any] = {**intent.slots}
    if intent.needs:
        got["needs"] = list(intent.needs)
    if intent.at is not None or "at" in expected:
        got["at"] = intent.at or at
    want = {k: v for k, v in expected.items() if k != "kind"}
    return intent.kind == expected["kind"] and got.keys() == want.keys() and all(_same(got[k], *want[k]) for k in want)


def _same(got: Any, want: Any, near: dt.timedelta) -> bool:
    if isinstance(want, dt.datetime):
        return abs(got - want) <= near
    if isinstance(got, list):
        return sorted(got) == want
    if isinstance(want, float) and not isinstance(got, str):
        return abs(got - want) <= 0.06 + 0.001 * abs(want)
    if isinstance(got, str) and isinstance(want, str):
        return got.casefold() == want.casefold()
    return bool(got == want)
