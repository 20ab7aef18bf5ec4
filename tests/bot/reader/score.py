"""How much of the example messages is read rightly, a line for each part and language.

`python -m tests.bot.reader.score [--misses N] [worked|held_back]` prints the shares, and the N worst misses of each.
`worked` are messages that the phrasebooks were written with; `held_back` ones are looked at only to measure, so that
their shares say how a message fares that nobody has thought of. Tables whose name begins with `es_` are in Spanish.
"""

import argparse
import datetime as dt
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import msgspec

from bot.ports.intents import ASK, Intent
from bot.reader.reader import Reader
from tests.bot.reader import tables
from tests.bot.reader.farms import juniper_hollow

FOLDER = tables.EXAMPLES
PARTS = ("worked", "held_back")
READER = Reader()
FARM = juniper_hollow()


class Read(msgspec.Struct, frozen=True):
    """An example and what the reader made of it."""

    text: str
    at: dt.datetime
    wanted: list[dict[str, Any]]
    got: tuple[Intent, ...]

    @property
    def has_kinds(self) -> bool:
        """Say whether it means as many things, of the same kinds in the same order."""
        return [_kind_wanted(w) for w in self.wanted] == [_kind_got(g) for g in self.got]

    @property
    def is_right(self) -> bool:
        """Say whether it means the same in every slot."""
        return self.has_kinds and not self.slots_apart

    @property
    def kinds_apart(self) -> int:
        """Count the kinds that are missing or too many."""
        wanted, got = Counter(map(_kind_wanted, self.wanted)), Counter(map(_kind_got, self.got))
        return (wanted - got).total() + (got - wanted).total()

    @property
    def slots_apart(self) -> int:
        """Count the intents that are not what is wanted in their place."""
        pairs = zip(self.wanted, self.got, strict=False)
        return sum(not tables.agrees(got, wanted, self.at) for wanted, got in pairs)


class Shares(msgspec.Struct, frozen=True):
    """How much was read rightly, each from 0 to 1; of nothing it is 0."""

    messages: int
    kinds: float
    whole: float
    small_talk: float  # left alone


def measured(part: str, folder: Path = FOLDER) -> dict[str, list[Read]]:
    """Read the examples of a part; by language."""
    out: dict[str, list[Read]] = {}
    for path in sorted((folder / part).glob("*.txt")):
        language = tables.language_of(path.stem)
        out.setdefault(language, []).extend(_read(*case, language) for case in tables.in_file(path))
    return out


def shares(found: list[Read]) -> Shares:
    """Say how much was read rightly."""
    return Shares(
        messages=len(found),
        kinds=_share(r.has_kinds for r in found),
        whole=_share(r.is_right for r in found),
        small_talk=_share(not r.got for r in found if not r.wanted),
    )


def misses(found: list[Read]) -> list[Read]:
    """Give what was misread, the worst first: what was made of small talk, then by what is missing or too much."""
    wrong = [r for r in found if not r.is_right]
    return sorted(wrong, key=lambda r: (bool(r.wanted), -r.kinds_apart, -r.slots_apart))


def _read(text: str, at: dt.datetime, wanted: list[dict[str, Any]], language: str) -> Read:
    return Read(text, at, wanted, READER.read(text, at=at, farm=FARM, language=language).intents)


def _share(holds: Iterable[bool]) -> float:
    all_of = list(holds)
    return sum(all_of) / len(all_of) if all_of else 0.0


def _kind_wanted(wanted: dict[str, Any]) -> str:
    return f"ask {wanted['topic'][0]}" if wanted["kind"] == ASK else str(wanted["kind"])


def _kind_got(got: Intent) -> str:
    return f"ask {got.slots['topic']}" if got.kind == ASK else got.kind


def shown(read: Read) -> str:
    """Write a misread message with what it means and what was made of it, in the form of the tables."""
    wanted = "; ".join(_line(w["kind"], {k: v[0] for k, v in w.items() if k != "kind"}) for w in read.wanted)
    got = "; ".join(_line(g.kind, {**g.slots, "at": g.at, "needs": list(g.needs) or None}) for g in read.got)
    return f"  {read.text}   ({read.at:%a %b %d %H:%M})\n    wanted  {wanted or '[]'}\n    got     {got or '[]'}"


def _line(kind: str, slots: dict[str, Any]) -> str:
    return " ".join([kind, *(f"{name}={_plain(value)}" for name, value in slots.items() if value is not None)])


def _plain(value: object) -> str:
    if isinstance(value, dt.datetime):
        return f"{value:%Y-%m-%dT%H:%M}"
    if isinstance(value, list):
        return f"[{','.join(map(str, value))}]"
    if isinstance(value, bool):
        return str(value).lower()
    text = f"{value:g}" if isinstance(value, float) else str(value)
    return f'"{text}"' if " " in text else text


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.bot.reader.score", description="Score the reader.")
    parser.add_argument("part", nargs="?", choices=PARTS)
    parser.add_argument("--misses", type=int, default=0, metavar="N", help="show the N worst misses of each part")
    options = parser.parse_args()
    print(f"{'':14}{'messages':>9}{'kinds right':>13}{'whole meaning':>15}{'small talk left alone':>23}")
    for part in [options.part] if options.part else PARTS:
        for language, found in measured(part).items():
            got = shares(found)
            figures = f"{got.kinds:>13.1%}{got.whole:>15.1%}{got.small_talk:>23.1%}"
            print(f"{part + ' ' + language:14}{got.messages:>9}{figures}")
            for miss in misses(found)[: options.misses]:
                print(shown(miss))


if __name__ == "__main__":
    main()
