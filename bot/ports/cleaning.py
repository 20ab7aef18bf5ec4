"""Text without what nobody sees: each channel puts it through here, both ways.

Not for escaping markup: each channel has its own.
"""

import re
import unicodedata

_LINE_ENDS = re.compile("\r\n|[\r\x0b\x0c\x85\u2028\u2029]")
# Marks that turn the direction of writing, and marks without width that break words apart; not the joiner of emoji.
_UNSEEN = frozenset("\u061c\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2066\u2067\u2068\u2069\ufeff")


def clean(text: str, *, kept: frozenset[str] = frozenset()) -> str:
    """Take out control characters but line ends, marks of direction, halves of characters; a tab becomes a space."""
    text = _LINE_ENDS.sub("\n", text).replace("\t", " ")
    return "".join(letter for letter in text if letter == "\n" or letter in kept or _is_seen(letter))


def _is_seen(letter: str) -> bool:
    return unicodedata.category(letter) not in ("Cc", "Cs") and letter not in _UNSEEN
