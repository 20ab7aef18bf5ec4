"""The languages that it speaks: the sentences and word lists of each, as its files in wording/ have them.

Not for filling them in: that is voice. Not for who is spoken to in which: the assistant decides that.
"""

import tomllib
from collections.abc import Iterator
from functools import lru_cache
from importlib import resources

from bot.ports.messages import DEFAULT_LANGUAGE

_FILES = ("{}.toml", "howto_{}.toml")


class Wording:
    """The sentences of one language."""

    def __init__(self, language: str) -> None:
        folder = resources.files("bot.replies") / "wording"
        self._texts: dict[str, str | list[str]] = {}
        for name in _FILES:
            file = folder / name.format(language)
            self._flatten("", tomllib.loads(file.read_text(encoding="utf-8")))

    def _flatten(self, prefix: str, table: dict[str, object]) -> None:
        for key, value in table.items():
            if isinstance(value, dict):
                self._flatten(f"{prefix}{key}.", value)
            elif isinstance(value, list):
                self._texts[prefix + key] = [str(v) for v in value]
            else:
                self._texts[prefix + key] = str(value)

    def __contains__(self, key: str) -> bool:
        return key in self._texts

    def __iter__(self) -> Iterator[str]:
        """Give the keys."""
        return iter(self._texts)

    def text(self, key: str) -> str:
        """Give a sentence with its fields unfilled."""
        found = self._texts[key]
        return found if isinstance(found, str) else "".join(found)

    def words(self, key: str) -> list[str]:
        """Give a list of words."""
        found = self._texts[key]
        return found if isinstance(found, list) else [found]


@lru_cache(maxsize=1)
def languages() -> tuple[str, ...]:
    """Give the codes of the languages that there are sentences of, the default one first."""
    folder = resources.files("bot.replies") / "wording"
    names = (file.name for file in folder.iterdir() if file.name.endswith(".toml") and "_" not in file.name)
    codes = sorted(name.removesuffix(".toml") for name in names)
    return tuple(sorted(codes, key=lambda code: code != DEFAULT_LANGUAGE))


@lru_cache(maxsize=8)
def wording(language: str) -> Wording:
    """Give the wording of a language, or of the default one where there is none."""
    return Wording(language if language in languages() else DEFAULT_LANGUAGE)


def own_names() -> list[str]:
    """Give each language's name as those who speak it call it."""
    return [wording(code).text("language.name") for code in languages()]


def typed_words(key: str) -> frozenset[str]:
    """Give the words of a list in every language: a person may type in another one than they are answered in."""
    return frozenset(word for code in languages() for word in wording(code).words(key))
