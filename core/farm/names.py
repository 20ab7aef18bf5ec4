"""What things were called and are called: a renamed place is the same place, under all its names.

Bins and tubs keep their number as their key and get a nickname; a place's key is its newest name.
"""

import re
from collections.abc import Iterable

from core.journal.event import Event
from core.journal.wants import Rename

_NUMBERED = re.compile(r"[BT]\d+", re.IGNORECASE)


class Names:
    """Every name that was ever given, to the key that it stands for now."""

    def __init__(self, renames: Iterable[Rename]) -> None:
        self._places: dict[str, str] = {}
        self._numbered: dict[str, str] = {}  # nickname -> B6
        self._nicknames: dict[str, str] = {}  # B6 -> nickname
        for rename in renames:
            self._rename(rename)

    @classmethod
    def of(cls, events: Iterable[Event]) -> "Names":
        """Take the names from events in force, in the order in which they were said."""
        renames = sorted((e for e in events if isinstance(e.body, Rename)), key=lambda e: e.number)
        return cls(e.body for e in renames if isinstance(e.body, Rename))

    def _rename(self, rename: Rename) -> None:
        old, new = rename.old.casefold(), rename.new
        key = self._numbered.get(old) or (rename.old.upper() if _NUMBERED.fullmatch(rename.old) else None)
        if key is not None:
            self._numbered[new.casefold()] = key
            self._nicknames[key] = new
            return
        for alias, place in list(self._places.items()):
            if place.casefold() == old:
                self._places[alias] = new
        self._places[old] = new
        self._places[new.casefold()] = new

    def bin(self, name: str) -> tuple[str, str | None]:
        """Give a bin's key and nickname."""
        return self._numbered_key(name)

    def tub(self, name: str) -> tuple[str, str | None]:
        """Give a tub's key and nickname."""
        return self._numbered_key(name)

    def place(self, name: str) -> str:
        """Give a place's key: its newest name, as it was first written."""
        return self._places.setdefault(name.casefold(), name)

    def _numbered_key(self, name: str) -> tuple[str, str | None]:
        key = self._numbered.get(name.casefold()) or (name.upper() if _NUMBERED.fullmatch(name) else name)
        return key, self._nicknames.get(key)
