"""Figures: number words, fractions, and quantities with their units, as chunks.

Not for times of day (times) nor for what a bare number counts (frames).
"""

from collections.abc import Callable, Sequence
from typing import Any

from bot.reader import halves
from bot.reader.book import Book
from bot.reader.tokens import CHUNK, MARK, NUMBER, WORD, Token
from core import units
from core.units import SizeGrade

WARM = (15, 130)  # degrees of either unit: a number outside is not taken for a temperature unless the words say so
_NUMBER = frozenset(("<number>", "<n>"))
_FRACTION = frozenset(("<number>", "<n>", "<fraction>"))
GRADES_IN_INCHES = {
    SizeGrade.EIGHTH: 1 / 8, SizeGrade.QUARTER: 1 / 4, SizeGrade.THREE_EIGHTHS: 3 / 8, SizeGrade.HALF: 1 / 2,
    SizeGrade.FIVE_EIGHTHS: 5 / 8, SizeGrade.THREE_QUARTERS: 3 / 4, SizeGrade.INCH: 1.0,
}  # fmt: skip


def span(tokens: Sequence[Token], start: int, end: int, sort: str, value: Any, *more: str) -> Token:  # noqa: ANN401
    """Make one chunk of the tokens from start up to end."""
    text = " ".join(t.text for t in tokens[start:end])
    tags = frozenset((f"<{sort}>", *more))
    first = tokens[start]
    return Token(text, first.start, tokens[end - 1].end, CHUNK, tags, value, first.is_glued)


def number_words(tokens: list[Token], book: Book) -> list[Token]:
    """Put one number in the place of the words for it: "two hundred", "three eighths", "1.5k", "half a dozen"."""
    out: list[Token] = []
    tokens = _signed(tokens, book)
    i = 0
    while i < len(tokens):
        is_name = bool(out) and not out[-1].tags.isdisjoint(("@bin", "@tub", "@tray", "@numbersign"))
        found = (None if is_name else _fraction(tokens, i, book)) or _amount(tokens, i, book, is_name=is_name)
        if found is None:
            out.append(tokens[i])
            i += 1
            continue
        token, i = found
        if out and out[-1].text in book.word_sets["minus"] and token.kind == NUMBER:
            sign = out.pop()
            token = Token(f"-{token.text}", sign.start, token.end, NUMBER, token.tags, -token.value)
        out.append(token)
        halves.join(out, book)
    return out


def _signed(tokens: Sequence[Token], book: Book) -> list[Token]:
    """Put a minus sign and its number together."""
    out: list[Token] = []
    for token in tokens:
        sign = out[-1] if out else None
        is_minus = sign is not None and (
            (sign.text == "-" and not sign.is_glued and token.is_glued) or sign.text in book.word_sets["minus"]
        )
        if sign is not None and is_minus and token.kind == NUMBER and "<number>" in token.tags:
            out[-1] = Token(f"-{token.text}", sign.start, token.end, NUMBER, token.tags, -token.value)
        else:
            out.append(token)
    return out


def _value(token: Token, table: dict[str, float]) -> float | None:
    return table.get(token.text) if token.kind == WORD else None


def _small(tokens: Sequence[Token], i: int, book: Book) -> tuple[float, int] | None:
    numbers = book.data["numbers"]
    value = _value(tokens[i], numbers) if i < len(tokens) else None
    if value is None:
        return None
    rest = _small(tokens, i + 1, book) if value >= 100 else None  # "doscientos cincuenta"
    if rest is not None and rest[0] < 100:
        return value + rest[0], rest[1]
    if value >= 20 and i + 1 < len(tokens):
        joins = tokens[i + 1].text in book.word_sets.get("tens_joint", ()) and i + 2 < len(tokens)
        ones = _value(tokens[i + 2], book.data["ones"]) if joins else _value(tokens[i + 1], numbers)
        if ones is not None and ones < 10:
            return value + ones, i + 3 if joins else i + 2
    return value, i + 1


def _amount(tokens: list[Token], i: int, book: Book, *, is_name: bool) -> tuple[Token, int] | None:
    scales = book.data["scales"]
    first = tokens[i]
    is_article = first.text in book.word_sets["articles"]
    at = i + 1 if is_article and i + 1 < len(tokens) and tokens[i + 1].text in scales else i
    if at == i and is_article and _is_unit(tokens, i + 1, book):
        return Token(first.text, first.start, first.end, NUMBER, _NUMBER, 1), i + 1
    ordinal = _ordinal_mark(tokens, i, book)
    if ordinal is not None:
        return ordinal
    parts: tuple[float, ...] = ()
    if first.kind == NUMBER and "<number>" in first.tags:
        total, end = first.value, i + 1
    elif (
        tokens[at].text in scales
        and tokens[at].kind == WORD
        and (at > i or tokens[at].text not in book.word_sets["glued_scales"])
    ):
        total, end = 1, at
    else:
        small = _small(tokens, i, book)
        if small is None:
            return None
        total, end, parts = _spoken(tokens, small, book, is_name=is_name)
    total, end = _scaled(tokens, total, end, book)
    if end == i + 1 and first.kind == NUMBER:
        return None
    tags = _NUMBER | ({"<spoken>"} if parts else set()) | ({"<two>"} if total == 2 else set())
    return Token(" ".join(t.text for t in tokens[i:end]), first.start, tokens[end - 1].end, NUMBER, tags, total), end


def _spoken(
    tokens: Sequence[Token], small: tuple[float, int], book: Book, *, is_name: bool
) -> tuple[float, int, tuple[float, ...]]:
    total, end = small
    second = None if is_name else _small(tokens, end, book)
    if end + 1 < len(tokens) and tokens[end].text in book.word_sets["point"]:
        tenth = _small(tokens, end + 1, book)
        if tenth is not None and tenth[0] < 10:
            return total + tenth[0] / 10, tenth[1], ()
    if second is not None and 1 <= total <= 24 and 10 <= second[0] <= 99:
        return total * 100 + second[0], second[1], (total, second[0])
    return total, end, ()


def _scaled(tokens: Sequence[Token], total: float, end: int, book: Book) -> tuple[float, int]:
    scales = book.data["scales"]
    while end < len(tokens) and tokens[end].kind == WORD and tokens[end].text in scales:
        if tokens[end].text in book.word_sets["glued_scales"] and not tokens[end].is_glued:
            break
        scale = scales[tokens[end].text]
        total, end = total * scale, end + 1
        if end < len(tokens) and tokens[end].text in book.word_sets["of"]:
            end += 1
        rest = end + 1 if end < len(tokens) and tokens[end].text in book.word_sets["and"] else end
        small = _small(tokens, rest, book)
        if small is not None and scale >= 100:
            more, after = _scaled(tokens, small[0], small[1], book) if scale > 100 else small
            if more < scale:
                total, end = total + more, after
    return (int(total) if float(total).is_integer() else total), end


def _ordinal_mark(tokens: Sequence[Token], i: int, book: Book) -> tuple[Token, int] | None:
    following = tokens[i + 1] if i + 1 < len(tokens) else None
    if (
        following is None
        or tokens[i].kind != NUMBER
        or not following.is_glued
        or following.text not in book.word_sets["ordinal_endings"]
    ):
        return None
    text = "first" if tokens[i].value == 1 else f"{tokens[i].text}{following.text}"
    return Token(text, tokens[i].start, following.end, WORD, frozenset(("<ordinal>", text)), tokens[i].value), i + 2


def _is_unit(tokens: Sequence[Token], i: int, book: Book) -> bool:
    return i < len(tokens) and tokens[i].kind == WORD and tokens[i].text in book.units


def _fraction(tokens: list[Token], i: int, book: Book) -> tuple[Token, int] | None:
    """Read "half an", "three quarters of an", "three eighths"; an ordinal ("ninth", "twenty fifth") too."""
    parts = book.data["fractions"]
    first = tokens[i]
    over, at = 1.0, i
    number = _value(first, book.data["numbers"])
    if number is None and first.kind == NUMBER and isinstance(first.value, int):
        number = first.value
    if number is not None and number < 10 and i + 1 < len(tokens) and _is_counted_part(tokens[i + 1].text, parts):
        over, at = number, i + 1
    under = parts.get(tokens[at].text) if tokens[at].kind == WORD else None
    if under is None:
        return _ordinal(tokens, i, book)
    end = at + 1
    while end < len(tokens) and tokens[end].text in book.word_sets["articles"] | book.word_sets["of"]:
        end += 1
    unit = _is_unit(tokens, end, book) or (end < len(tokens) and tokens[end].text in book.word_sets["counts"])
    if not unit and not (at > i and tokens[at].text in book.word_sets["counted_parts"]):
        return None
    end = end if unit else at + 1
    token = Token(first.text, first.start, tokens[end - 1].end, NUMBER, _FRACTION, over / under)
    if unit and tokens[end].text in book.word_sets["counts"]:
        token.value = int(token.value * book.data["scales"][tokens[end].text])
        token.tags, token.end, end = _NUMBER, tokens[end].end, end + 1
    return token, end


def _is_counted_part(word: str, parts: dict[str, int]) -> bool:
    return word in parts and parts[word] != 2  # nobody says "three halfs"


def _ordinal(tokens: Sequence[Token], i: int, book: Book) -> tuple[Token, int] | None:
    ordinals: dict[str, int] = book.data["ordinals"]
    first = tokens[i]
    if first.kind != WORD:
        return None
    tens = book.data["numbers"].get(first.text, 0)
    if tens in (20, 30) and i + 1 < len(tokens) and 0 < ordinals.get(tokens[i + 1].text, 0) < 10:
        value = int(tens) + ordinals[tokens[i + 1].text]
        text = f"{first.text} {tokens[i + 1].text}"
        return Token(text, first.start, tokens[i + 1].end, WORD, frozenset(("<ordinal>", text)), value), i + 2
    if first.text in ordinals:
        tags = book.tags(first.text) | {"<ordinal>"}
        return Token(first.text, first.start, first.end, WORD, tags, ordinals[first.text]), i + 1
    return None


def quantities(tokens: list[Token], book: Book) -> list[Token]:
    """Put one chunk in the place of a number with its unit, and of a size word."""
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        end = _quantity(tokens, i, book, out) or _worded(tokens, i, book, out)
        if end is None:
            out.append(_marked(tokens[i]))
            end = i + 1
        _put_together(out, book)
        i = end
    return out


def _put_together(out: list[Token], book: Book) -> None:
    """Make "an hour and 30 minutes" one length of time."""
    if len(out) < 2 or "<duration>" not in out[-1].tags or out[-1].value[1] != "minute":
        return
    before = -3 if out[-2].text in book.word_sets["and"] and len(out) > 2 else -2
    if "<duration>" in out[before].tags and out[before].value[1] == "hour":
        minutes = out[before].value[0] * 60 + out[-1].value[0]
        out[before:] = [span(out, len(out) + before, len(out), "duration", (minutes, "minute"))]


def _marked(token: Token) -> Token:
    """Mark a bare number that can be a temperature where crickets live."""
    if token.kind == NUMBER and "<number>" in token.tags and WARM[0] <= token.value <= WARM[1]:
        token.tags |= {"<plausible>"}
    return token


def _quantity(tokens: list[Token], i: int, book: Book, out: list[Token]) -> int | None:
    """Read a number and the unit behind it, or a currency sign before it."""
    signed = tokens[i].text in book.units and book.units[tokens[i].text]["sort"] == "money" and i + 1 < len(tokens)
    if signed and tokens[i + 1].kind == NUMBER and tokens[i].kind != WORD:
        out.append(span(tokens, i, i + 2, "money", float(tokens[i + 1].value)))
        return i + 2
    if tokens[i].kind != NUMBER or "<number>" not in tokens[i].tags:
        return None
    number, at = tokens[i].value, i + 1
    is_part = isinstance(number, float) and number < 1
    if _is_mixed(tokens, i, book):
        number, at, is_part = number + tokens[i + 1].value, i + 2, True
    of_unit = book.word_sets["of"] | book.word_sets["degrees"] | book.word_sets["more"]
    while at < len(tokens) and at < i + 3 and (tokens[at].text == "-" or tokens[at].text in of_unit):
        at += 1
    unit = book.units.get(tokens[at].text) if at < len(tokens) else None
    if unit is not None and _fits(tokens, i, at, unit, book, is_part=is_part):
        chunk = _with_unit(number, unit, tokens[at + 1].text if at + 1 < len(tokens) else "", book)
        chunk += ("@container",) if number == 1 and unit["sort"] == "volume" and tokens[i].kind != MARK else ()
        out.append(span(tokens, i, at + 1, *chunk))
        return at + 1
    if at > i + 1 and tokens[at - 1].text in book.word_sets["degrees"]:
        out.append(span(tokens, i, at, "temp", (number, None), "<n>"))
        return at
    grade = grade_of(number) if is_part and not _is_mixed(tokens, i, book) else None
    if (
        grade is not None
        and abs(GRADES_IN_INCHES[grade] - number) < 0.001
        and ("/" in tokens[i].text or "<fraction>" in tokens[i].tags)
    ):
        out.append(span(tokens, i, i + 1, "size", str(grade), "<fraction>"))
        return i + 1
    return None


def _with_unit(number: float, unit: dict[str, Any], following: str, book: Book) -> tuple[Any, ...]:
    """Give sort and value of a quantity; "3 cm deep" is no size of crickets, "5c each" no temperature."""
    if following in book.word_sets["depths"]:
        return ("length", number)
    is_price = unit["sort"] == "temp" and following in book.word_sets["each"]
    unit = book.units.get("cent", unit) if is_price else unit
    return _MAKERS[unit["sort"]](number, unit)


def _is_mixed(tokens: Sequence[Token], i: int, book: Book) -> bool:
    """Say whether a whole number and a fraction stand together: "1 1/2" pounds, but not 300 "1/2 inch"."""
    value = tokens[i].value
    if i + 2 >= len(tokens) or not isinstance(value, int) or value > 12 or tokens[i + 1].kind != NUMBER:
        return False
    is_fraction = isinstance(tokens[i + 1].value, float) and tokens[i + 1].value < 1
    return is_fraction and tokens[i + 2].text not in book.word_sets["inches"]


def _fits(tokens: Sequence[Token], i: int, at: int, unit: dict[str, Any], book: Book, *, is_part: bool) -> bool:
    word = tokens[at].text
    following = tokens[at + 1] if at + 1 < len(tokens) else None
    if word in book.word_sets["in"]:
        is_place = following is not None and not following.tags.isdisjoint(
            ("<bin>", "<tub>", "<place>", "@bin", "@tub")
        )
        return is_part and not is_place and not (following is not None and following.text in book.word_sets["mine"])
    if word == '"':
        return is_part or tokens[i].value == 1
    if unit.get("glued"):
        return tokens[at].is_glued
    if "@low" in tokens[at].tags and following is not None and following.kind == NUMBER:  # "max 91 min 70"
        return False
    is_letter = unit["sort"] == "temp" and word in ("f", "c")
    return not (is_letter and following is not None and following.is_glued and following.kind != MARK)


def grade_of(inches: float) -> SizeGrade | None:
    """Name the size grade that a length is nearest to."""
    if not 0 < inches <= 1.5:
        return None
    return min(GRADES_IN_INCHES, key=lambda g: abs(GRADES_IN_INCHES[g] - inches))


def _plain(value: float) -> float:
    return round(value) if value >= 10 or float(value).is_integer() else round(value, 2)


def _length(number: float, unit: dict[str, Any]) -> tuple[Any, ...]:
    grade = grade_of(number * unit["factor"] / units.MM_PER_INCH)
    return ("size", str(grade)) if grade else ("length", number)


_MAKERS: dict[str, Callable[[float, dict[str, Any]], tuple[Any, ...]]] = {
    "mass": lambda n, u: ("mass", _plain(n * u["factor"])),
    "volume": lambda n, u: ("volume", _plain(n * u["factor"])),
    "money": lambda n, u: ("money", round(n * u.get("factor", 1.0), 4)),
    "temp": lambda n, u: ("temp", (n, u["unit"]), "<n>"),
    "rh": lambda n, u: ("rh", n),
    "length": _length,
    "duration": lambda n, u: ("duration", (n * u.get("factor", 1), u["unit"])),
}


def _worded(tokens: list[Token], i: int, book: Book, out: list[Token]) -> int | None:
    """Read a size that is a word: pinheads, adults."""
    grade = book.data["size_words"].get(tokens[i].text)
    if grade is None or tokens[i].kind != WORD:
        return None
    out.append(Token(tokens[i].text, tokens[i].start, tokens[i].end, WORD, tokens[i].tags | {"<sizeword>"}, grade))
    return i + 1
