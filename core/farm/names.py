"""What things were called and are called: a renamed place is the same place, under all its names.

Bins and tubs keep their number as their key and get a nickname; the key of a place, or of a bin that never had a
number, is its newest name.
"""

import functools
import re
from collections.abc import Iterable

from core.journal.event import Event
from core.journal.wants import Rename

_NUMBERED = re.compile(r"[BT]\d+", re.IGNORECASE)


@functools.lru_cache(4096)
def is_number(name: str) -> bool:
    """Tell whether a name is a number of the farm's own, such as B1 or t12."""
    return _NUMBERED.fullmatch(name) is not None


class Names:
    """Every name that was ever given, to the key that it stands for now."""

    def __init__(self, renames: Iterable[Rename]) -> None:
        self._worded: dict[str, str] = {}
        self._numbered: dict[str, str] = {}  # nickname -> B6
        self._nicknames: dict[str, str] = {}  # B6 -> nickname
        for rename in renames:
            self._rename(rename)

    @classmethod
    def of(cls, events: Iterable[Event]) -> "Names":
        """Take the names from events in force, in the order in which they were said."""
        renames = sorted((e for e in events if isinstance(e.body, Rename)), key=lambda e: e.number)
        return cls(e.body for e in renames if isinstance(e.body, Rename))

    def copy(self) -> "Names":
        """Give the same names, to go on with."""
        found = Names(())
        found._worded, found._numbered, found._nicknames = (
            self._worded.copy(),
            self._numbered,  # these two stay as the renames have made them
            self._nicknames,
        )
        return found

    def _rename(self, rename: Rename) -> None:
        old, new = rename.old.casefold(), rename.new
        key = self._numbered.get(old) or (rename.old.upper() if is_number(rename.old) else None)
        if key is not None:
            self._numbered[new.casefold()] = key
            self._nicknames[key] = new
            return
        for alias, known in list(self._worded.items()):
            if known.casefold() == old:
                self._worded[alias] = new
        self._worded[old] = new
        self._worded[new.casefold()] = new

    def bin(self, name: str) -> tuple[str, str | None]:
        """Give a bin's key and nickname."""
        return self._numbered_key(name)

    def tub(self, name: str) -> tuple[str, str | None]:
        """Give a tub's key and nickname."""
        return self._numbered_key(name)

    def place(self, name: str) -> str:
        """Give a place's key: its newest name, as it was first written."""
        return self._worded.setdefault(name.casefold(), name)

    def others(self) -> dict[str, str]:
        """Give the names that something else than its key goes by: earlier names, and every nickname."""
        return self._numbered | {alias: key for alias, key in self._worded.items() if alias != key.casefold()}

    def _numbered_key(self, name: str) -> tuple[str, str | None]:
        key = self._numbered.get(name.casefold()) or (name.upper() if is_number(name) else self.place(name))
        return key, self._nicknames.get(key)
