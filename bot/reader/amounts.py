"""Fills the slots that hold figures: counts, masses, sizes, prices, temperatures, humidity.

Not for finding numbers and units in the text: figures does that.
"""

from typing import Any

from bot.reader.scene import View
from bot.reader.tokens import Token
from core import units
from core.units import TemperatureUnit

# A bare figure is in the farm's unit unless only the other makes sense where crickets live.
CELSIUS_SENSE = (15.0, 45.0)  # as Fahrenheit, so much is near frost
FAHRENHEIT_FROM = 50.0  # as Celsius, so much kills


def count(view: View) -> float | None:
    """Fill `count`."""
    counted = [t for t in view.numbers() if not _is_price(view, t) and "<fraction>" not in t.tags]
    return counted[0].value if counted else None


def hatch_count(view: View) -> float | None:
    """Fill the count of a hatch."""
    return count(view)


def mass(view: View) -> float | None:
    """Fill `mass_g`."""
    return _first(view, "<mass>")


def volume(view: View) -> float | None:
    """Fill `volume_ml`."""
    return _first(view, "<volume>")


def _first(view: View, tag: str) -> Any | None:  # noqa: ANN401
    tokens = view.chunks(tag)
    return tokens[0].value if tokens else None


def size(view: View) -> str | None:
    """Fill `size`."""
    exact = _first(view, "<size>")
    return exact if exact is not None else _first(view, "<sizeword>")


def price(view: View) -> float | None:
    """Fill `price`: what was paid in all."""
    token = _money(view)
    return None if token is None or _is_each(view, token) else token.value


def price_each(view: View) -> float | None:
    """Fill `price_each`."""
    token = _money(view)
    return token.value if token is not None and _is_each(view, token) else None


def _money(view: View) -> Token | None:
    signed = view.chunks("<money>")
    return signed[0] if signed else next((t for t in view.numbers() if _is_price(view, t)), None)


def _is_price(view: View, token: Token) -> bool:
    if view.act.kind not in ("sold", "bought"):
        return False
    before = view.before(token)
    if before is None or before.text not in view.book.word_sets["price"]:
        return False
    after = view.after(token)
    return after is None or (not after.tags & {"<size>", "<sizeword>", "<mass>"} and "@crickets" not in after.tags)


def _is_each(view: View, token: Token) -> bool:
    after = view.after(token)
    return after is not None and after.text in view.book.word_sets["each"]


def figures_of(view: View) -> dict[str, float]:
    """Fill the figures of a reading: temp_c, or low_c and high_c, and rh."""
    out: dict[str, float] = {}
    rh = humidity(view)
    if rh is not None:
        out["rh"] = rh[0]
    temps = [t for t in view.chunks("<n>") if rh is None or t is not rh[1]]
    values = [(t, *_degrees(t)) for t in temps]
    bounds = _bounds(view, values)
    unit = unit_of(view, values)
    if bounds is not None:
        out |= {slot: round(units.to_celsius(v, unit), 1) for slot, v in bounds.items()}
    elif values:
        out["temp_c"] = round(units.to_celsius(values[0][1], unit), 1)
    return out


def _degrees(token: Token) -> tuple[float, str | None]:
    if "<temp>" in token.tags:
        return float(token.value[0]), token.value[1]
    return float(token.value), None


def unit_of(view: View, values: list[tuple[Token, float, str | None]]) -> TemperatureUnit:
    """Say which unit figures are in: as said, else the farm's unless only the other makes sense."""
    said = next((unit for _, _, unit in values if unit), None)
    if said is not None:
        return TemperatureUnit(said)
    own = view.scene.farm.settings.units
    top = max((v for _, v, _ in values), default=0.0)
    if own is TemperatureUnit.FAHRENHEIT and CELSIUS_SENSE[0] <= top <= CELSIUS_SENSE[1]:
        return TemperatureUnit.CELSIUS
    if own is TemperatureUnit.CELSIUS and FAHRENHEIT_FROM < top < WARMEST_F:
        return TemperatureUnit.FAHRENHEIT
    return own


WARMEST_F = 150.0  # beyond it a figure is a slip in any unit


def _bounds(view: View, values: list[tuple[Token, float, str | None]]) -> dict[str, float] | None:
    low = next((v for t, v, _ in values if _is_called(view, t, "@low")), None)
    high = next((v for t, v, _ in values if _is_called(view, t, "@high")), None)
    if low is not None or high is not None:
        return {slot: v for slot, v in (("low_c", low), ("high_c", high)) if v is not None}
    if len(values) == 2 and values[0][1] != values[1][1]:
        first, second = sorted(v for _, v, _ in values)
        return {"low_c": first, "high_c": second}
    return None


def _is_called(view: View, token: Token, tag: str) -> bool:
    for steps in (1, 2):
        before = view.before(token, steps)
        if before is None or "<n>" in before.tags:
            return False
        if tag in before.tags:
            return True
    after = view.after(token)
    return after is not None and tag in after.tags and not _leads_number(view, after)


def _leads_number(view: View, word: Token) -> bool:
    at = view.tokens.index(word)
    return any("<n>" in t.tags for t in view.tokens[at + 1 : at + 3])


def humidity(view: View) -> tuple[float, Token] | None:
    """Find the humidity: a percentage, or a number beside a word for it."""
    percent = view.chunks("<rh>")
    if percent:
        return percent[0].value, percent[0]
    for word in view.chunks("@humidity"):
        at = view.tokens.index(word)
        for token in (*view.tokens[at + 1 : at + 7], *reversed(view.tokens[max(at - 2, 0) : at])):
            if "<n>" in token.tags:
                if "<number>" in token.tags and token.value <= 100:
                    return token.value, token
                break
    return None
