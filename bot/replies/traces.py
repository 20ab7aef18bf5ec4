"""A lot in words and as a table: where crickets come from, what they ate, how warm they had it, what befell them.

Not for finding it out: core.farm.lineage.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from bot.replies.recorded import recorded_line
from bot.replies.records import written
from bot.replies.voice import Voice
from core.farm.farm import Sale
from core.farm.lineage import Lineage
from core.farm.settings import tzinfo_of
from core.journal import codec, facts
from core.journal.event import Event

COLUMNS = ("happened_at", "kind", "told", "by", "number")
SALES = ("sold_at", "customer", "crickets", "size", "mass_g", "bin", "may_be_of_tubs", "price", "currency", "by")
STORES = ("at", "what", "item", "count", "mass_g", "volume_ml", "price", "currency", "by")
MOST_SALES = 6
MOST_FEEDS = 5


def sale_line(voice: Voice, sale: Sale) -> str:
    """Name a sale."""
    who = voice.subject(sale.who or voice.say("wanted.someone"))
    what = voice.crickets(sale.count, sale.size)
    key = "trace.sale" if sale.bin is not None else "trace.sale_no_bin"
    return voice.say(key, who=who, day=voice.day(sale.at), what=what, bin=voice.bin(sale.bin or ""))


def told(voice: Voice, found: Lineage) -> str:
    """Say where crickets come from, a line a step back."""
    lines = [*_bins(voice, found), *_origin(voice, found)]
    return "\n".join(lines or [voice.say("trace.nothing")])


def _bins(voice: Voice, found: Lineage) -> Iterator[str]:
    if found.bins:
        came = [e for e in found.steps if isinstance(e.body, facts.Stocked | facts.Moved)]
        since = voice.say("trace.since", day=voice.day(came[0].happened_at)) if came else ""
        yield voice.say("trace.bins", n=len(found.bins), bins=voice.subject(voice.bins(found.bins)), since=since)
    feeds = Counter(e.body.feed or voice.say("stock.feed") for e in found.steps if isinstance(e.body, facts.Fed))
    if feeds:
        named = voice.listed([name for name, _ in feeds.most_common(MOST_FEEDS)])
        yield voice.say("trace.fed", n=feeds.total(), feeds=named[:1].lower() + named[1:])
    yield from _warmth(voice, [e for e in found.steps if isinstance(e.body, facts.Reading) and e.body.bin])
    dead = sum(e.body.count or 0 for e in found.steps if isinstance(e.body, facts.Dead))
    if dead:
        yield voice.say("trace.dead", count=voice.number(dead))
    for entry in found.steps:
        if isinstance(entry.body, facts.Problem | facts.Mold):
            line = recorded_line(voice, voice.farm, entry).split("\n")[0].rstrip(".")
            yield voice.say("trace.trouble", line=line, day=voice.day(entry.happened_at))


def _warmth(voice: Voice, readings: Sequence[Event]) -> Iterator[str]:
    bodies = [e.body for e in readings if isinstance(e.body, facts.Reading)]
    figures = [t for b in bodies for t in (b.temp_c, b.low_c, b.high_c) if t is not None]
    if figures:
        low, high = voice.temp(min(figures)), voice.temp(max(figures))
        span = low if low == high else voice.say("trace.span", low=low, high=high)
        yield voice.say("trace.readings", n=len(bodies), span=span)


def _origin(voice: Voice, found: Lineage) -> Iterator[str]:
    if len(found.tubs) > 1:
        yield voice.say("trace.one_of", tubs=voice.tubs(found.tubs))
    elif not found.tubs:
        yield voice.say("trace.no_tub")
    for name in found.tubs:
        tub = voice.farm.tubs.find(name)
        if tub is None:
            continue
        parts = [voice.say("trace.laid", bin=voice.bin(tub.bin))] if tub.bin is not None else []
        parts += [voice.say("trace.pulled", day=voice.day(tub.pulled_at))] if tub.pulled_at is not None else []
        parts += [voice.say("trace.at", where=voice.at_place(place)) for _, place in tub.placements[-1:]]
        parts += [voice.say("trace.hatched", day=voice.day(tub.hatch_at))] if tub.hatch_at is not None else []
        yield voice.say("trace.tub", tub=voice.subject(voice.tub(name)), parts=", ".join(parts))
        yield from _warmth(voice, [e for e in found.steps if isinstance(e.body, facts.Reading) and not e.body.bin])


def table(voice: Voice, found: Lineage) -> str:
    """Give all that was told of a lot as a table, by time."""
    zone = tzinfo_of(voice.farm.settings.timezone)
    rows = (
        (
            entry.happened_at.astimezone(zone).isoformat(timespec="seconds"),
            codec.kind_of(entry.body),
            recorded_line(voice, voice.farm, entry).replace("\n", " "),
            entry.by,
            str(entry.number),
        )
        for entry in found.steps
    )
    return written(COLUMNS, rows)


def sales_table(voice: Voice, sales: Iterable[Event]) -> str:
    """Give sales as a table, by time."""
    known = {sale.number: sale for sale in voice.farm.sales}
    return written(
        SALES, (_sale(voice, e, e.body, known.get(e.number)) for e in sales if isinstance(e.body, facts.Sold))
    )


def _sale(voice: Voice, entry: Event, body: facts.Sold, sale: Sale | None) -> tuple[str, ...]:
    at = entry.happened_at.astimezone(tzinfo_of(voice.farm.settings.timezone)).isoformat(timespec="seconds")
    price = sale.price if sale is not None else body.price
    return (
        at, body.who or "", _cell(body.count), body.size or "", _cell(body.mass_g), body.bin or "",
        " ".join(sale.tubs) if sale is not None else "", _cell(price), voice.farm.settings.currency if price else "",
        entry.by,
    )  # fmt: skip


def stores_table(voice: Voice, entries: Iterable[Event]) -> str:
    """Give what was bought, and what was used as far as it was weighed, as a table, by time."""
    return written(STORES, (row for e in entries for row in _store(voice, e)))


def _store(voice: Voice, entry: Event) -> Iterator[tuple[str, ...]]:
    at = entry.happened_at.astimezone(tzinfo_of(voice.farm.settings.timezone)).isoformat(timespec="seconds")
    match entry.body:
        case facts.Bought() as bought:
            price = bought.price
            if bought.price_each is not None and bought.count is not None:
                price = bought.price_each * bought.count
            figures = (_cell(bought.count), _cell(bought.mass_g), _cell(bought.volume_ml), _cell(price))
            yield (at, "bought", bought.item, *figures, voice.farm.settings.currency if price else "", entry.by)
        case facts.Fed() as fed:
            yield (at, "fed", fed.feed or "feed", "", _cell(fed.mass_g), "", "", "", entry.by)
        case facts.TrayIn() as tray:
            yield (at, "lay tray set", tray.substrate or "substrate", "1", "", "", "", "", entry.by)
        case _:
            return


def _cell(figure: float | None) -> str:
    return "" if figure is None else f"{figure:g}" if abs(figure) < 1e6 else f"{figure:.2f}"
