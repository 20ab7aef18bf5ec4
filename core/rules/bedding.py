"""How much is left of what is used up by the tray or the bin: substrate, lime, egg cartons.

Not for feed: that is stock. Not for moisture.
"""

import datetime as dt
from collections.abc import Callable, Iterator

import msgspec

from core.farm.farm import Farm
from core.farm.stores import Purchase
from core.rules.eggs import CONTAINER_CM2
from core.rules.supplies import Article, supply_of

TRAY_DEPTH_CM = 5.0  # a guess; females lay about 1 cm deep, and what is deeper dries slower
TRAY_ML = CONTAINER_CM2 * TRAY_DEPTH_CM
LIME_G = 5.0  # a pinch for a tray: a guess
CARTONS = 8  # fresh ones for a bin that is cleaned: a guess, as many as core.rules.space gives a bin
COIR_BRICK_G = 650.0  # the usual brick
ML_PER_G_COIR = 14.0  # of damp coir from dry: makers' figures of 9 L a brick, from memory
ML_PER_G_OTHER = 4.0  # a guess, for peat as it is bagged
PACE_OVER = dt.timedelta(days=28)
SHORTEST_PACE = dt.timedelta(days=7)


class BeddingLeft(msgspec.Struct, frozen=True, kw_only=True):
    """How far something reaches."""

    supply: Article
    item: str  # as it was called when it was bought last
    bought_at: dt.datetime  # last
    uses: int | None  # trays, or bins to clean, that it is left for; None: nobody said how much was bought
    amount: float  # for one of them: ml, g or pieces
    lasts_until: dt.datetime | None  # at the pace of the last weeks; None: none was used
    used_up_at: dt.datetime | None


def bedding_left(farm: Farm, now: dt.datetime) -> Iterator[BeddingLeft]:
    """Give what is left of each that was ever bought."""
    stores = farm.stores
    for supply, times in (
        (Article.SUBSTRATE, stores.trays),
        (Article.LIME, stores.trays),
        (Article.CARTONS, stores.cleaned),
    ):
        bought = [p for p in stores.purchases if supply_of(p.item) is supply]
        if bought:
            yield _left(supply, bought, [at for at in times if at <= now], now)


def _left(supply: Article, bought: list[Purchase], used: list[dt.datetime], now: dt.datetime) -> BeddingLeft:
    amount, measure = _MEASURES[supply]
    amounts = [(p.at, measure(p)) for p in bought]
    known = [(at, found) for at, found in amounts if found is not None]
    left, used_up_at = _walked(known, used, amount)
    uses = int(left / amount) if known else None
    pace = _a_day(used, bought[0].at, now)
    return BeddingLeft(
        supply=supply,
        item=bought[-1].item,
        bought_at=bought[-1].at,
        uses=uses,
        amount=amount,
        lasts_until=now + dt.timedelta(days=uses / pace) if uses and pace else None,
        used_up_at=used_up_at if known and not uses else None,
    )


def _walked(
    bought: list[tuple[dt.datetime, float]], used: list[dt.datetime], amount: float
) -> tuple[float, dt.datetime | None]:
    """Take each use out of what is there then; give what is left, never less than nothing, and when it was last used.

    What is used before anything was bought came from elsewhere.
    """
    left, last = 0.0, None
    for at, change in sorted([*bought, *((at, -amount) for at in used)]):
        if change < 0 and left > 0:
            last = at
        left = max(left + change, 0.0)
    return left, last


def _a_day(used: list[dt.datetime], since: dt.datetime, now: dt.datetime) -> float:
    start = max(now - PACE_OVER, min([since, *used]))
    span = max(now - start, SHORTEST_PACE)
    return sum(at >= start for at in used) / (span / dt.timedelta(days=1))


def _volume_ml(bought: Purchase) -> float | None:
    if bought.volume_ml is not None:
        return bought.volume_ml
    is_coir = any(word in bought.item.casefold() for word in ("coir", "coco", "fibra"))
    if bought.mass_g is not None:
        return bought.mass_g * (ML_PER_G_COIR if is_coir else ML_PER_G_OTHER)
    return bought.count * COIR_BRICK_G * ML_PER_G_COIR if is_coir and bought.count is not None else None


def _mass_g(bought: Purchase) -> float | None:
    return bought.mass_g


def _pieces(bought: Purchase) -> float | None:
    return None if bought.count is None else float(bought.count)


_MEASURES: dict[Article, tuple[float, Callable[[Purchase], float | None]]] = {
    Article.SUBSTRATE: (TRAY_ML, _volume_ml),
    Article.LIME: (LIME_G, _mass_g),
    Article.CARTONS: (float(CARTONS), _pieces),
}
