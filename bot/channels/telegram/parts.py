"""A text as Telegram takes it: in parts of bounded length, in its HTML.

Length is counted as Telegram counts, in UTF-16 code units after the markup has been read.
"""

import html
import itertools

import msgspec

from bot.ports.messages import BOLD_OFF, BOLD_ON

LONGEST = 4096  # UTF-16 code units, https://core.telegram.org/bots/api#sendmessage
BREAKS = ("\n\n", "\n", " ")  # where a long text is parted, the best first


class Part(msgspec.Struct, frozen=True, kw_only=True):
    """One message's worth of text."""

    plain: str
    html: str


def parts(text: str, longest: int = LONGEST) -> list[Part]:
    """Cut a text with marks for bold into parts; a bold passage goes on across a cut."""
    plain, bold = _read(text)
    cut = []
    start = _next_letter(plain, 0)
    while start < len(plain):
        end = start + _fit(plain[start:], longest)
        if end < len(plain):
            end = start + _break(plain[start : end + 1])
        cut.append(_part(plain[start:end], bold[start:end]))
        start = _next_letter(plain, end)
    return cut or [Part(plain="", html="")]


def _read(text: str) -> tuple[str, list[bool]]:
    """Part the letters from the marks: for each letter whether it is bold."""
    letters, bold, is_bold = [], [], False
    for letter in text:
        if letter in (BOLD_ON, BOLD_OFF):
            is_bold = letter == BOLD_ON
            continue
        letters.append(letter)
        bold.append(is_bold)
    return "".join(letters), bold


def _next_letter(text: str, start: int) -> int:
    """Pass over white space, which Telegram takes out at both ends of a message."""
    while start < len(text) and text[start].isspace():
        start += 1
    return start


def _fit(text: str, longest: int) -> int:
    """Count the letters that fit."""
    if len(text) * 2 <= longest:
        return len(text)
    units = itertools.accumulate(2 if ord(letter) > 0xFFFF else 1 for letter in text[: longest + 1])
    return sum(1 for total in units if total <= longest)


def _break(text: str) -> int:
    """Find the best place to part a text; the last letter is the first that no longer fits."""
    for mark in BREAKS:
        place = text.rfind(mark)
        if place > 0 and text[:place].strip():
            return place
    return len(text) - 1


def _part(plain: str, bold: list[bool]) -> Part:
    plain_end = len(plain.rstrip())
    marked = []
    for is_bold, run in itertools.groupby(
        zip(plain[:plain_end], bold[:plain_end], strict=True), key=lambda pair: pair[1]
    ):
        passage = html.escape("".join(letter for letter, _ in run), quote=False)
        marked.append(f"<b>{passage}</b>" if is_bold else passage)
    return Part(plain=plain[:plain_end], html="".join(marked))
